package mesh

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// rayHit is where a ray meets a facet.
type rayHit struct {
	t     float64 // distance along the ray, mm
	along float64 // cosine between the ray and the facet's outward normal
	facet int32
}

// exit follows a ray that starts just inside the solid, from a facet to be
// passed over, to the place where it leaves the solid. Bodies that overlap or
// touch are counted through. It reports false when the ray never leaves (an
// open mesh), or not before it is as long as given.
func (g *facetGrid) exit(from, dir r3.Vec, longest float64, source int32, outward float64, hits []rayHit) (rayHit, bool) {
	walk := newWalk(g, from, dir)
	depth := 1
	for done := false; !done && walk.t <= longest; {
		hits, done = g.hitsInCell(walk, from, dir, source, outward, hits[:0])
		// Where one body ends on the next, the next is entered first.
		slices.SortFunc(hits, func(a, b rayHit) int { return cmp.Compare(a.order(g.touching), b.order(g.touching)) })
		for _, h := range hits {
			if h.along < 0 {
				depth++
			} else if depth--; depth == 0 {
				return h, h.t <= longest
			}
		}
	}
	return rayHit{}, false
}

// buried reports whether a point of the surface lies inside, or on, another
// body, looking along dir, which leads out of its own.
func (g *facetGrid) buried(from, dir r3.Vec, source int32, outward float64, hits []rayHit) bool {
	from = r3.Add(from, r3.Scale(g.touching, dir))
	walk := newWalk(g, from, dir)
	depth := 0
	for done := false; !done; {
		hits, done = g.hitsInCell(walk, from, dir, source, outward, hits[:0])
		for _, h := range hits {
			if h.along < 0 {
				depth--
			} else {
				depth++
			}
		}
	}
	return depth > 0
}

// hitsInCell collects what the ray meets in the walk's cell and steps on. It
// reports true in the last cell.
func (g *facetGrid) hitsInCell(w *walk, from, dir r3.Vec, source int32, outward float64, hits []rayHit) ([]rayHit, bool) {
	cell, enter := w.cell(), w.t
	leave, done := w.step()
	for _, f := range g.in(cell) {
		if f == source {
			continue
		}
		if h, ok := g.hit(from, dir, f, outward); ok && h.t > enter && h.t <= leave {
			hits = append(hits, h)
		}
	}
	return hits, done
}

// order is t, a little less where the ray enters a body.
func (h rayHit) order(touching float64) float64 {
	if h.along < 0 {
		return h.t - touching
	}
	return h.t
}

// hit meets the ray with one facet (Moller and Trumbore, J. Graphics Tools 2
// (1997) 21). Facets seen edge-on are not met.
func (g *facetGrid) hit(from, dir r3.Vec, facet int32, outward float64) (rayHit, bool) {
	p, q, r := g.mesh.Corners(int(facet))
	e1, e2 := r3.Sub(q, p), r3.Sub(r, p)
	n := r3.Cross(e1, e2)
	det := r3.Dot(n, dir)
	if det == 0 {
		return rayHit{}, false
	}
	s := r3.Sub(p, from)
	c := r3.Cross(dir, s)
	u, v := -r3.Dot(c, e2)/det, r3.Dot(c, e1)/det
	if u < 0 || v < 0 || u+v > 1 {
		return rayHit{}, false
	}
	return rayHit{t: r3.Dot(n, s) / det, along: outward * det / r3.Norm(n), facet: facet}, true
}

// walk steps a ray from cell to cell (Amanatides and Woo, Eurographics 1987).
type walk struct {
	g     *facetGrid
	at    [3]int
	way   [3]int
	next  [3]float64 // t at the next wall across each axis
	width [3]float64 // t from wall to wall
	t     float64
}

func newWalk(g *facetGrid, from, dir r3.Vec) *walk {
	w := &walk{g: g, at: g.cell(from)}
	for a := range 3 {
		d, pitch := component(dir, a), component(g.cells.Pitch, a)
		low := component(g.cells.Origin, a) + float64(w.at[a])*pitch
		w.next[a], w.width[a] = math.Inf(1), math.Inf(1)
		switch o := component(from, a); {
		case d > 0:
			w.way[a], w.width[a], w.next[a] = 1, pitch/d, (low+pitch-o)/d
		case d < 0:
			w.way[a], w.width[a], w.next[a] = -1, -pitch/d, (low-o)/d
		}
	}
	return w
}

// cell gives the index of the cell the walk is in.
func (w *walk) cell() int { return w.g.cells.Index(w.at[0], w.at[1], w.at[2]) }

// step goes to the next cell. It gives t at the wall crossed, and true when the
// ray leaves the grid there.
func (w *walk) step() (leave float64, out bool) {
	a := 0
	if w.next[1] < w.next[a] {
		a = 1
	}
	if w.next[2] < w.next[a] {
		a = 2
	}
	w.t = w.next[a]
	w.at[a] += w.way[a]
	if w.way[a] == 0 || w.at[a] < 0 || w.at[a] >= w.g.cells.N[a] {
		return math.Inf(1), true
	}
	w.next[a] += w.width[a]
	return w.t, false
}
