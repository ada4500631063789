package furnace_test

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
	"kilnpoise/orient/furnace"
)

// prism gives the corners of a bar along X with so many sides, lying on one of them.
func prism(radius, length float64, sides int) []r3.Vec {
	var out []r3.Vec
	for _, x := range []float64{-length / 2, length / 2} {
		for k := range sides {
			sin, cos := math.Sincos(2 * math.Pi * (float64(k) + 0.5) / float64(sides))
			out = append(out, r3.Vec{X: x, Y: radius * sin, Z: radius*math.Cos(math.Pi/float64(sides)) - radius*cos})
		}
	}
	return out
}

func corners(x, y, z float64) []r3.Vec {
	var out []r3.Vec
	for k := range 8 {
		out = append(out, r3.Vec{X: x * (float64(k&1) - 0.5), Y: y * (float64(k>>1&1) - 0.5), Z: z * float64(k>>2)})
	}
	return out
}

// bowl gives the corners of the half of a ball, dome down, its lowest point on z = 0.
func bowl(radius float64) []r3.Vec {
	var out []r3.Vec
	for i := range 46 {
		sin, cos := math.Sincos(float64(i) * 2 * math.Pi / 180)
		for k := range 90 {
			s, c := math.Sincos(float64(k) * 4 * math.Pi / 180)
			out = append(out, r3.Vec{X: radius * sin * c, Y: radius * sin * s, Z: radius - radius*cos})
		}
	}
	return out
}

// Flat feet tip over their edge; what is round below stands only by the height of
// its centre of mass against the radius.
func TestStanding(t *testing.T) {
	foot := func(hull []r3.Vec) []r2.Vec {
		var out []r2.Vec
		for _, v := range hull {
			if v.Z <= 0.05 {
				out = append(out, r2.Vec{X: v.X, Y: v.Y})
			}
		}
		return mesh.Outline(out)
	}
	const deg = 180 / math.Pi
	for _, tt := range []struct {
		name       string
		hull       []r3.Vec
		com        float64
		want, give float64
	}{
		{"block 10 x 30", corners(10, 10, 30), 15, math.Atan2(5, 15) * deg, 1e-9},
		{"plate 60 x 60 x 3", corners(60, 60, 3), 1.5, math.Atan2(30, 1.5) * deg, 1e-9},
		{"wall 1 x 20 x 6", corners(20, 1, 6), 3, math.Atan2(0.5, 3) * deg, 1e-9},
		{"round bar of 4, 96 sides", prism(2, 50, 96), 2, 0, 0},
		{"round bar of 4, 16 sides", prism(2, 50, 16), 2 * math.Cos(math.Pi/16), 0, 0},
		{"round bar of 60, 128 sides", prism(30, 50, 128), 30, 0, 0},
		{"hexagon bar", prism(5, 50, 6), 5 * math.Cos(math.Pi/6), 30, 1e-6},
		// Bodies as heavy below as the centre is low: the half ball rises back until its
		// rim touches, whatever the strip below; then 5/8 of the radius against all of it.
		{"half ball, dome down", bowl(10), 10 - 3.0/8*10, 45, 1e-9},
		// The whole ball's lower half with its weight in the middle or above it rolls.
		{"round below, weight at the centre", bowl(10), 10, 0, 0},
		{"round below, weight above the centre", bowl(10), 12, 0, 0},
		{"on a corner", []r3.Vec{{}, {X: 10, Z: 10}, {Y: 10, Z: 10}, {X: -10, Z: 10}, {Y: -10, Z: 10}}, 7, 0, 0},
	} {
		got := furnace.StandingDeg(tt.hull, foot(tt.hull), r3.Vec{Z: tt.com})
		if math.Abs(got-tt.want) > tt.give {
			t.Errorf("%s: %.3f deg, want %.3f", tt.name, got, tt.want)
		}
	}
}

