package orient

import (
	"fmt"
	"math"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/orient/furnace"
)

// The names of the gates, in the order in which they are shown.
const (
	GatePrinter   = "fits the printer"
	GateFurnace   = "fits the furnace"
	GateStands    = "stands"
	GateLean      = "lean within the allowed"
	GateReach     = "no support out of reach"
	GateDebinding = "walls within the debinding limit"
	GateThin      = "no wall too thin"
	GateSag       = "sag within the allowed"
)

// Gate is one question that decides, with its answer and the reason. A candidate that
// fails a gate is never recommended above one that passes all.
type Gate struct {
	Name  string `json:"name"`
	State State  `json:"state"`
	// Passed is true for the state of that name alone.
	Passed bool `json:"passed"`
	// Miss is by how much the limit is missed: 0 where it is passed, 1 where by as much
	// as the limit itself.
	Miss float64 `json:"miss"`
	// Reason is a sentence with the numbers that decided.
	Reason string `json:"reason"`
	// Cure says what to do about it; empty where it is passed.
	Cure string `json:"cure,omitempty"`
}

// GatesIn gives the gates that are in a state, in their order.
func (c *Candidate) GatesIn(s State) []Gate {
	var out []Gate
	for _, g := range c.Gates {
		if g.State == s {
			out = append(out, g)
		}
	}
	return out
}

// gates puts the verdict on a candidate into sentences, in the order of the constants.
func (b *Brief) gates(c *Candidate, v *verdict) []Gate {
	m, lies := &c.Measures, c.Lies()
	reasons := [gateCount]struct{ name, reason string }{
		gatePrinter:   {GatePrinter, fitReason(c.plate, c.GreenSize, "plate", plateOf(&b.Printer))},
		gateFurnace:   {GateFurnace, fitReason(lies.setter, c.greenLying(), "setter", setterOf(&b.Furnace))},
		gateStands:    {GateStands, standsReason(m, lies, b.Material.SmallestTipDeg)},
		gateLean:      {GateLean, leanReason(lies, b.Material.AllowedLeanGrowth, v.gates[gateLean].state)},
		gateReach:     {GateReach, reachReason(m)},
		gateDebinding: {GateDebinding, thickReason(m, b.Material.Debinding.LargestWallMM)},
		gateThin:      {GateThin, b.thinReason(m)},
		gateSag:       {GateSag, sagReason(lies, b.Material.AllowedSagMM, v.gates[gateSag].state)},
	}
	if b.isCoupon() {
		reasons[gateSag].reason = couponSagReason
	}
	out := make([]Gate, gateCount)
	for i, r := range reasons {
		g := v.gates[i]
		if lies.TipAngleDeg <= 0 && (i == gateLean || i == gateSag) {
			g = ruling{state: Doubtful} // nobody knows before it stands
		}
		out[i] = Gate{Name: r.name, State: g.state, Passed: g.state == Passed, Miss: min(g.miss, mostMiss), Reason: r.reason}
		if g.state != Passed {
			out[i].Cure = b.cure(i, c, g.state)
		}
	}
	return out
}

// greenLying is the size of the box around the green part as it goes into the furnace.
func (c *Candidate) greenLying() r3.Vec {
	l := c.Lies()
	if l.AsPrinted {
		return c.GreenSize
	}
	return l.greenSize
}

// fitReason says how the green part goes onto a plate or setter.
func fitReason(f fitting, size r3.Vec, what string, r room) string {
	part := fmt.Sprintf("The green part, %.1f x %.1f x %.1f mm,", size.X, size.Y, size.Z)
	area := fmt.Sprintf("the %s of %.0f x %.0f mm with %.0f mm above it", what, r.area[0], r.area[1], r.height)
	switch {
	case f.fits() && math.Abs(f.turn) > 1e-6:
		return fmt.Sprintf("%s fits %s, turned by %.0f deg about Z.", part, area, f.turn*180/math.Pi)
	case f.fits():
		return fmt.Sprintf("%s fits %s.", part, area)
	case f.record != "":
		return fmt.Sprintf("%s does not fit %s at any turn about Z; it fits %s.", part, area, f.record)
	default:
		return fmt.Sprintf("%s does not fit %s at any turn about Z.", part, area)
	}
}

