package mesh

import (
	"cmp"
	"context"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// SeparateBodies gives the facets of each separate body, the bodies in the order of
// their first facets: what hangs together over edges, the walls of the closed cavities
// in it, and what comes within gap of it. Shells that wind through each other so closely
// that telling would take too long count as one. Facets with a repeated corner belong to none.
// cavity marks the facets that bound closed cavities; nil where there are none.
func (m *Mesh) SeparateBodies(ctx context.Context, cavity []bool, gap float64) ([][]int32, error) {
	edges, err := NewTopologyUntil(ctx, m)
	if err != nil {
		return nil, err
	}
	of, n := edges.Shells()
	s := separation{mesh: m, gap: gap, shells: make([][]int32, n), boxes: make([]Box, n), hollow: make([]bool, n), joined: newUnion(n)}
	for q := range s.boxes {
		s.boxes[q] = emptyBox()
	}
	for i, q := range of {
		if q < 0 {
			continue
		}
		s.shells[q] = append(s.shells[q], int32(i))
		for _, v := range m.Facets[i] {
			s.boxes[q].take(&m.Vertices[v])
		}
		if cavity != nil && cavity[i] {
			s.hollow[q] = true
		}
	}
	s.closeCavities()
	if err := s.joinTouching(ctx); err != nil {
		return nil, err
	}
	number, bodies := s.joined.number()
	out := make([][]int32, bodies)
	for i, q := range of {
		if q >= 0 {
			out[number[q]] = append(out[number[q]], int32(i))
		}
	}
	return out, nil
}

// separation sorts the shells of a mesh into bodies.
type separation struct {
	mesh   *Mesh
	gap    float64
	shells [][]int32 // facets
	boxes  []Box
	hollow []bool // bounds a cavity
	joined *union
	looked int // pairs of facets
}

// closeCavities gives each cavity to the smallest shell around it.
func (s *separation) closeCavities() {
	for q, hollow := range s.hollow {
		if !hollow {
			continue
		}
		around, least := int32(-1), math.Inf(1)
		for o := range s.shells {
			if d := s.boxes[o].Diagonal(); !s.hollow[o] && d < least && s.boxes[o].holds(&s.boxes[q]) {
				around, least = int32(o), d
			}
		}
		if around >= 0 {
			s.joined.join(around, int32(q))
		}
	}
}

// joinTouching makes one of shells that come within the gap of each other.
func (s *separation) joinTouching(ctx context.Context) error {
	order := make([]int32, len(s.shells))
	for i := range order {
		order[i] = int32(i)
	}
	slices.SortStableFunc(order, func(a, b int32) int { return cmp.Compare(s.boxes[a].Min.X, s.boxes[b].Min.X) })
	for i, a := range order {
		if err := ctx.Err(); err != nil {
			return err
		}
		reach := s.boxes[a].grown(s.gap)
		for _, b := range order[i+1:] {
			if s.boxes[b].Min.X > reach.Max.X {
				break
			}
			if s.joined.root(a) == s.joined.root(b) || !reach.meets(&s.boxes[b]) {
				continue
			}
			touch, err := s.touch(ctx, a, b)
			if err != nil {
				return err
			}
			if touch {
				s.joined.join(a, b)
			}
		}
	}
	return nil
}

// touch reports whether two shells come within the gap of each other somewhere.
func (s *separation) touch(ctx context.Context, a, b int32) (bool, error) {
	near := s.boxes[a].grown(s.gap)
	near = near.common(&s.boxes[b])
	near = near.grown(s.gap)
	return s.anyWithin(ctx, s.within(s.shells[a], near), s.within(s.shells[b], near))
}

// fewPairs are looked at one by one, more only after the facets were sorted out further.
const fewPairs = 1024

// anyWithin reports whether a facet of f comes within the gap of one of g. It orders both
// as it goes: what has nothing of the other near it is left out, and the longer list
// halved across its longest side, so that surfaces that lie apart take time little more than
// their facets. Where very many pairs are close and none touches, what was looked at
// for maxPairs counts as touching.
func (s *separation) anyWithin(ctx context.Context, f, g []boxedFacet) (bool, error) {
	if err := ctx.Err(); err != nil {
		return false, err
	}
	f = nearTo(f, coverOf(g).grown(s.gap))
	g = nearTo(g, coverOf(f).grown(s.gap))
	if pairs := int64(len(f)) * int64(len(g)); pairs <= fewPairs {
		s.looked += int(pairs)
		return s.anyPair(f, g), nil
	}
	if s.looked > maxPairs {
		return true, nil
	}
	if len(f) < len(g) {
		f, g = g, f
	}
	size := coverOf(f).Size()
	along := func(b *Box) float64 { return b.Min.Z + b.Max.Z }
	switch max(size.X, size.Y, size.Z) {
	case size.X:
		along = func(b *Box) float64 { return b.Min.X + b.Max.X }
	case size.Y:
		along = func(b *Box) float64 { return b.Min.Y + b.Max.Y }
	}
	slices.SortFunc(f, func(a, b boxedFacet) int { return cmp.Compare(along(&a.box), along(&b.box)) })
	for _, half := range [2][]boxedFacet{f[:len(f)/2], f[len(f)/2:]} {
		if found, err := s.anyWithin(ctx, half, g); found || err != nil {
			return found, err
		}
	}
	return false, nil
}

// anyPair is anyWithin, pair by pair.
func (s *separation) anyPair(f, g []boxedFacet) bool {
	for i := range f {
		reach := f[i].box.grown(s.gap)
		for k := range g {
			if reach.meets(&g[k].box) && s.mesh.facetsWithin(f[i].facet, g[k].facet, s.gap) {
				return true
			}
		}
	}
	return false
}

// boxedFacet is a facet with the box around it.
type boxedFacet struct {
	facet int32
	box   Box
}

// within gives the facets that reach into a box.
func (s *separation) within(facets []int32, box Box) []boxedFacet {
	var out []boxedFacet
	for _, i := range facets {
		if b := s.mesh.facetBox(i); b.meets(&box) {
			out = append(out, boxedFacet{i, b})
		}
	}
	return out
}

// nearTo brings the facets that reach into a box to the front, and gives those.
func nearTo(facets []boxedFacet, box Box) []boxedFacet {
	n := 0
	for i := range facets {
		if facets[i].box.meets(&box) {
			facets[n], facets[i] = facets[i], facets[n]
			n++
		}
	}
	return facets[:n]
}

// coverOf gives the box around all of them.
func coverOf(facets []boxedFacet) Box {
	out := emptyBox()
	for i := range facets {
		b := &facets[i].box
		out.take(&b.Min)
		out.take(&b.Max)
	}
	return out
}

// grown gives the box with a margin all round.
func (b Box) grown(by float64) Box {
	d := r3.Vec{X: by, Y: by, Z: by}
	return Box{Min: r3.Sub(b.Min, d), Max: r3.Add(b.Max, d)}
}

// facetsWithin reports whether two facets come within a distance of each other: a
// corner of one near the other, two edges near each other, or an edge through a facet.
func (m *Mesh) facetsWithin(i, j int32, dist float64) bool {
	var f, g [3]r3.Vec
	f[0], f[1], f[2] = m.Corners(int(i))
	g[0], g[1], g[2] = m.Corners(int(j))
	for k := range 3 {
		if r3.Norm(r3.Sub(f[k], nearestOnFacet(f[k], g[0], g[1], g[2]))) <= dist ||
			r3.Norm(r3.Sub(g[k], nearestOnFacet(g[k], f[0], f[1], f[2]))) <= dist ||
			pierces(f[k], f[(k+1)%3], g) || pierces(g[k], g[(k+1)%3], f) {
			return true
		}
		for l := range 3 {
			if edgeDistance(f[k], f[(k+1)%3], g[l], g[(l+1)%3]) <= dist {
				return true
			}
		}
	}
	return false
}

// pierces reports whether the edge from p to q goes through a facet.
func pierces(p, q r3.Vec, f [3]r3.Vec) bool {
	n := r3.Cross(r3.Sub(f[1], f[0]), r3.Sub(f[2], f[0]))
	a, b := r3.Dot(n, r3.Sub(p, f[0])), r3.Dot(n, r3.Sub(q, f[0]))
	if a*b >= 0 {
		return false
	}
	at := r3.Add(p, r3.Scale(a/(a-b), r3.Sub(q, p)))
	for k := range 3 {
		if r3.Dot(n, r3.Cross(r3.Sub(f[(k+1)%3], f[k]), r3.Sub(at, f[k]))) < 0 {
			return false
		}
	}
	return true
}

// edgeDistance gives the least distance between two edges (after Ericson, Real-Time
// Collision Detection (2005), section 5.1.9).
func edgeDistance(p1, q1, p2, q2 r3.Vec) float64 {
	d1, d2, r := r3.Sub(q1, p1), r3.Sub(q2, p2), r3.Sub(p1, p2)
	a, e, f := r3.Norm2(d1), r3.Norm2(d2), r3.Dot(d2, r)
	if a == 0 || e == 0 { // its ends are looked at as corners
		return math.Inf(1)
	}
	b, c := r3.Dot(d1, d2), r3.Dot(d1, r)
	s := 0.0
	if denominator := a*e - b*b; denominator > 0 {
		s = min(max((b*f-c*e)/denominator, 0), 1)
	}
	t := (b*s + f) / e
	switch {
	case t < 0:
		t, s = 0, min(max(-c/a, 0), 1)
	case t > 1:
		t, s = 1, min(max((b-c)/a, 0), 1)
	}
	return r3.Norm(r3.Sub(r3.Add(p1, r3.Scale(s, d1)), r3.Add(p2, r3.Scale(t, d2))))
}