// A rocker: a flat of half width 2 under a cylinder of radius 20 with the weight
// low. Tilted past the flat it rolls back, so the flat does not decide.
func TestRockerRollsBack(t *testing.T) {
	var hull []r3.Vec
	flat := math.Asin(2.0 / 20)
	for _, x := range []float64{-30, 30} {
		for k := -60; k <= 60; k++ {
			a := float64(k) * math.Pi / 180
			if math.Abs(a) >= flat {
				sin, cos := math.Sincos(a)
				hull = append(hull, r3.Vec{X: x, Y: 20 * sin, Z: 20 * (math.Cos(flat) - cos)})
			}
		}
		hull = append(hull, r3.Vec{X: x, Y: 2}, r3.Vec{X: x, Y: -2})
	}
	polygon := []r2.Vec{{X: -30, Y: -2}, {X: 30, Y: -2}, {X: 30, Y: 2}, {X: -30, Y: 2}}
	for _, tt := range []struct{ com, least, most float64 }{{8, 30, 90}, {24, 0, 6}} {
		if got := furnace.StandingDeg(hull, polygon, r3.Vec{Z: tt.com}); got < tt.least || got > tt.most {
			t.Errorf("weight at %g mm: %.2f deg, want %g to %g", tt.com, got, tt.least, tt.most)
		}
	}
}

// A flat foot with many corners tips over its nearest edge, however the part is turned
// on the plate.
func TestStandingOnManyCorners(t *testing.T) {
	const high = 30
	for deg := 0.0; deg < 10; deg += 1.7 {
		turn := mesh.RotationAbout(r3.Vec{Z: 1}, deg*math.Pi/180)
		var hull []r3.Vec
		var foot []r2.Vec
		for k := range 61 { // half a disc, the straight side 3 mm from the centre of mass
			sin, cos := math.Sincos(float64(k) * math.Pi / 60)
			p := turn.MulVec(r3.Vec{X: 20 * cos, Y: 20*sin - 3})
			hull = append(hull, p, r3.Add(p, r3.Vec{Z: high}))
			foot = append(foot, r2.Vec{X: p.X, Y: p.Y})
		}
		com := r3.Vec{Z: high / 2}
		want := math.Atan2(3, high/2) * 180 / math.Pi
		if got := furnace.StandingDeg(hull, mesh.Outline(foot), com); math.Abs(got-want) > 0.01 {
			t.Errorf("turned by %g deg it tips at %.2f deg, want %.2f", deg, got, want)
		}
	}
}

// A fraction of a degree beside a face a part settles on it: it bears no more there than
// on the face.
func TestStandingBesideAFace(t *testing.T) {
	slab := corners(40, 8, 50)
	com := r3.Vec{Y: -1, Z: 25}
	on := furnace.StandingDeg(slab, []r2.Vec{{X: -20, Y: -4}, {X: 20, Y: -4}, {X: 20, Y: 4}, {X: -20, Y: 4}}, com)
	for _, axis := range []r3.Vec{{X: 1}, {Y: 1}, {X: 1, Y: 1}, {X: -1, Y: 0.1}} {
		turn := mesh.RotationAbout(r3.Vec{Z: 1}, 0.77).Mul(mesh.RotationAbout(r3.Unit(axis), 0.003))
		low := math.Inf(1)
		for _, v := range slab {
			low = min(low, turn.MulVec(v).Z)
		}
		var hull []r3.Vec
		var foot []r2.Vec
		for _, v := range slab {
			p := turn.MulVec(v)
			p.Z -= low
			if hull = append(hull, p); p.Z <= 0.05 {
				foot = append(foot, r2.Vec{X: p.X, Y: p.Y})
			}
		}
		at := turn.MulVec(com)
		at.Z -= low
		if beside := furnace.StandingDeg(hull, mesh.Outline(foot), at); beside > on+0.3 {
			t.Errorf("tilted about %v it tips at %.2f deg, on the face at %.2f", axis, beside, on)
		}
	}
}
