package orient

import (
	"kilnpoise/orient/furnace"
)

// CouponArm is an arm of the creep coupon with the sag to expect, mm.
type CouponArm struct {
	SpanMM      float64 `json:"span_mm"`
	ThicknessMM float64 `json:"thickness_mm"`
	// SagMM is that of the tip against the root, on the top face, at the likely
	// compliance, SagLowMM and SagHighMM at the ends of its range; past a tenth of the span the arm is taken to have
	// collapsed.
	SagMM     float64 `json:"sag_mm"`
	SagLowMM  float64 `json:"sag_low_mm"`
	SagHighMM float64 `json:"sag_high_mm"`
}

// CouponArms gives the arms of the creep coupon, none where the part is no coupon.
func (a *Advice) CouponArms() []CouponArm {
	var out []CouponArm
	creep := a.Brief.creep()
	for _, c := range a.Brief.Coupon {
		likely := furnace.ArmSagMM(creep, c.SpanMM, c.ThicknessMM)
		out = append(out, CouponArm{
			SpanMM: c.SpanMM, ThicknessMM: c.ThicknessMM, SagMM: likely,
			SagLowMM:  likely * creep.LowPerPa / creep.CompliancePerPa,
			SagHighMM: likely * creep.HighPerPa / creep.CompliancePerPa,
		})
	}
	return out
}

// isCoupon reports whether the part is the creep coupon.
func (b *Brief) isCoupon() bool { return len(b.Coupon) > 0 }

// asLoadedFirst puts the orientation as loaded before all others.
func asLoadedFirst(a, b Candidate) int {
	switch {
	case (a.Origin == AsLoaded) == (b.Origin == AsLoaded):
		return 0
	case a.Origin == AsLoaded:
		return -1
	}
	return 1
}

// asFixed leaves nothing to search for a coupon, which is printed and fired as it is
// loaded: what it measures hangs on that.
func (b Brief) asFixed() Brief {
	b.OnlyGiven = b.OnlyGiven || b.isCoupon()
	return b
}

const (
	couponReason    = "This is the creep coupon: print and fire it as it is loaded, on its foot, the arms level; what it measures hangs on that."
	couponSagReason = "The arms of the coupon are there to sag: by how much is what it is fired for."
)
