package mesh

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// rimPair is two vertices on open edges that could be one.
type rimPair struct {
	from, onto int32
	apart      float64 // mm
}

// joinGaps moves vertices on open edges onto the nearest ones across a gap, up to
// tol away, the nearest pairs first, and reports how many it moved and how far at
// most. A vertex that others are moved onto stays where it is, so that nothing
// moves farther than tol; neighbours on one rim are not joined; and a move that
// would turn a facet over is taken back.
func joinGaps(m *Mesh, t *Topology, tol float64) (n int, moved float64) {
	onto := map[int32]int32{}
	stays := map[int32]bool{}
	apart := map[int32]float64{}
	for _, p := range rimPairs(m, t, tol) {
		if _, gone := onto[p.onto]; gone || stays[p.from] {
			continue
		}
		if _, gone := onto[p.from]; gone {
			continue
		}
		onto[p.from], apart[p.from], stays[p.onto] = p.onto, p.apart, true
	}
	m.keepUpright(onto)
	m.join(onto)
	for v := range onto {
		moved = max(moved, apart[v])
	}
	return len(onto), moved
}

// rimPairs gives for each vertex on an open edge the nearest other there, within
// tol, that it has no edge with, nearest pairs first.
func rimPairs(m *Mesh, t *Topology, tol float64) []rimPair {
	near := newNeighbours(m.Vertices, tol)
	rim := t.openVertices()
	for _, v := range rim {
		near.add(v)
	}
	var out []rimPair
	for _, v := range rim {
		p := rimPair{from: v, apart: math.Inf(1)}
		near.each(m.Vertices[v], func(w int32) {
			d := r3.Norm(r3.Sub(m.Vertices[w], m.Vertices[v]))
			if w == v || d > tol || d > p.apart || d == p.apart && w > p.onto {
				return
			}
			if _, neighbours := t.Edge(v, w); !neighbours {
				p.onto, p.apart = w, d
			}
		})
		if p.apart <= tol {
			out = append(out, p)
		}
	}
	slices.SortFunc(out, func(a, b rimPair) int {
		return cmp.Or(cmp.Compare(a.apart, b.apart), cmp.Compare(a.from, b.from))
	})
	return out
}

// keepUpright takes the moves back that turn a facet over, until none does.
func (m *Mesh) keepUpright(onto map[int32]int32) {
	for again := true; again; {
		again = false
		for _, f := range m.Facets {
			g := joined(f, onto)
			if g == f || collapsed(g) {
				continue
			}
			before, after := areaVector(m.Vertices, f[:]), areaVector(m.Vertices, g[:])
			if r3.Dot(before, after) < 0 {
				for _, v := range f {
					delete(onto, v)
				}
				again = true
			}
		}
	}
}
