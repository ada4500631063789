package book

import (
	"testing"

	"github.com/google/go-cmp/cmp"
	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/orient/furnace"
	"kilnpoise/orient/process"
)

// A fit gets what was measured after the furnace, by run.
func TestReadingsForAFit(t *testing.T) {
	f := lid()
	f.ID = 4
	alone := f
	alone.ID, alone.Run = 5, ""
	got := Readings([]Firing{f, alone})
	want := []process.Reading{
		{Firing: "setter-100x100 2026-03-02 2026-014", Name: "pump lid, width", Date: f.Date, Direction: r3.Vec{Y: 1}, GreenMM: 47.6, SinteredMM: 39.94, GreenErrorMM: 0.04, SinteredErrorMM: 0.02},
		{Firing: "setter-100x100 2026-03-02 2026-014", Name: "pump lid, bore to bore", Date: f.Date, Direction: r3.Unit(r3.Vec{X: 1, Z: 1}), Across: process.Points,
			GreenMM: 30, SinteredMM: 24.6, GreenErrorMM: 0.03, SinteredErrorMM: 0.03, LeftOut: true},
	}
	for i := range 2 {
		next := want[i]
		next.Firing, next.Name = "5", lid().Readings[i].Name
		want = append(want, next)
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
	if w := f.Weighing(); w.Firing != want[0].Firing || w.GreenMassG != 41.2 || w.SinteredVolumeMM3 != 4700 {
		t.Errorf("weighing %+v", w)
	}
	if c := Coupons([]Firing{f}); len(c) != 2 || c[1] != (furnace.Coupon{Hold: furnace.BuiltIn, SpanMM: 30, ThicknessMM: 2}) {
		t.Errorf("coupons %+v", c)
	}
}

// A quarter turn about X brings the part's Y up.
func TestInPrintFrame(t *testing.T) {
	turn := [3][3]float64{{1, 0, 0}, {0, 0, -1}, {0, 1, 0}}
	if got := InPrintFrame(turn, r3.Vec{Y: 1}); got != (r3.Vec{Z: 1}) {
		t.Errorf("got %v", got)
	}
}

// The numbers that the file keeps are those of the constants, for ever.
func TestNumbersInTheFile(t *testing.T) {
	if process.Faces != 0 || process.Points != 1 || furnace.Cantilever != 0 || furnace.SimplySupported != 1 || furnace.BuiltIn != 2 {
		t.Error("books written before would be read wrongly: add a step that changes the numbers in the file")
	}
}
