package orient

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
	"kilnpoise/mesh/meshtest"
)

// hollowBlock is a block of the given outer size with a closed cavity, walls as
// thick as given all round.
func hollowBlock(x, y, z, wall float64) *mesh.Mesh {
	cuts := func(l float64) []float64 { return []float64{0, wall, l - wall, l} }
	return meshtest.Blocks(cuts(x), cuts(y), cuts(z), func(i, j, k int) bool { return i != 1 || j != 1 || k != 1 })
}

// tiedPlates are a plate lying and one standing, as thick as given, held together by
// a web of 2 mm.
func tiedPlates(lying, standing float64) *mesh.Mesh {
	return meshtest.Blocks([]float64{0, 40, 50, 50 + standing}, []float64{0, 40}, []float64{0, 2, lying, 40}, func(i, _, k int) bool {
		return i == 0 && k < 2 || i == 1 && k == 0 || i == 2
	})
}

// The thickest green wall by closed form: between two faces with the unit normal n
// that are D apart it is D / |n / factors|. 16/16/20 per cent make the factors
// 1/0.84, 1/0.84 and 1/0.80.
func TestThickestGreenWall(t *testing.T) {
	if testing.Short() {
		t.Skip("short: numbers alone, and many of them")
	}
	b := testBrief(t)
	b.Material.Shrinkage = [3]float64{0.16, 0.16, 0.2}
	x, y, z := r3.Vec{X: 1}, r3.Vec{Y: 1}, r3.Vec{Z: 1}
	tilted := r3.Unit(r3.Vec{X: 1, Z: 1})
	pin := meshtest.Cylinder(5.08, 60, 120)
	plate := meshtest.Block(50, 40, 4)
	bar := &mesh.Mesh{ // all sides of its section 20 mm
		Vertices: []r3.Vec{{}, {X: 20}, {X: 10, Z: 17.3205}, {Y: 40}, {X: 20, Y: 40}, {X: 10, Y: 40, Z: 17.3205}},
		Facets:   [][3]int32{{0, 1, 2}, {3, 5, 4}, {0, 4, 1}, {0, 3, 4}, {1, 5, 2}, {1, 4, 5}, {2, 3, 0}, {2, 5, 3}},
	}
	across := func(n r3.Vec) float64 { return 1 / math.Sqrt(0.84*0.84*(n.X*n.X+n.Y*n.Y)+0.8*0.8*n.Z*n.Z) }
	for _, tt := range []struct {
		name   string
		mesh   *mesh.Mesh
		up     r3.Vec
		want   float64
		cavity bool
	}{
		{"pin upright", pin, z, 10.16 / 0.84, false},
		{"pin lying", pin, x, 10.16 / 0.84, false}, // the upright way across it is wider
		{"pin at 45 degrees", pin, tilted, 10.16 / 0.84, false},
		{"plate lying", plate, z, 4 / 0.8, false},
		{"plate upright", plate, x, 4 / 0.84, false},
		{"plate on its long edge", plate, y, 4 / 0.84, false},
		{"plate at 45 degrees", plate, tilted, 4 * across(tilted), false},
		{"ball", meshtest.Sphere(9, 80), tilted, 18 / 0.84, false},
		{"block", meshtest.Block(12, 20, 30), z, 12 / 0.84, false},
		{"block on its broad side", meshtest.Block(12, 20, 30), x, 12 / 0.8, false},
		{"cube", meshtest.Block(10, 10, 10), z, 10 / 0.84, false},
		{"tube", meshtest.Lathe([][2]float64{{10, 0}, {13, 0}, {13, 40}, {10, 40}, {10, 0}}, 200), z, 3 / 0.84, false},
		{"three-sided bar", bar, y, 2 * 20 / 0.84 * 17.3205 / 0.84 / (20/0.84 + 2*math.Hypot(10/0.84, 17.3205/0.84)), false},
		{"three-sided bar lying", bar, z, 2 * 20 / 0.84 * 17.3205 / 0.8 / (20/0.84 + 2*math.Hypot(10/0.84, 17.3205/0.8)), false},
		{"three-sided bar on an edge", bar, x, 2 * 20 / 0.8 * 17.3205 / 0.84 / (20/0.8 + 2*math.Hypot(10/0.8, 17.3205/0.84)), false},
		{"hollow block", hollowBlock(40, 40, 40, 3), z, 2 * 3 / 0.8, true}, // its floor
		{"hollow ball", hollowBall(15, 11, 60), z, 2 * 4 / 0.8, true},
	} {
		for _, turn := range []mesh.Matrix{mesh.Identity(), mesh.RotationAbout(r3.Unit(r3.Vec{X: 1, Y: 2, Z: -1}), 0.9)} {
			part := mendedPart(t, tt.name, tt.mesh.Transform(turn, r3.Vec{X: 5}))
			m := measured(t, b, part, turn.MulVec(tt.up))
			if math.Abs(m.ThickestGreenWallMM-tt.want) > 0.004*tt.want {
				t.Errorf("%s: %.3f mm, want %.3f", tt.name, m.ThickestGreenWallMM, tt.want)
			}
			if m.ThickestWallAtCavity != tt.cavity {
				t.Errorf("%s: at a cavity: %v", tt.name, m.ThickestWallAtCavity)
			}
		}
	}
}

