package support

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// selfSupporting says why a region prints by itself.
func (t *Item) selfSupporting(l *Limits) string {
	switch {
	case t.Region.Form == Small:
		return t.Region.Why
	case t.low(l) && t.Region.GapHighMM < 0.005:
		return "It lies on what is below."
	case t.low(l):
		return fmt.Sprintf("It is no more than %.2f mm above what is below, too low for support: it droops that far and rests.", t.Region.GapHighMM)
	}
	words := fmt.Sprintf("It spans %.1f mm between walls that hold it; the printer bridges %.1f mm.", t.Region.Bridge.SpanMM, l.BridgeSpanMM)
	if t.SagKnown {
		words += t.inFurnace(l, false)
	}
	return words
}

// supported says what is to be held up, and on what.
func (t *Item) supported(l *Limits) string {
	r := &t.Region
	what := fmt.Sprintf("A %s of %.0f mm2", r.Form, r.AreaMM2)
	if r.Together > 0 {
		what = fmt.Sprintf("%d regions, taken as one, of %.0f mm2 in all", r.Together, r.AreaMM2)
	}
	if r.Form == Slope {
		what += fmt.Sprintf(" at %.0f deg", r.SlopeDeg)
	}
	below := fmt.Sprintf("%.1f mm above", r.GapMeanMM)
	if r.GapMeanMM < 0.05 {
		below = "close above"
	}
	switch {
	case r.PlateShare >= onPlate:
		what += fmt.Sprintf(", %s the plate", below)
	case r.PlateShare <= 1-onPlate:
		what += fmt.Sprintf(", %s the part itself", below)
	default:
		what += fmt.Sprintf(", %s what is below, %.0f %% of it the plate", below, 100*r.PlateShare)
	}
	switch {
	case t.needs(l) && r.Bridge.Holds:
		return what + fmt.Sprintf(", that spans %.1f mm; the printer bridges %.1f mm.", r.Bridge.SpanMM, l.BridgeSpanMM)
	case r.Bridge.Holds:
		return what + fmt.Sprintf(", that spans %.1f mm.", r.Bridge.SpanMM)
	}
	if r.Together > 0 {
		return what + fmt.Sprintf(", that reach %.1f mm out at most.", r.LedgeMM)
	}
	if r.HeldMM == 0 && r.RestShare == 0 {
		return what + ", that begins in the air."
	}
	return what + fmt.Sprintf(", that reaches %.1f mm out.", r.LedgeMM)
}

// cutFrom says from where the support is cut.
func (t *Item) cutFrom() string {
	if t.Reach.From == (r3.Vec{}) {
		return "The cutter gets at its support."
	}
	if t.Reach.FromShare >= 0.995 {
		return fmt.Sprintf("The cutter gets at all of its support from %s.", side(t.Reach.From))
	}
	return fmt.Sprintf("The cutter gets at %.0f %% of its support from %s.", 100*t.Reach.FromShare, side(t.Reach.From))
}

// side names a direction.
func side(d r3.Vec) string {
	const near = 0.94 // 20 degrees
	for _, s := range []struct {
		axis r3.Vec
		name string
	}{
		{r3.Vec{X: 1}, "+X"}, {r3.Vec{X: -1}, "-X"}, {r3.Vec{Y: 1}, "+Y"}, {r3.Vec{Y: -1}, "-Y"},
		{r3.Vec{Z: 1}, "above"}, {r3.Vec{Z: -1}, "below, off the plate"},
	} {
		if r3.Dot(d, s.axis) >= near {
			return s.name
		}
	}
	round := math.Round(math.Atan2(d.Y, d.X) * 180 / math.Pi)
	return fmt.Sprintf("%.0f deg round from +X, %.0f deg up", round, math.Round(math.Asin(min(max(d.Z, -1), 1))*180/math.Pi))
}

// outOfReach says what the cutter does not get at and why.
func (t *Item) outOfReach(l *Limits) string {
	r := &t.Reach
	words := t.supported(l) + fmt.Sprintf(" Of its support %.0f mm3 are out of reach, on the green part about X %.1f, Y %.1f, Z %.1f:", r.OutOfReachMM3, r.At.X, r.At.Y, r.At.Z)
	switch r.Worst {
	case Enclosed:
		return words + " it is in a closed cavity, where nothing can take it out."
	case Narrow:
		return words + fmt.Sprintf(" the way in is about %.1f mm wide, and the cutter %.1f mm.", r.WayInMM, l.Cutter.DiameterMM)
	case TooDeep:
		return words + fmt.Sprintf(" it asks for a cutter that sticks out %.0f mm, and this one sticks out %.0f mm.", r.NeedMM, l.Cutter.LengthMM)
	}
	return words + " it is round a corner, and a straight cutter does not get there."
}

// saggy says how far the region would sag.
func (t *Item) saggy(l *Limits) string {
	return t.supported(l) + t.inFurnace(l, true)
}

// onBlock says how a block is used.
func (t *Item) onBlock(needs bool) string {
	if needs {
		return " Cut its support off in the green state and set it on a shaped block, which shrinks with the part."
	}
	return " It prints by itself; for the furnace set it on a shaped block, which shrinks with the part."
}

// inSand says how sand is used.
func (t *Item) inSand(needs bool) string {
	if needs {
		return " Cut its support off in the green state and fill the space with alumina sand for the furnace."
	}
	return " It prints by itself; fill the space with alumina sand for the furnace."
}
