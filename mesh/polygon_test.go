package mesh

import (
	"context"
	"math"
	"slices"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
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

// largePolygons are polygons of about n corners, each hard in a way of its own.
func largePolygons(n int) map[string][]r3.Vec {
	at := func(r, turn float64) r3.Vec {
		s, c := math.Sincos(2 * math.Pi * turn)
		return r3.Vec{X: r * c, Y: r * s}
	}
	out := map[string][]r3.Vec{}
	lean := RotationAbout(r3.Vec{X: 1, Y: 2, Z: 3}, 0.7)
	for i := range n {
		turn := float64(i) / float64(n)
		out["circle"] = append(out["circle"], at(10, turn))
		out["gear"] = append(out["gear"], at(10+float64(i/2%2), turn))
		out["star"] = append(out["star"], at(1+9*float64(i%2), turn))
		out["waves"] = append(out["waves"], at(10+math.Sin(2*math.Pi*50*turn), turn))
	}
	for i := range n / 2 {
		x := float64(i)
		out["comb"] = append(out["comb"], r3.Vec{X: x}, r3.Vec{X: x + 0.5, Y: 50})
		out["band"] = append(out["band"], at(2+20*x/float64(n), 40*x/float64(n)))
	}
	out["comb"] = append(out["comb"], r3.Vec{X: float64(n / 2), Y: -1}, r3.Vec{Y: -1})
	for i := n/2 - 1; i >= 0; i-- {
		out["band"] = append(out["band"], at(2.2+20*float64(i)/float64(n), 40*float64(i)/float64(n)))
	}
	out["comb"], out["band"] = turned(out["comb"]), turned(out["band"])
	for _, list := range out {
		for i, v := range list {
			list[i] = lean.MulVec(v)
		}
	}
	return out
}

// turned gives a polygon the other way round.
func turned(list []r3.Vec) []r3.Vec {
	slices.Reverse(list)
	return list
}

// TestCutLargePolygon cuts faces of 20 000 corners whole, looking at far fewer than
// the square of that.
func TestCutLargePolygon(t *testing.T) {
	if testing.Short() {
		t.Skip("short: numbers alone, and many of them")
	}
	const n = 20_000
	for name, corners := range largePolygons(n) {
		index := make([]int32, len(corners))
		for i := range index {
			index[i] = int32(i)
		}
		p := polygonCutter{vertices: corners, work: mostCutting}
		facets, fault, err := p.cut(context.Background(), index)
		if err != nil || fault != (polygonFault{}) {
			t.Errorf("%s: %+v, %v", name, fault, err)
			continue
		}
		m := &Mesh{Vertices: corners, Facets: facets}
		if got, want := m.Area(), r3.Norm(areaVector(corners, index)); len(facets) != len(corners)-2 || !near(got, want, 1e-7) {
			t.Errorf("%s: %d triangles, area %v, want %v", name, len(facets), got, want)
		}
		work := (mostCutting - p.work) / len(corners)
		t.Logf("%s: %d corners looked at for each", name, work)
		if work > len(corners)/3 {
			t.Errorf("%s: %d corners looked at for each of %d", name, work, len(corners))
		}
	}
}

// TestCutPolygonAsBefore holds the quick way of finding ears against looking at all
// corners.
func TestCutPolygonAsBefore(t *testing.T) {
	for name, corners := range largePolygons(400) {
		flat := make([]r2.Vec, len(corners))
		back := RotationAbout(r3.Vec{X: 1, Y: 2, Z: 3}, 0.7).Transpose()
		for i, v := range corners {
			v = back.MulVec(v)
			flat[i] = r2.Vec{X: v.X, Y: v.Y}
		}
		work := math.MaxInt
		quick, slow := newClipper(flat, &work), newClipper(flat, &work)
		slow.inward = nil
		for i := range flat {
			slow.ear[i] = slow.isEar(i)
		}
		for range len(flat) - 3 {
			a, b, d, forced := quick.cut()
			if x, y, z, w := slow.cut(); a != x || b != y || d != z || forced || w {
				t.Fatalf("%s: %d %d %d %v, want %d %d %d %v", name, a, b, d, forced, x, y, z, w)
			}
		}
	}
}

func TestCutPolygonFaults(t *testing.T) {
	star := func(n, step int) []r3.Vec {
		out := make([]r3.Vec, n)
		for i := range out {
			s, c := math.Sincos(2 * math.Pi * float64(i*step) / float64(n))
			out[i] = r3.Vec{X: 10 * c, Y: 10 * s}
		}
		return out
	}
	tests := []struct {
		name    string
		corners []r3.Vec
		want    polygonFault
	}{
		{"square", []r3.Vec{{}, {X: 1}, {X: 1, Y: 1}, {Y: 1}}, polygonFault{}},
		{"square with a corner twice", []r3.Vec{{}, {X: 1}, {X: 1}, {X: 1, Y: 1}, {Y: 1}}, polygonFault{}},
		{"keyhole", []r3.Vec{{}, {X: 9}, {X: 9, Y: 9}, {Y: 9}, {}, {X: 3, Y: 3}, {X: 3, Y: 6}, {X: 6, Y: 6}, {X: 6, Y: 3}, {X: 3, Y: 3}}, polygonFault{}},
		{"hourglass", []r3.Vec{{}, {X: 2, Y: 2}, {X: 2}, {Y: 3}}, polygonFault{crossed: true}},
		{"five points", star(5, 2), polygonFault{crossed: true}},
		{"twice round", star(100, 2), polygonFault{crossed: true}},
		{"bent", []r3.Vec{{}, {X: 1}, {X: 1, Y: 1, Z: 0.1}, {Y: 1}}, polygonFault{bent: true}},
		{"rounded", []r3.Vec{{}, {X: 1}, {X: 1, Y: 1, Z: 1e-6}, {Y: 1}}, polygonFault{}},
	}
	for _, tt := range tests {
		index := make([]int32, len(tt.corners))
		for i := range index {
			index[i] = int32(i)
		}
		p := polygonCutter{vertices: tt.corners, work: mostCutting}
		if _, fault, err := p.cut(context.Background(), index); fault != tt.want || err != nil {
			t.Errorf("%s: %+v, %v, want %+v", tt.name, fault, err, tt.want)
		}
		p.work = 0
		if _, _, err := p.cut(context.Background(), index); err != errTangledPolygon {
			t.Errorf("%s without work: %v", tt.name, err)
		}
	}
	t.Logf("%d polygons", len(tests))
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
