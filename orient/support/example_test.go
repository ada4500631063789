package support_test

import (
	"context"
	"fmt"

	"kilnpoise/orient/support"
)

// A deck on two walls, 12 mm apart: what to do about it, and the bodies to print
// with it.
func ExampleSite_Plan() {
	site := support.NewSite(bridge(12, 30), 45, 128*128, true, nil)
	limits := support.DefaultLimits()
	limits.Cutter = support.Cutter{DiameterMM: 6, LengthMM: 40, HolderMM: 20}
	plan, err := site.Plan(context.Background(), limits, nil)
	if err != nil {
		fmt.Println(err)
		return
	}
	item := plan.Items[0]
	fmt.Println(item.Advice)
	fmt.Printf("spans %.1f mm, %.0f mm3 of support\n", item.Region.Bridge.SpanMM, item.Region.VolumeMM3)
	fmt.Println(item.Others[0].Words)
	bodies, err := site.SupportBodies(context.Background(), plan, support.DefaultBodySettings(), nil)
	fmt.Println(bodies[0].Name, err)
	// Output:
	// print and cut green
	// spans 12.0 mm, 7200 mm3 of support
	// Fill the corners at both ends with chamfers, 4.5 mm high and 4.5 mm wide, so that 3.0 mm are left to bridge.
	// support 1 <nil>
}