// Of two walls nearly alike the one that lies across the axis that shrinks most is
// the thickest when green, though it is the thinner one when sintered.
func TestThickestGreenWallChangesPlace(t *testing.T) {
	b := testBrief(t)
	b.Material.Shrinkage = [3]float64{0.16, 0.16, 0.2}
	part := mendedPart(t, "tied plates", tiedPlates(5.8, 6))
	for _, tt := range []struct {
		up   r3.Vec
		want float64
		x    [2]float64 // where, on the part
	}{
		{r3.Vec{Z: 1}, 5.8 / 0.8, [2]float64{0, 40}},
		{r3.Vec{X: 1}, 6 / 0.8, [2]float64{50, 56}},
		{r3.Vec{Y: 1}, 6 / 0.84, [2]float64{50, 56}},
	} {
		s, err := NewStudy(t.Context(), part)
		if err != nil {
			t.Fatal(err)
		}
		pose, _ := poseFor(tt.up, s.full.hull, b.oversizeOf())
		m := newGauge(s.full, b).read(pose, shortListLines).measures
		if math.Abs(m.ThickestGreenWallMM-tt.want) > 1e-3*tt.want {
			t.Errorf("up %v: %.3f mm, want %.3f", tt.up, m.ThickestGreenWallMM, tt.want)
		}
		corner := pose.Green(part.Mesh).Vertices[0] // tells how the green part was moved
		o := mesh.Diagonal(inverse(pose.Oversize))
		at := r3.Add(part.Mesh.Vertices[0], pose.Rotation.Transpose().MulVec(o.MulVec(r3.Sub(m.ThickestWallAtMM.Vec(), corner))))
		if at.X < tt.x[0] || at.X > tt.x[1] {
			t.Errorf("up %v: at %v of the part, want X in %v", tt.up, at, tt.x)
		}
	}
}

// The thinnest green wall by closed form, as for the thickest.
func TestThinnestGreenWall(t *testing.T) {
	if testing.Short() {
		t.Skip("short: numbers alone, and many of them")
	}
	b := testBrief(t)
	b.Material.Shrinkage = [3]float64{0.16, 0.16, 0.2}
	fin := meshtest.Blocks([]float64{0, 62, 62.4, 100}, []float64{0, 20, 28, 100}, []float64{0, 30, 38}, func(i, j, k int) bool {
		return k == 0 || i == 1 && j == 1
	})
	shelf := meshtest.Blocks([]float64{0, 62, 62.4, 100, 110}, []float64{0, 20, 28, 100}, []float64{0, 10, 10.41, 30, 38}, func(i, j, k int) bool {
		return k < 3 && i < 3 || k == 3 && i == 1 && j == 1 || k == 1 && i == 3 && j == 1
	})
	pinned := meshtest.Block(100, 100, 30)
	pinned.Append(meshtest.Cylinder(0.25, 8, 48).Transform(mesh.Identity(), r3.Vec{X: 71, Y: 33, Z: 28}))
	for _, tt := range []struct {
		name string
		mesh *mesh.Mesh
		up   r3.Vec
		want float64
	}{
		{"fin standing", fin, r3.Vec{Z: 1}, 0.4 / 0.84},
		{"fin lying", fin, r3.Vec{X: 1}, 0.4 / 0.8},
		{"fin of 0.40 mm standing, shelf of 0.41 mm lying", shelf, r3.Vec{Z: 1}, 0.4 / 0.84},
		{"the same, the shelf upright", shelf, r3.Vec{X: 1}, 0.41 / 0.84},
		{"pin upright", pinned, r3.Vec{Z: 1}, 0.5 / 0.84},
		{"pin lying", pinned, r3.Vec{X: 1}, 0.5 / 0.84}, // the narrow way across it
		{"walls of a hollow block", hollowBlock(40, 40, 40, 3), r3.Vec{Z: 1}, 3 / 0.84},
		{"plates of 5.8 and 6 mm, web of 2 mm", tiedPlates(5.8, 6), r3.Vec{Z: 1}, 2 / 0.8},
	} {
		for _, turn := range []mesh.Matrix{mesh.Identity(), mesh.RotationAbout(r3.Unit(r3.Vec{X: 1, Y: 2, Z: -1}), 0.9)} {
			part := mendedPart(t, tt.name, tt.mesh.Transform(turn, r3.Vec{X: 5}))
			m := measured(t, b, part, turn.MulVec(tt.up))
			if math.Abs(m.ThinnestGreenWallMM-tt.want) > 0.004*tt.want {
				t.Errorf("%s: %.4f mm, want %.4f", tt.name, m.ThinnestGreenWallMM, tt.want)
			}
		}
	}
}

// measured gives the measures of the part built along up.
func measured(t *testing.T, b Brief, part *mesh.Part, up r3.Vec) Measures {
	t.Helper()
	s, err := NewStudy(t.Context(), part)
	if err != nil {
		t.Fatal(err)
	}
	return readLevel(s.full, b, up)
}
