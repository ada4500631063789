package support

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
)

// shelvedStance is a stance of given triangles, with no more than shelves need.
func shelvedStance(triangles [][3]r3.Vec) *Stance {
	s := &Stance{Lo: r3.Vec{X: math.Inf(1), Y: math.Inf(1)}, Hi: r3.Vec{X: math.Inf(-1), Y: math.Inf(-1)}}
	for _, t := range triangles {
		n := int32(len(s.Vertices))
		s.Facets = append(s.Facets, [3]int32{n, n + 1, n + 2})
		for _, v := range t {
			s.Vertices = append(s.Vertices, v)
			s.Lo = r3.Vec{X: min(s.Lo.X, v.X), Y: min(s.Lo.Y, v.Y)}
			s.Hi = r3.Vec{X: max(s.Hi.X, v.X), Y: max(s.Hi.Y, v.Y)}
		}
	}
	return s
}

// insideTriangle reports whether a place on the plate lies under a triangle.
func insideTriangle(t [3]r3.Vec, x, y float64) bool {
	var signs [3]float64
	for k := range 3 {
		p, q := t[k], t[(k+1)%3]
		signs[k] = (q.X-p.X)*(y-p.Y) - (q.Y-p.Y)*(x-p.X)
	}
	return slices.Min(signs[:]) >= 0 || slices.Max(signs[:]) <= 0
}

// No facet over a place is missed, in squares of any size.
func TestShelvesMissNothing(t *testing.T) {
	rnd := rand.New(rand.NewPCG(3, 4))
	place := func() r3.Vec { return r3.Vec{X: 100*rnd.Float64() - 30, Y: 70*rnd.Float64() + 900} }
	var triangles [][3]r3.Vec
	for i := range 400 {
		a := place()
		b, c := r3.Add(a, r3.Vec{X: rnd.Float64(), Y: rnd.Float64()}), r3.Add(a, r3.Vec{X: rnd.Float64(), Y: -rnd.Float64()})
		switch i % 4 {
		case 0: // long and thin
			b = place()
			c = r3.Add(b, r3.Vec{X: 1e-3})
		case 1: // upright, without area on the plate
			c = r3.Add(a, r3.Scale(0.5, r3.Sub(b, a)))
		case 2: // along the axes
			b, c = r3.Vec{X: a.X + 20, Y: a.Y}, r3.Vec{X: a.X, Y: a.Y + 1e-12}
		}
		triangles = append(triangles, [3]r3.Vec{a, b, c})
	}
	s := shelvedStance(triangles)
	mark, request, checks := make([]int32, len(s.Facets)), int32(0), 0
	for _, most := range []int{mostShelved, 2000, 0} {
		sh := s.shelveAtMost(most)
		if listed := max(most, len(s.Facets)); len(sh.list) > listed {
			t.Errorf("%d facets are listed %d times, at most %d allowed", len(s.Facets), len(sh.list), listed)
		}
		for n := range 3000 {
			f := &triangles[n%len(triangles)] // a place under some triangle
			u, v := rnd.Float64(), rnd.Float64()
			if u+v > 1 {
				u, v = 1-u, 1-v
			}
			p := r3.Add(f[0], r3.Add(r3.Scale(u, r3.Sub(f[1], f[0])), r3.Scale(v, r3.Sub(f[2], f[0]))))
			request++
			near := sh.near(p, p, mark, request, nil)
			for i := range triangles {
				if (i == n%len(triangles) || insideTriangle(triangles[i], p.X, p.Y)) && !slices.Contains(near, int32(i)) {
					t.Fatalf("at most %d: triangle %d over (%v, %v) is missed", most, i, p.X, p.Y)
				}
				checks++
			}
		}
	}
	t.Logf("%d places and triangles", checks)
}

// A cone of very many long facets is listed a bounded number of times, and cut into
// squares all the same.
func TestShelvesOfLongFacets(t *testing.T) {
	const n = 60_000
	triangles := make([][3]r3.Vec, n)
	for i := range triangles {
		a, b := 2*math.Pi*float64(i)/n, 2*math.Pi*float64(i+1)/n
		triangles[i] = [3]r3.Vec{{X: 50 * math.Cos(a), Y: 50 * math.Sin(a)}, {X: 50 * math.Cos(b), Y: 50 * math.Sin(b)}, {Z: 100}}
	}
	const most = 1 << 21
	sh := shelvedStance(triangles).shelveAtMost(most)
	if len(sh.list) > most || sh.nx < 8 || sh.ny < 8 {
		t.Errorf("%d facets are listed %d times in %d x %d squares", n, len(sh.list), sh.nx, sh.ny)
	}
}

// What a window is said to miss is cut away whole, and a triangle that is cut to
// nothing beyond a hair is said to be missed.
func TestWindowMissesWhatIsCutAway(t *testing.T) {
	rnd := rand.New(rand.NewPCG(5, 6))
	place := func() r3.Vec { return r3.Vec{X: 4*rnd.Float64() - 2, Y: 4*rnd.Float64() - 2, Z: rnd.Float64()} }
	missed, hit := 0, 0
	for range 200_000 {
		w := window{-0.5, -0.4, 0.6, 0.5}
		c := [3]r3.Vec{place(), place(), place()}
		if rnd.IntN(3) == 0 { // thin, or upright
			c[2] = r3.Add(c[1], r3.Scale(1e-9*float64(rnd.IntN(3)), place()))
		}
		piece := flatPiece(c[:])
		for _, side := range []func(r3.Vec) float64{
			func(v r3.Vec) float64 { return v.X - w.x0 }, func(v r3.Vec) float64 { return w.x1 - v.X },
			func(v r3.Vec) float64 { return v.Y - w.y0 }, func(v r3.Vec) float64 { return w.y1 - v.Y },
		} {
			piece = piece.cutBy(side, nil)
		}
		switch misses := w.misses(&c); {
		case misses && len(piece) > 0:
			t.Fatalf("%v is said to be missed and leaves %v", c, piece)
		case misses:
			missed++
		default:
			hit++
			if len(piece) == 0 && w.grow(1e-6).misses(&c) {
				t.Fatalf("%v is cut away and not said to be missed", c)
			}
		}
	}
	if missed < 1000 || hit < 1000 {
		t.Errorf("%d missed, %d hit", missed, hit)
	}
}
