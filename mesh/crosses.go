package mesh

import (
	"context"
	"errors"

	"gonum.org/v1/gonum/spatial/r3"
)

// Crossings gives the pairs of facets, at least one of each among those that of
// names, that cross each other or overlap in one plane; no more than most of them.
// Facets that meet in a corner or an edge of both do neither.
func (m *Mesh) Crossings(ctx context.Context, of func(facet int32) bool, most int) ([][2]int32, error) {
	a := &arrangement{ctx: ctx, m: m, grid: newSnapGrid(m.Bounds()), done: map[[2]int32]bool{}, brief: *newPointTable()}
	a.steps = &Mesh{Vertices: make([]r3.Vec, len(m.Vertices)), Facets: m.Facets}
	for i, v := range m.Vertices {
		a.steps.Vertices[i] = a.grid.snap(v).vec()
	}
	var out [][2]int32
	enough := errors.New("enough")
	err := eachPair(ctx, a.steps, func(i, j int32) error {
		if !of(i) && !of(j) || a.done[pairOf(i, j)] || !a.crosses(i, j) {
			return nil
		}
		a.done[pairOf(i, j)] = true
		if out = append(out, [2]int32{i, j}); len(out) >= most {
			return enough
		}
		return nil
	})
	if err != nil && !errors.Is(err, enough) {
		return nil, err
	}
	return out, nil
}

// crosses reports whether two facets have more in common than a corner, an edge or
// a place that they touch in.
func (a *arrangement) crosses(i, j int32) bool {
	f, g := a.facet(i), a.facet(j)
	if f.flat() || g.flat() {
		return false
	}
	if inCommon(a.m.Facets[i], a.m.Facets[j]) == 2 {
		if _, sign := f.sides(&g); sign != [3]int{} {
			return false // they share an edge and nothing else
		}
	}
	a.brief.clear()
	m := a.brief.meet(&f, &g)
	if m.coplanar {
		return overlapFlat(&f, &g)
	}
	return m.n == 2 && !(f.own(m) && g.own(m))
}
