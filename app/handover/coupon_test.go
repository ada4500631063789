package handover_test

import (
	"crypto/sha256"
	"encoding/hex"
	"testing"

	"kilnpoise/app/handover"
	"kilnpoise/assets"
)

func TestOnlyTheCouponIsTheCoupon(t *testing.T) {
	for _, d := range assets.DemoParts() {
		data, err := d.Mesh()
		if err != nil {
			t.Fatal(err)
		}
		sum := sha256.Sum256(data)
		arms := handover.CouponOf(hex.EncodeToString(sum[:]))
		if want := d.ID == assets.CouponID; (len(arms) > 0) != want {
			t.Errorf("%s has %d arms of a coupon", d.ID, len(arms))
		}
		if len(arms) > 0 && (len(arms) != 6 || arms[5].SpanMM != 20 || arms[0].ThicknessMM != 3) {
			t.Errorf("the arms are %+v", arms)
		}
	}
}
