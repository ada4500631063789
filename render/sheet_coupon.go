package render

import (
	"fmt"

	"kilnpoise/orient"
)

// couponSteps says how the creep coupon is printed, fired and measured.
func couponSteps() []string {
	return []string{
		"Print it as it is loaded, on its foot, the arms level, of the lot and with the settings that it is to speak for. Do not turn it.",
		"In the green state take the supports under the arms out and dress the undersides flat: the thickness counts. Nothing may touch an arm from below.",
		"Measure each arm green, as below: an arm that was printed crooked is not taken for sag.",
		"Fire it on its foot, on a flat setter, as it was printed, in the same run as the parts that it is to speak for and among them. Nothing carries the arms.",
		"Measure it sintered, on a flat plate, with a dial gauge or a height gauge on the top face of each arm: at the root, where it leaves the block, and at the tip. " +
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
	columns := []tableColumn{
		{"arm", 22, false}, {"span, mm", 16, true}, {"measured", 17, false}, {"thick, mm", 17, true}, {"measured", 17, false},
		{"green, root / tip", 0, false}, {"sintered, root / tip", 29, false}, {"sag, mm", 19, false}, {"expected", 24, true},
	}
	at, y := l.columnsOf(columns, y)
	const hand = 6.5
	for i := range l.s.Coupon {
		a := &l.s.Coupon[i]
		y = l.cells(columns, at, y, hand, notches(i+1), digitsOf(a.SpanMM, 1), "", digitsOf(a.ThicknessMM, 1), "", "", "", "", expectedSag(a))
	}
	l.rule(l.x0(), y+0.3, l.x0()+l.across(), y+0.3, 0.1, inkRule)
	return l.block(l.x0(), y+0.8, l.across(),
		"Arms are told by the notches in the block over them. Expected: by the beam formula at both ends of the compliance of the record (estimate).", faceSmall(), 2)
}

// notches names an arm.
func notches(n int) string {
	if n == 1 {
		return "1 notch"
	}
	return fmt.Sprintf("%d notches", n)
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
