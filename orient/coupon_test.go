package orient

import (
	"context"
	"math"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh/meshtest"
	"kilnpoise/orient/furnace"
	"kilnpoise/orient/support"
)

// The coupon is printed and fired as it is loaded, whatever else would be better,
// and no gate holds its sag against it.
func TestTheCouponIsFixed(t *testing.T) {
	if testing.Short() {
		t.Skip("short: numbers alone, and many of them")
	}
	m := meshtest.Blocks([]float64{0, 9, 29}, []float64{0, 30}, []float64{0, 6, 18, 21, 28}, func(i, _, k int) bool {
		return i == 0 || k == 0 || k == 2
	})
	b := testBrief(t)
	b.Coupon = []furnace.Coupon{{SpanMM: 20, ThicknessMM: 3}}
	b.Directions = []r3.Vec{{X: -1}} // needs no support at all
	plain := advise(t, partOf("block", m), testBrief(t))
	for _, advised := range []func() (*Advice, error){
		func() (*Advice, error) { return Advise(context.Background(), partOf("coupon", m), b, nil) },
		func() (*Advice, error) { return plain.Revise(context.Background(), b, nil) },
	} {
		a, err := advised()
		if err != nil {
			t.Fatal(err)
		}
		if a, err = a.Fire(context.Background(), FiringOptions{Elements: 4000}, nil); err != nil {
			t.Fatal(err)
		}
		c := &a.Candidates[0]
		if len(a.Candidates) != 2 || c.Origin != AsLoaded || angleBetween(c.Pose.Up(), r3.Vec{Z: 1}) > 0 || c.RestsOtherwise() {
			t.Fatalf("%d candidates, the first %s, laid down otherwise %v", len(a.Candidates), c.Origin, c.RestsOtherwise())
		}
		if a, err = a.PlanSupports(context.Background(), nil); err != nil {
			t.Fatal(err)
		}
		c = &a.Candidates[0]
		for _, item := range c.Plan.Items {
			if item.Advice != support.PrintAndCut {
				t.Errorf("what is under an arm: %s", item.Advice)
			}
		}
		if len(c.Plan.Items) == 0 || strings.Contains(c.Resting.Reason, "collapse") {
			t.Errorf("%d regions planned; %s", len(c.Plan.Items), c.Resting.Reason)
		}
		if sizes := a.CheckSizes(c); len(sizes) > 0 {
			t.Errorf("sizes across what sags are to be checked: %+v", sizes)
		}
		for _, g := range c.Gates {
			if g.Name == GateSag && (!g.Passed || g.Reason != couponSagReason) {
				t.Errorf("the sag of the coupon is judged: %+v", g)
			}
		}
		if !strings.Contains(strings.Join(c.Reasons, " "), couponReason) {
			t.Errorf("the reasons %q do not say that it is the coupon", c.Reasons)
		}
		// 1.5 rho g J L^4/h^2, as in the package comment of furnace; the shear and what
		// the root yields make it a seventh more.
		arm, creep := a.CouponArms()[0], b.Material.Creep
		want := 1.143 * 1.5 * creep.DensityKGM3 * 9.80665 * creep.CompliancePerPa * math.Pow(20e-3, 4) / (3e-3 * 3e-3) * 1000
		if math.Abs(arm.SagMM-want) > 0.01*want || arm.SagLowMM >= arm.SagMM || arm.SagHighMM <= arm.SagMM {
			t.Errorf("the arm is expected to sag %+v, want %g", arm, want)
		}
	}
}
