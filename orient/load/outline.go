package load

import (
	"context"
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"kilnpoise/mesh"
)

// Edge is one straight piece of an outline; what is covered lies on its left.
type Edge struct{ A, B r2.Vec }

// Outline is what a part covers, seen from above. The zero value covers nothing.
type Outline struct {
	Edges []Edge
}

// Box is a rectangle along the axes.
type Box struct{ Min, Max r2.Vec }

// Size gives the sides of the box.
func (b Box) Size() r2.Vec { return r2.Sub(b.Max, b.Min) }

// steepest is the share of a facet's area that is seen from above from which on it
// counts; walls that are upright but for rounding cover nothing.
const steepest = 1e-7

// Of gives the outline of meshes together: their projection along Z. Of a closed mesh all
// that face upward cover exactly what the mesh does, so the edges where they end are all
// that is needed; of an open one those that face down count too.
func Of(ctx context.Context, meshes ...*mesh.Mesh) (Outline, error) {
	var edges []Edge
	for _, m := range meshes {
		if rimless(m) {
			edges = append(edges, rim(m, 1)...)
			continue
		}
		edges = append(edges, rim(m, 1)...)
		edges = append(edges, rim(m, -1)...)
	}
	return trimmed(ctx, edges)
}

// Polygon gives the outline that loops of corners bound: counter-clockwise ones what is
// covered, clockwise ones holes in it.
func Polygon(loops ...[]r2.Vec) Outline {
	var o Outline
	for _, l := range loops {
		for i, p := range l {
			o.Edges = append(o.Edges, Edge{p, l[(i+1)%len(l)]})
		}
	}
	return o
}

// Join gives the outline of what any of several cover.
func Join(ctx context.Context, outlines ...Outline) (Outline, error) {
	var edges []Edge
	for _, o := range outlines {
		edges = append(edges, o.Edges...)
	}
	return trimmed(ctx, edges)
}

// rimless reports whether each edge of a facet is met by one that runs the other way.
func rimless(m *mesh.Mesh) bool {
	open := map[[2]int32]int{}
	for _, f := range m.Facets {
		for k := range f {
			cancel(open, f[k], f[(k+1)%3])
		}
	}
	return len(open) == 0
}

// cancel counts an edge, less those that run the other way.
func cancel(count map[[2]int32]int, a, b int32) {
	back := [2]int32{b, a}
	switch n := count[back]; {
	case n > 1:
		count[back] = n - 1
	case n == 1:
		delete(count, back)
	default:
		count[[2]int32{a, b}]++
	}
}

// rim gives the edges where facets end that face up, or down for a side of -1, in a fixed
// order; what is covered lies on their left, seen from above.
func rim(m *mesh.Mesh, side float64) []Edge {
	count := map[[2]int32]int{}
	var order [][2]int32
	for i, f := range m.Facets {
		n := m.AreaVector(i)
		if z := side * n.Z; z <= 0 || z < steepest*math.Abs(n.X)+steepest*math.Abs(n.Y) {
			continue
		}
		for k := range f {
			a, b := f[k], f[(k+1)%3]
			if side < 0 {
				a, b = b, a
			}
			cancel(count, a, b)
			order = append(order, [2]int32{a, b})
		}
	}
	var out []Edge
	for _, e := range order {
		if count[e] == 0 {
			continue
		}
		a, b := m.Vertices[e[0]], m.Vertices[e[1]]
		for range count[e] {
			out = append(out, Edge{r2.Vec{X: a.X, Y: a.Y}, r2.Vec{X: b.X, Y: b.Y}})
		}
		delete(count, e)
	}
	return out
}

// Bounds gives the box around the outline; the zero box for an empty one.
func (o Outline) Bounds() Box {
	if len(o.Edges) == 0 {
		return Box{}
	}
	inf := math.Inf(1)
	b := Box{r2.Vec{X: inf, Y: inf}, r2.Vec{X: -inf, Y: -inf}}
	for i := range o.Edges {
		for _, p := range [2]r2.Vec{o.Edges[i].A, o.Edges[i].B} {
			b.Min = r2.Vec{X: min(b.Min.X, p.X), Y: min(b.Min.Y, p.Y)}
			b.Max = r2.Vec{X: max(b.Max.X, p.X), Y: max(b.Max.Y, p.Y)}
		}
	}
	return b
}

// Area gives what the outline covers, mm2.
func (o Outline) Area() float64 {
	sum := 0.0
	for _, e := range o.Edges {
		sum += r2.Cross(e.A, e.B)
	}
	return sum / 2
}

// Covers reports whether a point is covered; on an edge it may say either.
func (o Outline) Covers(p r2.Vec) bool { return winding(o.Edges, p) > 0 }

// winding is how often edges go round a point, counted along the ray to the right.
func winding(edges []Edge, p r2.Vec) int {
	n := 0
	for i := range edges {
		n += passes(&edges[i], p)
	}
	return n
}

// passes tells whether an edge crosses the ray from p to the right: upward 1, down -1.
func passes(e *Edge, p r2.Vec) int {
	switch {
	case e.A.Y <= p.Y && e.B.Y > p.Y:
		if r2.Cross(r2.Sub(e.B, e.A), r2.Sub(p, e.A)) > 0 {
			return 1
		}
	case e.B.Y <= p.Y && e.A.Y > p.Y:
		if r2.Cross(r2.Sub(e.B, e.A), r2.Sub(p, e.A)) < 0 {
			return -1
		}
	}
	return 0
}

// Hull gives the outline of the convex hull.
func (o Outline) Hull() Outline { return Polygon(o.hull()) }

func (o Outline) hull() []r2.Vec {
	points := make([]r2.Vec, 0, 2*len(o.Edges))
	for _, e := range o.Edges {
		points = append(points, e.A, e.B)
	}
	return mesh.Outline(points)
}

// Placed gives the outline turned about the origin and then moved.
func (o Outline) Placed(turnDeg float64, to r2.Vec) Outline {
	sin, cos := sincosDeg(turnDeg)
	move := func(p r2.Vec) r2.Vec {
		return r2.Vec{X: float64(cos*p.X) - float64(sin*p.Y) + to.X, Y: float64(sin*p.X) + float64(cos*p.Y) + to.Y}
	}
	out := Outline{make([]Edge, len(o.Edges))}
	for i, e := range o.Edges {
		out.Edges[i] = Edge{move(e.A), move(e.B)}
	}
	return out
}

// sincosDeg is exact at quarter turns, so that a box stays along the axes.
func sincosDeg(deg float64) (sin, cos float64) {
	switch math.Mod(math.Mod(deg, 360)+360, 360) {
	case 0:
		return 0, 1
	case 90:
		return 1, 0
	case 180:
		return 0, -1
	case 270:
		return -1, 0
	}
	return math.Sincos(deg * math.Pi / 180)
}
