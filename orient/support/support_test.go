package support_test

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
	"kilnpoise/mesh/meshtest"
	"kilnpoise/orient/support"
)

// measure stands m with up pointing up and reads its support.
func measure(m *mesh.Mesh, up r3.Vec, limitDeg float64, lines int) (*support.Stance, support.Volume) {
	var s support.Stance
	var c mesh.Columns
	s.Set(m, mesh.RotationBetween(r3.Unit(up), r3.Vec{Z: 1}), limitDeg)
	s.Columns(&c, lines)
	return &s, s.Measure(&c, true, nil)
}

func up() r3.Vec   { return r3.Vec{Z: 1} }
func down() r3.Vec { return r3.Vec{Z: -1} }

// table is a deck of 60 x 40 x 5 on four legs of 6 x 6 x 30 at its corners.
func table() *mesh.Mesh {
	xs, ys := []float64{0, 6, 54, 60}, []float64{0, 6, 34, 40}
	return meshtest.Blocks(xs, ys, []float64{0, 30, 35}, func(i, j, k int) bool {
		return k == 1 || i != 1 && j != 1
	})
}

// channel is a C of 30 x 20 outside, 5 thick, opening along +x, 50 long in y.
func channel() *mesh.Mesh {
	return meshtest.Blocks([]float64{0, 5, 30}, []float64{0, 50}, []float64{0, 5, 15, 20}, func(i, j, k int) bool {
		return i == 0 || k != 1
	})
}

// hollow is a cube of 30 with a closed void of 10 in its middle.
func hollow() *mesh.Mesh {
	at := []float64{0, 10, 20, 30}
	return meshtest.Blocks(at, at, at, func(i, j, k int) bool { return i != 1 || j != 1 || k != 1 })
}

// Shapes whose overhang and support follow from their dimensions by hand.
func TestBlocksAgainstClosedForms(t *testing.T) {
	tests := []struct {
		name             string
		m                *mesh.Mesh
		up               r3.Vec
		overhang, volume float64
		onPart, scar     float64
		base             float64
	}{
		{name: "block", m: meshtest.Block(10, 20, 30), up: up(), base: 200},
		{name: "table on its legs", m: table(), up: up(), overhang: 60*40 - 4*36, volume: (60*40 - 4*36) * 30, base: 4 * 36},
		{name: "table upside down", m: table(), up: down(), base: 60 * 40},
		// Two legs lie on the plate with the deck's edge; the other two hang 28 over them.
		{name: "table on its long side", m: table(), up: r3.Vec{Y: 1}, overhang: 2 * 6 * 30, volume: 2 * 6 * 30 * 28,
			onPart: 2 * 6 * 30 * 28, scar: 2 * 6 * 30, base: 60*5 + 2*6*30},
		{name: "channel opening sideways", m: channel(), up: up(), overhang: 25 * 50, volume: 25 * 50 * 10,
			onPart: 25 * 50 * 10, scar: 25 * 50, base: 30 * 50},
		{name: "channel opening down", m: channel(), up: r3.Vec{X: -1}, overhang: 10 * 50, volume: 10 * 50 * 25, base: 2 * 5 * 50},
		{name: "channel opening up", m: channel(), up: r3.Vec{X: 1}, base: 20 * 50},
		{name: "closed void", m: hollow(), up: up(), overhang: 100, volume: 1000, onPart: 1000, scar: 100, base: 900},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			s, v := measure(tt.m, tt.up, 45, 240*240)
			near(t, "overhang area", s.OverhangArea, tt.overhang, 1e-9)
			near(t, "base area", s.BaseArea, tt.base, 1e-9)
			near(t, "support volume", v.Whole, tt.volume, 0.002)
			near(t, "support on the part", v.OnPart, tt.onPart, 0.002)
			near(t, "contact", v.Contact(s), tt.overhang+tt.scar, 0.002)
		})
	}
}

// A sphere on the plate, limit 45 degrees: facts 7 (derived): overhang 1.84030
// R^2, projected pi/2 R^2, support 0.216882 R^3 down to the plate.
func TestSphereAgainstClosedForm(t *testing.T) {
	const r = 25.0
	s, v := measure(meshtest.Sphere(r, 240), up(), 45, 400*400)
	near(t, "overhang area", s.OverhangArea, 1.84030*r*r, 0.02)
	near(t, "projected overhang", s.OverhangShadow, math.Pi/2*r*r, 0.02)
	near(t, "support volume", v.Whole, 0.216882*r*r*r, 0.01)
}

