package mesh

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// seamSplitter cuts facets whose open side carries corners of the facets
// opposite (T-junctions), so that both sides of the seam have the same corners.
type seamSplitter struct {
	m     *Mesh
	t     *Topology
	tol   float64
	whole bool        // cut only where all pieces of the side find their match
	near  *neighbours // of the vertices on open sides
}

// onSide is a vertex that lies on an open side.
type onSide struct {
	vertex int32
	along  float64 // mm from where the side begins
}

func newSeamSplitter(m *Mesh, t *Topology, tol float64, whole bool) *seamSplitter {
	s := &seamSplitter{m: m, t: t, tol: tol, whole: whole}
	var length float64
	n := 0
	for side := range t.ring {
		if t.Open(side) {
			a, b := t.Ends(side)
			length += r3.Norm(r3.Sub(m.Vertices[b], m.Vertices[a]))
			n++
		}
	}
	s.near = newNeighbours(m.Vertices, math.Max(length/float64(max(n, 1)), 4*tol))
	for _, v := range t.openVertices() {
		s.near.add(v)
	}
	return s
}

// split cuts what it can in one go and returns how many facets that were; of a
// facet with several such sides the first is cut. The topology must be built
// anew then.
func (s *seamSplitter) split() int {
	cut := 0
	last := len(s.m.Facets) // those that are added belong to no side of t
	for facet := range last {
		for side := 3 * facet; side < 3*facet+3; side++ {
			if !s.t.Open(side) {
				continue
			}
			if on := s.cornersOn(side); len(on) > 0 && (!s.whole || s.matches(side, on)) {
				s.m.splitSide(side, on)
				cut++
				break
			}
		}
	}
	return cut
}

// cornersOn lists the vertices that lie on a side between its ends, in order.
func (s *seamSplitter) cornersOn(side int) []onSide {
	from, to := s.t.Ends(side)
	a := s.m.Vertices[from]
	d := r3.Sub(s.m.Vertices[to], a)
	length := r3.Norm(d)
	if length <= 2*s.tol {
		return nil
	}
	d = r3.Scale(1/length, d)
	var on []onSide
	look := func(v int32) {
		p := r3.Sub(s.m.Vertices[v], a)
		along := r3.Dot(p, d)
		if along > s.tol && along < length-s.tol && r3.Norm(r3.Sub(p, r3.Scale(along, d))) <= s.tol {
			on = append(on, onSide{v, along})
		}
	}
	steps := math.Ceil(length / s.near.side)
	for i := range int(steps) + 1 {
		s.near.each(r3.Add(a, r3.Scale(length*float64(i)/steps, d)), look)
	}
	slices.SortFunc(on, func(x, y onSide) int {
		return cmp.Or(cmp.Compare(x.along, y.along), cmp.Compare(x.vertex, y.vertex))
	})
	return slices.Compact(on)
}

// matches reports whether every piece of a divided side runs along an open side.
func (s *seamSplitter) matches(side int, on []onSide) bool {
	from, to := s.t.Ends(side)
	for i := range len(on) + 1 {
		end := to
		if i < len(on) {
			end = on[i].vertex
		}
		if other, ok := s.t.Edge(from, end); !ok || !s.t.Open(other) {
			return false
		}
		from = end
	}
	return true
}

// splitSide replaces the facet of side by a fan about its opposite corner.
func (m *Mesh) splitSide(side int, on []onSide) {
	f := m.Facets[side/3]
	k := side % 3
	from, to, apex := f[k], f[(k+1)%3], f[(k+2)%3]
	m.Facets[side/3] = [3]int32{from, on[0].vertex, apex}
	for i, p := range on {
		end := to
		if i+1 < len(on) {
			end = on[i+1].vertex
		}
		m.Facets = append(m.Facets, [3]int32{p.vertex, end, apex})
	}
}
