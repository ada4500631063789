package mesh_test

import (
	"math"
	"math/rand/v2"
	"runtime"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
	"kilnpoise/mesh/meshtest"
)

// bodyWith is a block of 100 x 100 x 30 mm with more of the given cells on top.
func bodyWith(xs, ys, zs []float64, more func(i, j, k int) bool) *mesh.Mesh {
	cuts := func(inner []float64) []float64 { return append(append([]float64{0}, inner...), 100) }
	return meshtest.Blocks(cuts(xs), cuts(ys), append([]float64{0, 30}, zs...), func(i, j, k int) bool {
		return k == 0 || more(i, j, k)
	})
}

// withPin is the block with a round pin of the given diameter and free length.
func withPin(diameter, free float64, sides int) *mesh.Mesh {
	m := meshtest.Block(100, 100, 30)
	m.Append(meshtest.Cylinder(diameter/2, free+2, sides).Transform(mesh.Identity(), r3.Vec{X: 71, Y: 33, Z: 28}))
	return m
}

// blade is a prism of a triangle with the given angle at its edge, 30 mm high.
func blade(deg float64) *mesh.Mesh {
	half := 30 * math.Tan(deg/2*math.Pi/180)
	return &mesh.Mesh{
		Vertices: []r3.Vec{{X: -half}, {X: half}, {Z: 30}, {X: -half, Y: 40}, {X: half, Y: 40}, {Y: 40, Z: 30}},
		Facets:   [][3]int32{{0, 1, 2}, {3, 5, 4}, {0, 4, 1}, {0, 3, 4}, {1, 5, 2}, {1, 4, 5}, {2, 3, 0}, {2, 5, 3}},
	}
}

// rounded is a disc, 40 mm across and high, all its edges rounded or chamfered.
func rounded(high, edge float64, steps int) *mesh.Mesh {
	profile := [][2]float64{{0, 0}}
	for _, top := range []bool{false, true} {
		for i := range steps + 1 {
			sin, cos := math.Sincos(math.Pi / 2 * float64(i) / float64(steps))
			if top {
				profile = append(profile, [2]float64{20 - edge + edge*cos, high - edge + edge*sin})
			} else {
				profile = append(profile, [2]float64{20 - edge + edge*sin, edge - edge*cos})
			}
		}
	}
	return meshtest.Lathe(append(profile, [2]float64{0, high}), 90)
}

// eccentric is a tube, 20 mm across, its bore of 16 mm off the middle.
func eccentric(off float64) *mesh.Mesh {
	m := meshtest.Lathe([][2]float64{{8, 0}, {10, 0}, {10, 30}, {8, 30}, {8, 0}}, 180)
	for i, v := range m.Vertices {
		if math.Hypot(v.X, v.Y) < 9 {
			m.Vertices[i].X += off
		}
	}
	return m
}

// lettered is a plate of 3 mm with ridges on it, each ridge and each groove between
// them of the given width.
func lettered(width, high float64) *mesh.Mesh {
	var cuts []float64
	for i := range 30 {
		cuts = append(cuts, 10+float64(i)*width)
	}
	xs := append(append([]float64{0}, cuts...), 60)
	return meshtest.Blocks(xs, []float64{0, 20, 30, 50}, []float64{0, 3, 3 + high}, func(i, j, k int) bool {
		return k == 0 || j == 1 && i%2 == 1 && i < len(cuts)
	})
}

// scanned is a plate of 2 mm whose faces are rough by a few hundredths.
func scanned(noise float64) *mesh.Mesh {
	var cuts []float64
	for i := range 61 {
		cuts = append(cuts, float64(i)/2)
	}
	m := meshtest.Blocks(cuts, cuts, []float64{0, 2}, func(_, _, _ int) bool { return true })
	r := rand.New(rand.NewPCG(1, 2))
	for i := range m.Vertices {
		m.Vertices[i].Z += noise * (2*r.Float64() - 1)
	}
	return m
}

