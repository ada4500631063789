package orient

import (
	"fmt"

	"gonum.org/v1/gonum/spatial/r3"
)

// The names of the gates, in the order in which they are shown.
const (
	GatePrinter   = "fits the printer"
	GateFurnace   = "fits the furnace"
	GateStands    = "stands"
	GateReach     = "no support out of reach"
	GateDebinding = "walls within the debinding limit"
	GateSag       = "sag within the allowed"
)

// gatesFor judges one candidate. Gates stay in the order of the constants.
func gatesFor(m *Measures, green r3.Vec, b *Brief) []Gate {
	return []Gate{
		fits(GatePrinter, "plate", green, b.Printer.PlateMM, b.Printer.HeightMM),
		fits(GateFurnace, "setter", green, b.Furnace.SetterMM, b.Furnace.HeightMM),
		stands(m, b.Material.SmallestTipDeg),
		withinReach(m),
		wallLimit(m, b.Material.Debinding.LargestWallMM),
		sagLimit(m, b.Material.AllowedSagMM),
	}
}

// severityOf weighs a failed gate against other failed gates, for the order among
// candidates none of which passes all (judgement): what cannot be printed or
// fired at all, then what falls over, then what may still be talked about.
func severityOf(gate string) int {
	switch gate {
	case GatePrinter, GateFurnace:
		return 4
	case GateReach:
		return 3
	case GateStands:
		return 2
	default:
		return 1
	}
}

// severity is what gatesFor's failed gates weigh, without making sentences.
func severity(m *Measures, green r3.Vec, b *Brief) int {
	n := 0
	for _, gate := range [...]struct {
		name   string
		passed bool
	}{
		{GatePrinter, fitsInto(green, b.Printer.PlateMM, b.Printer.HeightMM)},
		{GateFurnace, fitsInto(green, b.Furnace.SetterMM, b.Furnace.HeightMM)},
		{GateStands, m.TipAngleDeg >= b.Material.SmallestTipDeg},
		{GateReach, m.inReach()},
		{GateDebinding, m.ThickestGreenWallMM <= b.Material.Debinding.LargestWallMM},
		{GateSag, m.SagLowMM <= b.Material.AllowedSagMM},
	} {
		if !gate.passed {
			n += severityOf(gate.name)
		}
	}
	return n
}

// trappedMM3 is how much support in a closed cavity is taken for rounding, and
// crumbShare what share of all support may stay where the cutter leaves the corners.
const (
	trappedMM3 = 0.5
	crumbShare = 0.01
)

// inReach reports whether no support is out of reach, but for crumbs that the
// cutter leaves.
func (m *Measures) inReach() bool {
	if m.OutOfReachAtMM != (Triple{}) && m.OutOfReachMM3 <= crumbShare*m.SupportVolumeMM3 {
		return true
	}
	return m.OutOfReachMM3 <= trappedMM3
}

// fitsInto reports whether the green part stands on the area, either way round.
func fitsInto(green r3.Vec, area [2]float64, height float64) bool {
	along := green.X <= area[0] && green.Y <= area[1]
	across := green.X <= area[1] && green.Y <= area[0]
	return green.Z <= height && (along || across)
}

func fits(name, what string, green r3.Vec, area [2]float64, height float64) Gate {
	g := Gate{Name: name, Passed: fitsInto(green, area, height)}
	verb := "fits"
	if !g.Passed {
		verb = "does not fit"
	}
	g.Reason = fmt.Sprintf("The green part, %.1f x %.1f x %.1f mm, %s the %s of %.0f x %.0f mm with %.0f mm above it.",
		green.X, green.Y, green.Z, verb, what, area[0], area[1], height)
	return g
}

func stands(m *Measures, least float64) Gate {
	g := Gate{Name: GateStands, Passed: m.TipAngleDeg >= least}
	switch {
	case m.TipAngleDeg <= 0:
		g.Reason = fmt.Sprintf("It does not stand by itself: the centre of mass is not over its footprint of %.0f mm2.", m.FootprintMM2)
	case g.Passed:
		g.Reason = fmt.Sprintf("It tips at %.1f deg; %.0f deg are asked for.", m.TipAngleDeg, least)
	default:
		g.Reason = fmt.Sprintf("It tips at %.1f deg already; %.0f deg are asked for.", m.TipAngleDeg, least)
	}
	return g
}

func withinReach(m *Measures) Gate {
	g := Gate{Name: GateReach, Passed: m.inReach()}
	if g.Passed {
		g.Reason = "No support stands in a closed cavity or beyond the cutter."
		return g
	}
	if at := m.OutOfReachAtMM; at != (Triple{}) {
		g.Reason = fmt.Sprintf("The cutter does not get at %.0f mm3 of support, most of it about X %.0f, Y %.0f, Z %.0f on the green part.",
			m.OutOfReachMM3, at[0], at[1], at[2])
		return g
	}
	g.Reason = fmt.Sprintf("%.0f mm3 of support would stand in a closed cavity, where nothing can take it out.", m.OutOfReachMM3)
	return g
}

func wallLimit(m *Measures, most float64) Gate {
	g := Gate{Name: GateDebinding, Passed: m.ThickestGreenWallMM <= most}
	if g.Passed {
		g.Reason = fmt.Sprintf("The thickest green wall, at most %.1f mm, is within the %.1f mm of the record.", m.ThickestGreenWallMM, most)
		return g
	}
	g.Reason = fmt.Sprintf("The thickest green wall, up to %.1f mm, is over the %.1f mm of the record: hollow or rib the part.", m.ThickestGreenWallMM, most)
	return g
}

// sagLimit fails only where even the low end of the range is too much: the
// estimate is uncertain by more than a factor of ten.
func sagLimit(m *Measures, most float64) Gate {
	g := Gate{Name: GateSag, Passed: m.SagLowMM <= most}
	span := fmt.Sprintf("Estimated sag %s", sagWords(m))
	switch {
	case !g.Passed:
		g.Reason = fmt.Sprintf("%s: even the low end is over the allowed %.2f mm.", span, most)
	case m.SagHighMM > most:
		g.Reason = fmt.Sprintf("%s: may go over the allowed %.2f mm.", span, most)
	default:
		g.Reason = fmt.Sprintf("%s, within the allowed %.2f mm.", span, most)
	}
	return g
}

// sagWords gives the sag as a range in words.
func sagWords(m *Measures) string {
	if m.SagCollapses {
		return fmt.Sprintf("past a tenth of the %.0f mm span: it collapses", m.SagSpanMM)
	}
	return fmt.Sprintf("%.2f mm (%.2f to %.2f mm)", m.SagMM, m.SagLowMM, m.SagHighMM)
}
