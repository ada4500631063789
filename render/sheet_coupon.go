package render

import (
	"kilnpoise/orient"
)

// couponSteps says how the creep coupon is printed, fired and measured.
func couponSteps() []string {
	return []string{
		"Print it as it is loaded, on its foot, the arms level, of the lot and with the settings that it is to speak for. Do not turn it.",
		"In the green state take the supports under the arms out and dress the undersides flat: the thickness counts. Nothing may touch an arm from below.",
		"Measure each arm green, as below: an arm that was printed crooked is not taken for sag.",
		"Fire it on its foot, on a flat setter, as it was printed, in the same run as the parts that it is to speak for and among them. Nothing carries the arms.",
		"Measure it sintered, on a flat plate, with a dial gauge or a height gauge on the top face of each arm: at the root, as near to the block as the gauge goes, and at the very tip, as drawn below. " +
			"Sag is tip minus root, without its sign, less the same measured green. Measure span and thickness with a caliper.",
		"Leave out an arm that has broken, cracked at the root or come down on the foot; one that has come down by more than a tenth of its span is past what the formula tells.",
		"Enter span, thickness and sag of each arm: in the window under the material, or on the command line by calibrate, --coupon SPAN,THICKNESS,SAG for each.",
	}
}

// coupon sets how the creep coupon is printed, fired and measured, with lines to
// write on.
func (l *layout) coupon(y float64) float64 {
	y = l.heading(l.x0(), y, l.across(), "The creep coupon", "orientation and setting are fixed: what it measures hangs on them")
	y = l.bullets(l.x0(), y, l.across(), couponSteps())
	y = l.couponDrawing(l.x0(), y+3) + 2
	columns := []tableColumn{
		{"span, mm", 16, true}, {"measured", 17, false}, {"thick, mm", 17, true}, {"measured", 17, false},
		{"green, root / tip", 0, false}, {"sintered, root / tip", 29, false}, {"sag, mm", 19, false}, {"expected", 24, true},
	}
	at, y := l.columnsOf(columns, y)
	const hand = 6.5
	for i := range l.s.Coupon {
		a := &l.s.Coupon[i]
		y = l.cells(columns, at, y, hand, digitsOf(a.SpanMM, 1), "", digitsOf(a.ThicknessMM, 1), "", "", "", "", expectedSag(a))
	}
	l.rule(l.x0(), y+0.3, l.x0()+l.across(), y+0.3, 0.1, inkRule)
	return l.block(l.x0(), y+0.8, l.across(),
		"Arms are told by their span. Expected: at both ends of the compliance of the record (estimate), with what the roots and the block give way; the calibration allows for the same.", faceSmall(), 2)
}

// couponDrawing draws an arm from the side, before and after, with the two places to
// measure at, and gives where it ends.
func (l *layout) couponDrawing(x, y float64) float64 {
	const (
		block, high = 14.0, 14.0 // mm on the sheet
		span, thick = 52.0, 5.0
		down        = 6.0 // of the tip
		steps       = 16
	)
	root, top := x+block, y+4
	l.shade(x, y, block, high, rgb(inkShade))
	l.box(x, y, block, high, 0.2, inkText)
	l.rule(root, top, root+span, top, 0.1, inkRule) // as printed
	l.rule(root, top+thick, root+span, top+thick, 0.1, inkRule)
	l.rule(root+span, top, root+span, top+thick, 0.1, inkRule)
	sag := func(u float64) float64 { return down * (u*u*u*u - 4*u*u*u + 6*u*u) / 3 } // of an even load
	for i := range steps {
		u, v := float64(i)/steps, float64(i+1)/steps
		for _, z := range []float64{top, top + thick} {
			l.rule(root+u*span, z+sag(u), root+v*span, z+sag(v), 0.3, inkText)
		}
	}
	l.rule(root+span, top+down, root+span, top+thick+down, 0.3, inkText)
	l.arrow(root+1, top)
	l.arrow(root+span-0.5, top+down)
	words := root + span + 6
	l.rule(root+span, top, words-1, top, 0.1, inkRule)
	l.rule(root+span, top+down, words-1, top+down, 0.1, inkRule)
	l.left(words, top+down/2-l.line(faceSmall())/2, "sag: tip minus root, both on the top face", faceSmall())
	l.left(root+2.5, y+1.5, "root", faceSmall())
	l.left(root+span+1, top-1, "tip", faceSmall())
	return y + high
}

// arrow points down at a place.
func (l *layout) arrow(x, y float64) {
	l.rule(x, y-4.5, x, y-0.3, 0.25, inkAccent)
	l.rule(x-0.8, y-1.5, x, y-0.3, 0.25, inkAccent)
	l.rule(x+0.8, y-1.5, x, y-0.3, 0.25, inkAccent)
}

// expectedSag gives the range of the sag of an arm.
func expectedSag(a *orient.CouponArm) string {
	const collapse = 0.1 // of the span
	if a.SagLowMM > collapse*a.SpanMM {
		return "collapses"
	}
	if a.SagHighMM > collapse*a.SpanMM {
		return digitsOf(a.SagLowMM, 2) + " or more"
	}
	return digitsOf(a.SagLowMM, 2) + " to " + digitsOf(a.SagHighMM, 2)
}