// standsReason says how it stands while it is printed and in the furnace.
func standsReason(m *Measures, lies *Lying, least float64) string {
	var out []string
	if s := inPrintReason(m, least); s != "" {
		out = append(out, s)
	}
	here := lies.footing()
	where, what := "In the furnace, laid on another face,", here.name()
	switch {
	case !lies.AsPrinted:
	case len(out) > 0:
		where = "In the furnace"
	default:
		where, what = "", upperFirst(what)
	}
	switch {
	case here.hangs():
		what += " rests on nothing."
	case lies.TipAngleDeg <= 0:
		what += " does not stand by itself."
	case lies.TipAngleDeg < least:
		what += fmt.Sprintf(" tips at %.1f deg already; %.0f deg are asked for.", lies.TipAngleDeg, least)
	default:
		what += fmt.Sprintf(" tips at %.1f deg; %.0f deg are asked for.", lies.TipAngleDeg, least)
	}
	out = append(out, strings.TrimSpace(where+" "+what))
	if lies.Stands() && lies.foot.short() > 0 {
		out = append(out, lies.foot.reason())
	} else if m.TipAngleDeg >= least && m.foot.short() > 0 {
		out = append(out, "While it is printed: "+lowerFirst(m.foot.reason()))
	}
	return strings.Join(out, " ")
}

// inPrintReason says how it stands while it is printed, where that is not by itself.
func inPrintReason(m *Measures, least float64) string {
	here := m.footing()
	switch {
	case m.TipAngleDeg >= least:
		return ""
	case m.HeldTipDeg >= least && here.hangs():
		return fmt.Sprintf("While it is printed its supports on a raft hold it up to %.1f deg (by itself %s rests on nothing).", m.HeldTipDeg, here.name())
	case m.HeldTipDeg >= least && m.tips != "":
		return fmt.Sprintf("While it is printed its supports on a raft hold it up to %.1f deg (by itself %s tips at %.1f deg).", m.HeldTipDeg, here.name(), m.TipAngleDeg)
	case m.HeldTipDeg >= least:
		return fmt.Sprintf("While it is printed its supports on a raft hold it up to %.1f deg (by itself %.1f deg).", m.HeldTipDeg, m.TipAngleDeg)
	case m.TipAngleDeg <= 0 && m.HeldTipDeg <= 0:
		return fmt.Sprintf("Nothing holds it while it is printed: the centre of mass is not over its footprint of %.0f mm2 and its supports.", m.FootprintMM2)
	default:
		return fmt.Sprintf("While it is printed it tips at %.1f deg already; %.0f deg are asked for.", max(m.TipAngleDeg, m.HeldTipDeg), least)
	}
}

// leanReason says how a lean grows, with its range.
func leanReason(l *Lying, allowed float64, s State) string {
	if l.TipAngleDeg <= 0 {
		return "What does not stand has no lean to speak of; see the gate on standing."
	}
	if l.Lean.High-1 < 0.015 {
		return fmt.Sprintf("A lean hardly grows by creep (estimate); %.0f %% are allowed.", 100*allowed)
	}
	basis := "creep-buckling estimate"
	if l.LeanMethod == LeanByColumn {
		basis += " for an even column"
	}
	grows := fmt.Sprintf("A small lean grows %s (%s to %s; %s)",
		furnace.GrowthWords(l.Lean.Growth), shortGrowth(l.Lean.Low), shortGrowth(l.Lean.High), basis)
	switch s {
	case Failed:
		return fmt.Sprintf("%s: even the low end is over the allowed %.0f %%.", grows, 100*allowed)
	case Doubtful:
		return fmt.Sprintf("%s: likely over the allowed %.0f %%, at the low end not.", grows, 100*allowed)
	}
	if l.Lean.High-1 > allowed {
		return fmt.Sprintf("%s: likely within the allowed %.0f %%, at the high end not.", grows, 100*allowed)
	}
	return fmt.Sprintf("%s, within the allowed %.0f %%.", grows, 100*allowed)
}

// shortGrowth is the end of a range of growth.
func shortGrowth(factor float64) string {
	if !(factor < 10) {
		return "more than tenfold"
	}
	return fmt.Sprintf("%.0f %%", 100*(factor-1))
}