// The thinnest wall by closed form. What is no wall is passed over: the part's next
// thinnest counts, or where nothing faces anything the largest ball.
func TestThinnestWall(t *testing.T) {
	if testing.Short() {
		t.Skip("short: numbers alone, and many of them")
	}
	finAt := func(from, to float64) []float64 { return []float64{from, to} }
	fin := bodyWith(finAt(62, 62.4), finAt(20, 28), []float64{38}, func(i, j, _ int) bool { return i == 1 && j == 1 })
	small := bodyWith(finAt(62, 62.4), finAt(20, 21.2), []float64{31.2}, func(i, j, _ int) bool { return i == 1 && j == 1 })
	strut := bodyWith(finAt(10, 10.5), finAt(80, 80.5), []float64{36}, func(i, j, _ int) bool { return i == 1 && j == 1 })
	floor := meshtest.Blocks([]float64{0, 30, 33, 100}, []float64{0, 50, 53, 100}, []float64{0, 0.6, 20}, func(i, j, k int) bool {
		return k == 0 || i != 1 || j != 1
	})
	ball := func(deg float64) float64 { // inscribed in the blade's section
		half := deg / 2 * math.Pi / 180
		base, side := 2*30*math.Tan(half), 30/math.Cos(half)
		return 2 * base * 30 / (base + 2*side)
	}
	for _, tt := range []struct {
		name     string
		mesh     *mesh.Mesh
		want, to float64
		low, top r3.Vec // where; anywhere for zero
	}{
		{"fin of 0.4 mm", fin, 0.4, 1e-6, r3.Vec{X: 62, Y: 20, Z: 30}, r3.Vec{X: 62.4, Y: 28, Z: 38}},
		{"fin of 0.4 mm, just over 1 mm2", small, 0.4, 1e-6, r3.Vec{X: 62, Y: 20, Z: 30}, r3.Vec{X: 62.4, Y: 21.2, Z: 31.2}},
		{"square strut of 0.5 mm", strut, 0.5, 1e-6, r3.Vec{X: 10, Y: 80, Z: 30}, r3.Vec{X: 10.5, Y: 80.5, Z: 36}},
		{"pin of 0.5 mm", withPin(0.5, 5, 24), 0.5 * math.Cos(math.Pi/24), 1e-3, r3.Vec{X: 70, Y: 32, Z: 30}, r3.Vec{X: 72, Y: 34, Z: 35}},
		{"pin of 0.5 mm, eleven sides", withPin(0.5, 5, 11), 0.5 * math.Cos(math.Pi/11), 0.03, r3.Vec{X: 70, Y: 32, Z: 30}, r3.Vec{X: 72, Y: 34, Z: 35}},
		{"pocket with a floor of 0.6 mm", floor, 0.6, 1e-6, r3.Vec{X: 30, Y: 50}, r3.Vec{X: 33, Y: 53, Z: 0.6}},
		{"eccentric tube", eccentric(1.5), 0.5, 0.01, r3.Vec{X: 9.4, Y: -1}, r3.Vec{X: 10, Y: 1, Z: 30}},
		{"blade of 15 degrees", blade(15), ball(15), 2e-3, r3.Vec{}, r3.Vec{}},
		// Slender enough to be a wall, from where it does not change by more than half over a millimetre.
		{"blade of 8 degrees", blade(8), 4 * math.Tan(4*math.Pi/180), 0.03, r3.Vec{}, r3.Vec{}},
		{"rounded disc", rounded(10, 2, 8), 10, 2e-3, r3.Vec{}, r3.Vec{}},
		{"chamfered disc", rounded(10, 0.5, 1), 10, 2e-3, r3.Vec{}, r3.Vec{}},
		{"disc round all along its edge", rounded(3, 1.5, 8), 3, 6e-3, r3.Vec{}, r3.Vec{}},
		{"raised lettering", lettered(0.4, 0.3), 3, 2e-3, r3.Vec{}, r3.Vec{}},
		{"deeper lettering", lettered(0.8, 0.8), 3, 2e-3, r3.Vec{}, r3.Vec{}},
		{"rough plate", scanned(0.03), 2, 0.05, r3.Vec{}, r3.Vec{}},
		{"cone", meshtest.Cone(4, 20, 60), 2 * 4 * 20 / (4 + math.Hypot(4, 20)), 3e-3, r3.Vec{}, r3.Vec{}},
	} {
		for _, turn := range []mesh.Matrix{mesh.Identity(), mesh.RotationAbout(r3.Unit(r3.Vec{X: 1, Y: -2, Z: 0.7}), 2.1)} {
			w, err := tt.mesh.Transform(turn, r3.Vec{}).Walls(t.Context(), nil)
			if err != nil {
				t.Fatal(err)
			}
			if got := w.Thin[0].MM; math.Abs(got-tt.want) > tt.to*tt.want+1e-9 {
				t.Errorf("%s: %.4f mm at %.2f, want %.4f", tt.name, got, turn.Transpose().MulVec(w.Thin[0].At), tt.want)
			}
			const rounding = 1e-6
			at := turn.Transpose().MulVec(w.Thin[0].At)
			low, top := r3.Sub(at, tt.low), r3.Sub(tt.top, at)
			if tt.top != (r3.Vec{}) && min(low.X, low.Y, low.Z, top.X, top.Y, top.Z) < -rounding {
				t.Errorf("%s: at %.2f, want between %.2f and %.2f", tt.name, at, tt.low, tt.top)
			}
		}
	}
}

// The same walls on any number of cores.
func TestWallsOnAnyCores(t *testing.T) {
	m := withPin(0.5, 5, 24)
	want, err := m.Walls(t.Context(), nil)
	if err != nil {
		t.Fatal(err)
	}
	onCores(t, 1, func() {
		got, err := m.Walls(t.Context(), nil)
		if err != nil {
			t.Fatal(err)
		}
		for _, pair := range [][2][]mesh.Wall{{got.Thick, want.Thick}, {got.Thin, want.Thin}} {
			if len(pair[0]) != len(pair[1]) {
				t.Fatalf("%d walls, were %d", len(pair[0]), len(pair[1]))
			}
			for i, w := range pair[0] {
				if w.MM != pair[1][i].MM || w.At != pair[1][i].At {
					t.Errorf("%.9g mm at %v, was %.9g at %v", w.MM, w.At, pair[1][i].MM, pair[1][i].At)
				}
			}
		}
	})
}

// onCores runs work on so many cores.
func onCores(t *testing.T, n int, work func()) {
	t.Helper()
	was := runtime.GOMAXPROCS(n)
	defer runtime.GOMAXPROCS(was)
	work()
}
