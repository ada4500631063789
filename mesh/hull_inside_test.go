package mesh_test

import (
	"context"
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"kilnpoise/mesh"
	"kilnpoise/mesh/meshtest"
)

// cloud is a mesh whose facets use every point, in whatever way.
func cloud(points []r3.Vec) *mesh.Mesh {
	m := &mesh.Mesh{Vertices: points}
	for i := range len(points) - 2 {
		m.Facets = append(m.Facets, [3]int32{int32(i), int32(i + 1), int32(i + 2)})
	}
	return m
}

// sliver is the height of a facet against its length below which its plane is
// anybody's: the rounding of its corners turns it. Its neighbours stand in for it.
const sliver = 1e-4

func longest(a, b, c r3.Vec) float64 {
	return max(r3.Norm(r3.Sub(b, a)), r3.Norm(r3.Sub(c, b)), r3.Norm(r3.Sub(a, c)))
}

// farthestOut gives how far some vertex of m, one of every so many, lies beyond a
// facet of its hull, mm.
func farthestOut(t testing.TB, hull, m *mesh.Mesh, every int) float64 {
	t.Helper()
	var most float64
	size := m.Bounds().Diagonal()
	for i := range hull.Facets {
		a, b, c := hull.Corners(i)
		n := hull.AreaVector(i)
		if long := longest(a, b, c); r3.Norm(n) < sliver*size*long {
			continue
		}
		n = r3.Unit(n)
		level := r3.Dot(n, a)
		for k := i % every; k < len(m.Vertices); k += every {
			most = max(most, r3.Dot(n, m.Vertices[k])-level)
		}
	}
	return most
}

// checkHull fails unless the hull is closed, encloses something, and no vertex is
// farther out than allowed.
func checkHull(t testing.TB, m *mesh.Mesh, every int, allowed float64) *mesh.Mesh {
	t.Helper()
	hull, err := m.Hull(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	sides := map[[2]int32]bool{}
	for _, f := range hull.Facets {
		for k := range 3 {
			sides[[2]int32{f[k], f[(k+1)%3]}] = true
		}
	}
	for s := range sides {
		if !sides[[2]int32{s[1], s[0]}] {
			t.Fatal("the hull is not closed")
		}
	}
	if len(sides) != 3*len(hull.Facets) || hull.Volume() <= 0 {
		t.Fatalf("%d sides of %d facets, %g mm3", len(sides), len(hull.Facets), hull.Volume())
	}
	if out := farthestOut(t, hull, m, every); out > allowed {
		t.Errorf("a vertex lies %.3g mm outside, allowed are %.3g", out, allowed)
	}
	return hull
}

// Of very many vertices none lies outside by more than a ten-thousandth of the
// part's size, also of rods, plates and cones of slivers.
func TestHullOfManyVertices(t *testing.T) {
	turn := mesh.RotationAbout(r3.Unit(r3.Vec{X: 1, Y: 2, Z: 3}), 0.7)
	for name, m := range map[string]*mesh.Mesh{
		"ball": meshtest.Sphere(20, 360), "rod": ribbed(2, 300, 300, 210), "plate": ribbed(150, 1.5, 300, 210),
		"cone of slivers": meshtest.Cone(30, 60, 63_000), "ring": meshtest.Torus(40, 5, 250),
	} {
		if len(m.Vertices) <= 60_000 {
			t.Fatalf("%s: %d vertices are taken as they are", name, len(m.Vertices))
		}
		m = m.Transform(turn, r3.Vec{X: 11, Y: 5, Z: -30})
		hull := checkHull(t, m, 499, 1e-4*m.Bounds().Diagonal())
		if len(hull.Vertices) > 40_000 {
			t.Errorf("%s: %d corners are left of %d", name, len(hull.Vertices), len(m.Vertices))
		}
		// The flats are as they were: the hull does not lose them to its tolerance.
		if name == "rod" || name == "plate" {
			down := turn.MulVec(r3.Vec{Z: -1})
			var flat float64
			for i := range hull.Facets {
				if n := hull.AreaVector(i); r3.Dot(n, down) > (1-1e-12)*r3.Norm(n) {
					flat += r3.Norm(n)
				}
			}
			if want := m.Bounds().Diagonal(); flat <= 0 {
				t.Errorf("%s of %g mm has lost its foot", name, want)
			}
		}
	}
}

// ribbed is an upright cylinder of so many rings of so many corners, the rings
// alternately a little narrower.
func ribbed(radius, height float64, rings, around int) *mesh.Mesh {
	profile := [][2]float64{{0, 0}}
	for i := range rings {
		r := radius
		if i%2 == 1 && i != rings-1 {
			r *= 0.999
		}
		profile = append(profile, [2]float64{r, height * float64(i) / float64(rings-1)})
	}
	return meshtest.Lathe(append(profile, [2]float64{0, height}), around)
}

// Crowded, flat, repeated and rounded points: the hull holds them all.
func TestHullHoldsEveryPoint(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := cloud(drawPoints(t))
		hull, err := m.Hull(context.Background())
		if errors.Is(err, mesh.ErrFlat) {
			return
		}
		if err != nil {
			t.Fatal(err)
		}
		var largest float64
		for _, v := range m.Vertices {
			largest = max(largest, math.Abs(v.X), math.Abs(v.Y), math.Abs(v.Z))
		}
		for i := range hull.Facets {
			a, b, c := hull.Corners(i)
			n := hull.AreaVector(i)
			if long := longest(a, b, c); r3.Norm(n) < sliver*long*long {
				continue
			}
			for _, v := range m.Vertices {
				if out := r3.Dot(r3.Unit(n), r3.Sub(v, a)); out > 2e-7*largest {
					t.Fatalf("of points up to %g mm one lies %.3g mm outside", largest, out)
				}
			}
		}
	})
}

// drawPoints draws points in a box or on a dome, squashed, on a grid, turned, far
// away, rounded to 32 bits.
func drawPoints(t *rapid.T) []r3.Vec {
	r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 1))
	flat := math.Pow(10, -rapid.Float64Range(0, 7).Draw(t, "flat"))
	steps := rapid.SampledFrom([]float64{1e9, 1000, 20, 3}).Draw(t, "steps")
	dome, rounded := rapid.Bool().Draw(t, "dome"), rapid.Bool().Draw(t, "rounded")
	axis := r3.Unit(r3.Vec{X: 1 + r.Float64(), Y: r.Float64(), Z: r.Float64()})
	turn := mesh.RotationAbout(axis, rapid.Float64Range(0, 3).Draw(t, "angle"))
	shift := r3.Scale(rapid.Float64Range(0, 500).Draw(t, "far"), axis)
	points := make([]r3.Vec, rapid.IntRange(4, 400).Draw(t, "points"))
	for i := range points {
		step := func() float64 { return math.Round(steps*r.Float64()) / steps }
		v := r3.Vec{X: step(), Y: step(), Z: step()}
		if dome {
			v.Z = math.Sqrt(max(2-v.X*v.X-v.Y*v.Y, 0))
		}
		v.Z *= flat
		v = r3.Add(turn.MulVec(r3.Scale(50, v)), shift)
		if rounded {
			v = r3.Vec{X: float64(float32(v.X)), Y: float64(float32(v.Y)), Z: float64(float32(v.Z))}
		}
		points[i] = v
	}
	return points
}
