package render

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/fogleman/fauxgl"
	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
	"kilnpoise/mesh/meshtest"
)

// soup gives m with corners of its own for every facet.
func soup(m *mesh.Mesh) *mesh.Mesh {
	out := &mesh.Mesh{}
	for i := range m.Facets {
		a, b, c := m.Corners(i)
		k := int32(len(out.Vertices))
		out.Vertices = append(out.Vertices, a, b, c)
		out.Facets = append(out.Facets, [3]int32{k, k + 1, k + 2})
	}
	return out
}

func TestOutline(t *testing.T) {
	open := box(1, 2, 3)
	open.Facets = open.Facets[:len(open.Facets)-2] // one side gone
	for _, c := range []struct {
		name         string
		m            *mesh.Mesh
		edges, sharp int
		closed       bool
	}{
		{name: "box", m: box(1, 2, 3), edges: 18, sharp: 12, closed: true},
		{name: "box, never welded", m: soup(box(1, 2, 3)), edges: 18, sharp: 12, closed: true},
		{name: "box with a side gone", m: open, edges: 17, sharp: 12},
		{name: "smooth ball", m: ball(10, 24), edges: 3 * 24 * 46 / 2, closed: true},
		{name: "nothing", m: &mesh.Mesh{}, closed: true},
	} {
		o := outlineOf(c.m, units(areaVectors(c.m)))
		sharp := 0
		for _, e := range o.edges {
			if e.sharp {
				sharp++
			}
		}
		if len(o.edges) != c.edges || sharp != c.sharp || o.closed != c.closed {
			t.Errorf("%s: %d edges, %d sharp, closed %v; want %d, %d, %v", c.name, len(o.edges), sharp, o.closed, c.edges, c.sharp, c.closed)
		}
	}
}

// A rough surface has a crease at nearly every edge; drawn, they would be a
// black blot.
func TestRoughSurfaceIsNotDrawnBlack(t *testing.T) {
	m := ball(10, 60)
	random := rand.New(rand.NewPCG(1, 2))
	for i, v := range m.Vertices {
		m.Vertices[i] = r3.Add(v, r3.Vec{X: random.Float64(), Y: random.Float64(), Z: random.Float64()})
	}
	for _, e := range outlineOf(m, units(areaVectors(m))).edges {
		if e.sharp {
			t.Fatal("creases of a rough surface are drawn")
		}
	}
}

func TestCornerNormalsRoundOnlyWhatIsRound(t *testing.T) {
	areas := areaVectors(box(1, 1, 1))
	for i, c := range cornerNormals(box(1, 1, 1), areas, units(areas)) {
		n := units(areas)[i]
		for _, k := range c {
			if got := (r3.Vec{X: float64(k[0]), Y: float64(k[1]), Z: float64(k[2])}); r3.Norm(r3.Sub(got, n)) > 1e-6 {
				t.Fatalf("corner normal %v on a face of a box facing %v", got, n)
			}
		}
	}
	m := ball(10, 48)
	center := r3.Vec{Z: 10}
	areas = areaVectors(m)
	for i, c := range cornerNormals(m, areas, units(areas)) {
		for k, v := range m.Facets[i] {
			want := r3.Unit(r3.Sub(m.Vertices[v], center))
			got := r3.Vec{X: float64(c[k][0]), Y: float64(c[k][1]), Z: float64(c[k][2])}
			if r3.Norm(r3.Sub(got, want)) > 0.02 {
				t.Fatalf("corner normal %v on a ball, want about %v", got, want)
			}
		}
	}
}

// Few or many around one vertex, the sides come in the same order.
func TestHalvesAreSorted(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	for _, n := range []int{0, 1, 2, 16, 17, 60} {
		h := make([]half, n)
		for i := range h {
			h[i] = half{hi: r.Int32N(9), facet: int32(i)}
		}
		r.Shuffle(n, func(i, j int) { h[i], h[j] = h[j], h[i] })
		sortHalves(h)
		for i := 1; i < n; i++ {
			if a, b := h[i-1], h[i]; a.hi > b.hi || a.hi == b.hi && a.facet >= b.facet {
				t.Fatalf("of %d: %v before %v", n, a, b)
			}
		}
	}
}

// At a vertex where very many facets meet each keeps its own normal, and no work grows
// with the square of their number.
func TestNormalsAtTheTipOfAFineCone(t *testing.T) {
	m := meshtest.Cone(10, 20, 4*mostAround)
	areas := make([]r3.Vec, len(m.Facets))
	for i := range areas {
		areas[i] = m.AreaVector(i)
	}
	flat := units(areas)
	tips := 0
	for i, c := range cornerNormals(m, areas, flat) {
		for k, v := range m.Facets[i] {
			n := r3.Vec{X: float64(c[k][0]), Y: float64(c[k][1]), Z: float64(c[k][2])}
			if r3.Norm(r3.Sub(n, flat[i])) > 0.05 {
				t.Fatalf("facet %d has the normal %v at a corner and %v as a whole", i, n, flat[i])
			}
			if m.Vertices[v].Z == 20 {
				tips++
			}
		}
	}
	if tips != 4*mostAround {
		t.Errorf("%d facets at the tip", tips)
	}
}

// Of a sliver every pixel is set whose middle lies in it, and no other, in whatever band.
func TestSliversHaveTheirPixelsInTheRow(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 4))
	const width, height = 300, 200
	all := 0
	for range 500 {
		p := patch{normals: [3]fauxgl.Vector{{Z: 1}, {Z: 1}, {Z: 1}}}
		c := &p.corners
		c[0] = spot{x: 400*r.Float64() - 50, y: 300*r.Float64() - 50}
		c[1] = spot{x: 400*r.Float64() - 50, y: 300*r.Float64() - 50}
		c[2] = spot{x: c[0].x + 4*r.Float64(), y: c[0].y + 4*r.Float64()}
		area := turning(&c[0], &c[1], &c[2])
		l := newLayer(width, height)
		for _, b := range l.bands {
			b.sliver(&p, whitewash{}, area)
		}
		for y := range height {
			for x := range width {
				at := spot{x: float64(x) + 0.5, y: float64(y) + 0.5}
				u, v := turning(&at, &c[1], &c[2])/area, turning(&c[0], &at, &c[2])/area
				const rim = 1e-4 // of the shares, where rounding decides
				least, set := min(u, v, 1-u-v), l.colorRow(y)[4*x] > 0
				if set {
					all++
				}
				if set != (least > 0) && math.Abs(least) > rim {
					t.Fatalf("%v: pixel %d of row %d with the least share %g is set: %v", *c, x, y, least, set)
				}
			}
		}
	}
	if all < 20_000 {
		t.Errorf("only %d pixels were set", all)
	}
}

// whitewash paints everything white.
type whitewash struct{ fauxgl.Shader }

func (whitewash) begin(*patch) {}

func (whitewash) tone(fauxgl.Vector, float64, float64, float64) fauxgl.Color {
	return fauxgl.Color{R: 1, G: 1, B: 1, A: 1}
}
