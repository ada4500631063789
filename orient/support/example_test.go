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
	fmt.Println(item.Reason)
	fmt.Println(item.Others[0].Words)
	bodies, err := site.SupportBodies(context.Background(), plan, support.DefaultBodySettings(), nil)
	fmt.Println(bodies[0].Name, err)
	// Output:
	// print and cut green
	// A ceiling of 360 mm2, 20.0 mm above the plate, that spans 12.0 mm; the printer bridges 3.0 mm. The cutter gets at 98 % of its support from +Y.
	// Fill the corners at both ends with chamfers, 4.5 mm high and 4.5 mm wide, so that 3.0 mm are left to bridge.
	// support 1 <nil>
}
