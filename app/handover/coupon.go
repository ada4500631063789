package handover

import (
	"kilnpoise/assets"
	"kilnpoise/orient/furnace"
	"kilnpoise/orient/process"
)

// FitCoupons fits the compliance of a material to the beams of coupons that were fired
// of it. Arms are level as the coupon is printed: the shrinkage along X moves their
// span, that along Z their thickness.
func FitCoupons(m *process.Material, coupons []furnace.Coupon) (furnace.Fit, error) {
	return furnace.Calibrate(coupons, furnace.Firing{
		DensityKGM3: m.Creep.DensityKGM3, Poisson: m.Creep.Poisson,
		SpanSpread:      m.ShrinkageSpread[0] / (1 - m.Shrinkage[0]),
		ThicknessSpread: m.ShrinkageSpread[2] / (1 - m.Shrinkage[2]),
	}, furnace.CouponConfidence)
}

// CouponOf gives the arms of the creep coupon where the part of that SHA-256, in hex,
// is it, for the brief; else none.
func CouponOf(sha256 string) []furnace.Coupon {
	if !assets.IsCoupon(sha256) {
		return nil
	}
	var out []furnace.Coupon
	for _, span := range assets.CouponSpansMM() {
		out = append(out, furnace.Coupon{SpanMM: span, ThicknessMM: assets.CouponThicknessMM})
	}
	return out
}
