package mesh

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"
)

// cutAll cuts a polygon given by its corners in order.
func cutAll(corners []r3.Vec) (*Mesh, []int32) {
	index := make([]int32, len(corners))
	for i := range index {
		index[i] = int32(i)
	}
	return &Mesh{Vertices: corners, Facets: cutPolygon(corners, index)}, index
}

// drawStar draws a polygon that the origin sees whole, in any plane: mostly
// concave, with area.
func drawStar(t *rapid.T) []r3.Vec {
	n := rapid.IntRange(3, 40).Draw(t, "corners")
	rot := drawRotation(t)
	out := make([]r3.Vec, n)
	for i := range out {
		r := rapid.Float64Range(0.5, 10).Draw(t, "radius")
		s, c := math.Sincos(2 * math.Pi * (float64(i) + rapid.Float64Range(0, 0.9).Draw(t, "angle")) / float64(n))
		out[i] = rot.MulVec(r3.Vec{X: r * c, Y: r * s, Z: 4})
	}
	return out
}

func TestCutPolygonCoversIt(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		corners := drawStar(t)
		m, index := cutAll(corners)
		if len(m.Facets) != len(corners)-2 {
			t.Fatalf("%d triangles of %d corners", len(m.Facets), len(corners))
		}
		want := areaVector(corners, index)
		var sum r3.Vec
		for i := range m.Facets {
			sum = r3.Add(sum, m.AreaVector(i))
		}
		if apart(sum, want) > 1e-9*r3.Norm(want) {
			t.Fatalf("area vectors sum to %v, want %v", sum, want)
		}
		// Areas add up to the polygon's only where none lies over another.
		if got := m.Area(); len(corners) > 5 && !near(got, r3.Norm(want), 1e-9) {
			t.Fatalf("area %v, want %v", got, r3.Norm(want))
		}
		checkRim(t, m, len(corners))
	})
}

// checkRim wants the rim of the triangles to be the polygon, in its direction.
func checkRim(t *rapid.T, m *Mesh, n int) {
	top := NewTopology(m)
	open := 0
	for side := range 3 * len(m.Facets) {
		if !top.Open(side) {
			continue
		}
		open++
		if from, to := top.Ends(side); int(to) != (int(from)+1)%n {
			t.Fatalf("rim side %d to %d", from, to)
		}
	}
	if open != n {
		t.Fatalf("%d rim sides of %d corners", open, n)
	}
}

func TestCutPolygonShapes(t *testing.T) {
	spiral := func(turns, n int) []r3.Vec { // a band wound up: ears are rare
		var out, back []r3.Vec
		for i := range n {
			a := 2 * math.Pi * float64(turns) * float64(i) / float64(n)
			s, c := math.Sincos(a)
			out = append(out, r3.Vec{X: (2 + a) * c, Y: (2 + a) * s})
			back = append([]r3.Vec{{X: (1 + a) * c, Y: (1 + a) * s}}, back...)
		}
		return append(out, back...)
	}
	tests := []struct {
		name    string
		corners []r3.Vec
	}{
		{"square", []r3.Vec{{}, {X: 1}, {X: 1, Y: 1}, {Y: 1}}},
		{"dart", []r3.Vec{{}, {X: 4}, {X: 1, Y: 1}, {Y: 4}}},
		{"corner on an edge", []r3.Vec{{}, {X: 1}, {X: 2}, {X: 2, Y: 2}, {Y: 2}}},
		{"clockwise seen from above", []r3.Vec{{}, {Y: 1}, {X: 1, Y: 1}, {X: 1}}},
		{"comb", []r3.Vec{{}, {X: 5}, {X: 5, Y: 4}, {X: 4, Y: 1}, {X: 3, Y: 4}, {X: 2, Y: 1}, {X: 1, Y: 4}}},
		{"keyhole", []r3.Vec{{}, {X: 9}, {X: 9, Y: 9}, {Y: 9}, {}, {X: 3, Y: 3}, {X: 3, Y: 6}, {X: 6, Y: 6}, {X: 6, Y: 3}, {X: 3, Y: 3}}},
		{"spiral", spiral(4, 200)},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			m, index := cutAll(tt.corners)
			if got, want := m.Area(), r3.Norm(areaVector(tt.corners, index)); !near(got, want, 1e-9) {
				t.Errorf("area %v, want %v", got, want)
			}
		})
	}
}

// TestCutPolygonOfNonsense asks only for triangles: of a polygon that crosses
// itself, of one point, of a line.
func TestCutPolygonOfNonsense(t *testing.T) {
	for _, corners := range [][]r3.Vec{
		{{}, {X: 1, Y: 1}, {X: 1}, {Y: 1}},
		{{}, {}, {}, {}, {}},
		{{}, {X: 1}, {X: 2}, {X: 3}, {X: 4}},
		{{}, {X: 1}, {X: 1, Y: 1, Z: 3}, {Y: 1, Z: -2}, {X: -4, Z: 1}},
	} {
		if m, _ := cutAll(corners); len(m.Facets) != len(corners)-2 {
			t.Errorf("%d triangles of %v", len(m.Facets), corners)
		}
	}
}

func BenchmarkCutPolygon(b *testing.B) {
	corners := make([]r3.Vec, 2000)
	for i := range corners {
		s, c := math.Sincos(2 * math.Pi * float64(i) / float64(len(corners)))
		r := 10 + float64(i%2)
		corners[i] = r3.Vec{X: r * c, Y: r * s}
	}
	b.ReportAllocs()
	for b.Loop() {
		cutAll(corners)
	}
}
