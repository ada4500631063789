package furnace_test

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/orient/furnace"
)

func circle(radius float64, n int) []r2.Vec {
	out := make([]r2.Vec, n)
	for i := range out {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(n))
		out[i] = r2.Vec{X: radius * cos, Y: radius * sin}
	}
	return out
}

func square(side float64) []r2.Vec {
	h := side / 2
	return []r2.Vec{{X: -h, Y: -h}, {X: h, Y: -h}, {X: h, Y: h}, {X: -h, Y: h}}
}

// Facts 8 (derived): cylinder of 10 diameter x 40 tips at 14.036 deg, a block of
// 10 x 30 at 18.435 deg.
func TestTipAngle(t *testing.T) {
	tests := []struct {
		name    string
		polygon []r2.Vec
		com     r3.Vec
		want    float64
	}{
		{"cylinder 10 x 40", circle(5, 720), r3.Vec{Z: 20}, 14.036},
		{"block 10 x 30", square(10), r3.Vec{Z: 15}, 18.435},
		{"block, centre off by 3", square(10), r3.Vec{X: 3, Z: 15}, math.Atan2(2, 15) * 180 / math.Pi},
		{"centre on the edge", square(10), r3.Vec{X: 5, Z: 15}, 0},
		{"centre outside", square(10), r3.Vec{X: 9, Z: 15}, 0},
		{"edge", []r2.Vec{{X: -1}, {X: 1}}, r3.Vec{Z: 5}, 0},
		{"nothing", nil, r3.Vec{Z: 5}, 0},
	}
	for _, tt := range tests {
		if got := furnace.TipAngleDeg(tt.polygon, tt.com); math.Abs(got-tt.want) > 1e-3 {
			t.Errorf("%s: %.4f deg, want %.4f", tt.name, got, tt.want)
		}
	}
}

// A square foot of 100 with 16 % shrinkage: its corners slide 50 x 0.16 each way.
func TestSetterTravel(t *testing.T) {
	got := furnace.SetterTravelMM(square(100), r2.Vec{X: 0.16, Y: 0.16})
	if want := 8 * math.Sqrt2; math.Abs(got-want) > 1e-9 {
		t.Errorf("travel = %g mm, want %g", got, want)
	}
	if got := furnace.SetterTravelMM(nil, r2.Vec{X: 0.16, Y: 0.16}); got != 0 {
		t.Errorf("travel of no footprint = %g mm", got)
	}
}