func reachReason(m *Measures) string {
	if m.inReach() && m.OutOfReachMM3 >= 0.5 {
		return fmt.Sprintf("The cutter gets at all support but %s, crumbs that it leaves.", unitsFor(m).volume(m.OutOfReachMM3))
	}
	if m.inReach() {
		return "No support stands in a closed cavity or beyond the cutter."
	}
	if at := m.OutOfReachAtMM; at != (Triple{}) {
		return fmt.Sprintf("The cutter does not get at %s of support, most of it about %s on the green part.",
			unitsFor(m).volume(m.OutOfReachMM3), at.about())
	}
	return fmt.Sprintf("%s of support would stand in a closed cavity, where nothing can take it out.", unitsFor(m).volume(m.OutOfReachMM3))
}

func thickReason(m *Measures, most float64) string {
	within := m.ThickestGreenWallMM <= most
	if m.ThickestWallAtCavity {
		counts := fmt.Sprintf("The thickest green wall lies beside a closed cavity, debinds from one side only and so counts as %.1f mm", m.ThickestGreenWallMM)
		if within {
			return fmt.Sprintf("%s, within the %.1f mm of the record.", counts, most)
		}
		return fmt.Sprintf("%s, over the %.1f mm of the record.", counts, most)
	}
	if within {
		return fmt.Sprintf("The thickest green wall, %.1f mm, is within the %.1f mm of the record.", m.ThickestGreenWallMM, most)
	}
	return fmt.Sprintf("The thickest green wall, %.1f mm, is over the %.1f mm of the record.", m.ThickestGreenWallMM, most)
}

func (b *Brief) thinReason(m *Measures) string {
	limit := b.thinLimitMM()
	what := fmt.Sprintf("%.1f mm of the record", limit)
	if limit > b.Material.Debinding.SmallestWallMM {
		what = fmt.Sprintf("%.1f mm of two lines of the nozzle", limit)
	}
	switch {
	case m.ThinnestGreenWallMM <= 0:
		return "No thin wall was found."
	case m.ThinnestGreenWallMM >= limit:
		return fmt.Sprintf("The thinnest green wall, %.2f mm, is no thinner than the %s.", m.ThinnestGreenWallMM, what)
	}
	return fmt.Sprintf("The thinnest green wall, %.2f mm about %s on the green part, is under the %s: it will not print soundly.",
		m.ThinnestGreenWallMM, m.ThinnestWallAtMM.about(), what)
}

// sagReason tells the sag with its range: the estimate is uncertain by more than a
// factor of ten.
func sagReason(l *Lying, most float64, s State) string {
	if l.TipAngleDeg <= 0 {
		return "What does not stand has no sag to speak of; see the gate on standing."
	}
	if l.Propped > 0 {
		return fmt.Sprintf("%s With nothing under it: %s.", sagHeld(l, most, s), sagWords(l.Bare()))
	}
	return sagHeld(l, most, s)
}

// sagHeld holds the sag against the allowed.
func sagHeld(l *Lying, most float64, s State) string {
	span := fmt.Sprintf("Estimated sag%s %s", l.onProps(), sagWords(l))
	switch {
	case s == Failed:
		return fmt.Sprintf("%s; even the low end is over the allowed %.2f mm.", span, most)
	case s == Doubtful && l.SagMM > most:
		return fmt.Sprintf("%s: likely over the allowed %.2f mm, at the low end not.", span, most)
	case s == Doubtful:
		return span + "."
	case l.SagHighMM > most:
		return fmt.Sprintf("%s: likely within the allowed %.2f mm, at the high end not.", span, most)
	default:
		return fmt.Sprintf("%s, within the allowed %.2f mm.", span, most)
	}
}

// sagWords gives the sag as a range in words.
func sagWords(l *Lying) string {
	if l.SagCollapses {
		return fmt.Sprintf("past a tenth of the %.0f mm span, which is a collapse", l.SagSpanMM)
	}
	return fmt.Sprintf("%.2f mm (%.2f to %.2f mm)", l.SagMM, l.SagLowMM, l.SagHighMM)
}
