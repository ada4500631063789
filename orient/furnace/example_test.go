package furnace_test

import (
	"context"
	"fmt"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
	"kilnpoise/orient/furnace"
)

// slab is a box from lo to hi.
func slab(lo, hi r3.Vec) *mesh.Mesh { return furnace.BoxProp(lo, hi, 1).Shape }

// A bracket of a pump: a post with an arm near its top.
func ExampleSolve() {
	bracket := slab(r3.Vec{}, r3.Vec{X: 10, Y: 6, Z: 12})
	bracket.Append(slab(r3.Vec{X: 9, Z: 10}, r3.Vec{X: 19, Y: 6, Z: 12}))

	sag, err := furnace.Solve(context.Background(), bracket, furnace.DefaultCreep(), furnace.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("sag %.1f mm (%.1f to %.1f) at x = %.0f mm, span %.0f mm\n", sag.MM, sag.LowMM, sag.HighMM, sag.At.X, sag.SpanMM)
	// Output: sag 0.4 mm (0.1 to 1.7) at x = 19 mm, span 9 mm
}

// The same arm by hand: 9 mm long, 2 mm thick.
func ExampleBeamSagMM() {
	c := furnace.DefaultCreep()
	sag := furnace.BeamSagMM(furnace.Cantilever, c, 9, 2) * furnace.BeamShearFactor(furnace.Cantilever, c.Poisson, 9, 2)
	fmt.Printf("%.2f mm\n", sag)
	// Output: 0.27 mm
}

// Three arms of the creep coupon, measured after the firing.
func ExampleCalibrate() {
	fit, err := furnace.Calibrate([]furnace.Coupon{
		{Hold: furnace.Cantilever, SpanMM: 10, ThicknessMM: 3, SagMM: 0.22},
		{Hold: furnace.Cantilever, SpanMM: 12, ThicknessMM: 3, SagMM: 0.43},
		{Hold: furnace.Cantilever, SpanMM: 16, ThicknessMM: 3, SagMM: 1.21},
	}, furnace.Firing{DensityKGM3: 7000, Poisson: 0.45, SpanSpread: 0.005, ThicknessSpread: 0.01}, 0.9)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("J = %.1e 1/Pa from %d coupons\n", fit.CompliancePerPa, fit.Used)
	// Output: J = 1.4e-06 1/Pa from 3 coupons
}
