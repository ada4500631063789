package handover

import (
	"kilnpoise/assets"
	"kilnpoise/orient/furnace"
)

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