// A cone on its tip: all of its side hangs, and under it is the cylinder less
// the cone, two thirds of pi r^2 h.
func TestConeOnItsTip(t *testing.T) {
	const r, h = 30.0, 20.0
	s, v := measure(meshtest.Cone(r, h, 720), down(), 45, 300*300)
	near(t, "overhang area", s.OverhangArea, math.Pi*r*math.Hypot(r, h), 1e-3)
	near(t, "support volume", v.Whole, 2.0/3*math.Pi*r*r*h, 1e-3)
}

// The side of a cone with a half angle of 26.6 degrees prints by itself.
func TestSteepConeNeedsNone(t *testing.T) {
	s, v := measure(meshtest.Cone(15, 30, 720), down(), 45, 100*100)
	if s.OverhangArea != 0 || v.Whole != 0 {
		t.Errorf("overhang %g mm2, support %g mm3, want none", s.OverhangArea, v.Whole)
	}
}

// A face at the limit itself is not under it, whatever the rounding.
func TestFaceAtTheLimit(t *testing.T) {
	cube := meshtest.Block(20, 20, 20)
	for _, tt := range []struct {
		tiltDeg, want float64
	}{{44.9, 400}, {45, 0}, {45.1, 400}} {
		tilt := mesh.RotationAbout(r3.Vec{X: 1}, tt.tiltDeg*math.Pi/180)
		s, _ := measure(cube.Transform(tilt, r3.Vec{}), up(), 45, 100)
		near(t, "overhang area", s.OverhangArea, tt.want, 1e-9)
	}
}

// The slope of a lying cylinder averages 2/pi over its side; its ends count 0.
func TestMeanSlopeOfLyingCylinder(t *testing.T) {
	const r, l = 10.0, 50.0
	s, _ := measure(meshtest.Cylinder(r, l, 720), r3.Vec{X: 1}, 45, 100)
	side, ends := 2*math.Pi*r*l, 2*math.Pi*r*r
	near(t, "mean slope", s.MeanSlope, 2/math.Pi*side/(side+ends), 2e-3)
}

// Turning a part about the build direction changes nothing but the sampling.
func TestSpinChangesNothing(t *testing.T) {
	m := meshtest.Torus(30, 8, 96)
	tilt := mesh.RotationAbout(r3.Vec{X: 1}, 0.7)
	s0, v0 := measure(m.Transform(tilt, r3.Vec{}), up(), 45, 256*256)
	for _, angle := range []float64{0.3, 1.1, 2.9} {
		spun := m.Transform(mesh.RotationAbout(r3.Vec{Z: 1}, angle).Mul(tilt), r3.Vec{X: 5, Y: -3, Z: 8})
		s, v := measure(spun, up(), 45, 256*256)
		near(t, "overhang area", s.OverhangArea, s0.OverhangArea, 1e-9)
		near(t, "support volume", v.Whole, v0.Whole, 0.005)
	}
}

// The promise to the user: doubling the grid both ways moves the volume by less
// than one per cent.
func TestGridIsFineEnough(t *testing.T) {
	if testing.Short() {
		t.Skip("short: numbers alone, and many of them")
	}
	for name, m := range map[string]*mesh.Mesh{"torus": meshtest.Torus(30, 8, 96), "table": table()} {
		for _, u := range []r3.Vec{{X: 1}, {X: 1, Y: 0.3, Z: 0.4}, {Y: 0.2, Z: -1}} {
			_, coarse := measure(m, u, 45, 256*256)
			_, fine := measure(m, u, 45, 512*512)
			if math.Abs(coarse.Whole-fine.Whole) > 0.01*fine.Whole {
				t.Errorf("%s, up %v: %g and, on a grid twice as fine, %g mm3", name, u, coarse.Whole, fine.Whole)
			}
		}
	}
}

func near(t testing.TB, what string, got, want, relative float64) {
	t.Helper()
	if math.Abs(got-want) > relative*math.Abs(want)+1e-9 {
		t.Errorf("%s = %g, want %g within %g %%", what, got, want, 100*relative)
	}
}

func BenchmarkOneDirection(b *testing.B) {
	m := meshtest.Torus(30, 8, 100) // 20 000 facets
	var s support.Stance
	var c mesh.Columns
	tilt := mesh.RotationAbout(r3.Vec{X: 1}, 0.7)
	b.ReportAllocs()
	for range b.N {
		s.Set(m, tilt, 45)
		s.Columns(&c, 128*128)
		s.Measure(&c, true, nil)
	}
}
