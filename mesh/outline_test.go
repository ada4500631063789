package mesh_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
	"pgregory.net/rapid"

	"kilnpoise/mesh"
)

func rectangle(long, short, angle float64) []r2.Vec {
	sin, cos := math.Sincos(angle)
	var out []r2.Vec
	for _, c := range [][2]float64{{-1, -1}, {1, -1}, {1, 1}, {-1, 1}, {0, 0}, {0, 1}} {
		u, v := c[0]*long/2, c[1]*short/2
		out = append(out, r2.Vec{X: cos*u - sin*v, Y: sin*u + cos*v})
	}
	return out
}

func TestSmallestRectangleFindsTheTurn(t *testing.T) {
	for _, angle := range []float64{0, 0.3, 1.2, -0.7, math.Pi / 2} {
		r := mesh.SmallestRectangle(mesh.Outline(rectangle(40, 15, angle)))
		if math.Abs(r.Long-40) > 1e-9 || math.Abs(r.Short-15) > 1e-9 {
			t.Errorf("turned by %g: %g x %g, want 40 x 15", angle, r.Long, r.Short)
		}
		if d := math.Remainder(r.Angle-angle, math.Pi); math.Abs(d) > 1e-9 {
			t.Errorf("turned by %g: the long side at %g", angle, r.Angle)
		}
	}
}

// A square has four smallest rectangles: the one turned least is taken.
func TestSmallestRectangleOfSquareIsNotTurned(t *testing.T) {
	if r := mesh.SmallestRectangle(mesh.Outline(rectangle(20, 20, 0))); r.Angle != 0 {
		t.Errorf("angle = %g, want 0", r.Angle)
	}
}

func TestOutlineHoldsAllPoints(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		coordinate := rapid.Float64Range(-100, 100)
		points := rapid.SliceOfN(rapid.Custom(func(t *rapid.T) r2.Vec {
			return r2.Vec{X: coordinate.Draw(t, "x"), Y: coordinate.Draw(t, "y")}
		}), 3, 40).Draw(t, "points")
		all := append([]r2.Vec(nil), points...)
		outline := mesh.Outline(points)
		if len(outline) < 3 {
			return
		}
		for _, p := range all {
			for i, a := range outline {
				b := outline[(i+1)%len(outline)]
				if r2.Cross(r2.Sub(b, a), r2.Sub(p, a)) < -1e-6*(1+r2.Norm(r2.Sub(b, a))) {
					t.Fatalf("%v lies outside the edge from %v to %v", p, a, b)
				}
			}
		}
	})
}

func TestOutlineOfFewPoints(t *testing.T) {
	if got := mesh.Outline(nil); len(got) != 0 {
		t.Errorf("Outline(nil) = %v", got)
	}
	two := []r2.Vec{{X: 1}, {X: 1}, {X: 2}}
	if got := mesh.Outline(two); len(got) != 2 {
		t.Errorf("Outline of two points = %v", got)
	}
}

// An outline of very many corners is gone round once, with the answer that trying all
// corners for each edge gives.
func TestSmallestRectangleOfManyCorners(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 8))
	for range 30 {
		points := make([]r2.Vec, 3000)
		long := 0.05 + r.Float64()
		for i := range points {
			sin, cos := math.Sincos(2 * math.Pi * r.Float64())
			points[i] = r2.Vec{X: float64(float32(40 * cos)), Y: float64(float32(40 * long * sin))}
		}
		outline := mesh.Outline(points)
		if len(outline) < 300 {
			t.Fatalf("%d corners are too few", len(outline))
		}
		got := mesh.SmallestRectangle(outline)
		least := math.Inf(1)
		for i, p := range outline {
			e := r2.Sub(outline[(i+1)%len(outline)], p)
			var lo, hi r2.Vec
			for k, q := range outline {
				d := r2.Vec{X: r2.Dot(r2.Unit(e), q), Y: r2.Cross(r2.Unit(e), q)}
				if k == 0 {
					lo, hi = d, d
				}
				lo, hi = r2.Vec{X: min(lo.X, d.X), Y: min(lo.Y, d.Y)}, r2.Vec{X: max(hi.X, d.X), Y: max(hi.Y, d.Y)}
			}
			least = min(least, (hi.X-lo.X)*(hi.Y-lo.Y))
		}
		if area := got.Long * got.Short; math.Abs(area-least) > 1e-6*least {
			t.Errorf("%d corners: area %g, want %g", len(outline), area, least)
		}
	}
}
