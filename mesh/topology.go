package mesh

import (
	"context"
	"slices"
)

// Topology says which facets of a mesh meet along which edges. A side is one of
// the three edges of a facet, numbered 3*facet + k, and runs from corner k to
// corner k+1 of the facet. A Topology belongs to the mesh as it was when it was
// made, and may be read by several goroutines at once.
type Topology struct {
	mesh *Mesh
	// ring gives for each side the next one on the same edge, in ascending order
	// and from the last back to the first: a side that is its own next stands on
	// an open edge.
	ring []int32
	// first and ends list the sides by the lower vertex of their edge; an entry
	// holds the higher vertex in its upper half and the side in its lower.
	first []int32
	ends  []uint64
}

// NewTopology finds the edges of m. Facets with a repeated corner take no part:
// each of their sides stands alone and counts as no edge. Equal vertices must
// have been welded. It takes time and memory linear in the facets, about 45
// bytes for each.
func NewTopology(m *Mesh) *Topology {
	t, _ := NewTopologyUntil(context.Background(), m) // fails only when its context ends
	return t
}

// NewTopologyUntil is NewTopology that stops with the error of ctx.
func NewTopologyUntil(ctx context.Context, m *Mesh) (*Topology, error) {
	t := &Topology{mesh: m, ring: make([]int32, 3*len(m.Facets))}
	wait := pause{ctx: ctx}
	if !t.collect(&wait) {
		return nil, ctx.Err()
	}
	for v := range len(m.Vertices) {
		if wait.over() {
			return nil, ctx.Err()
		}
		list := t.ends[t.first[v]:t.first[v+1]]
		slices.Sort(list)
		t.link(list)
	}
	return t, nil
}

// collect sorts the sides by their lower vertex (counting sort); false where it
// was stopped.
func (t *Topology) collect(wait *pause) bool {
	t.first = make([]int32, len(t.mesh.Vertices)+2)
	for _, f := range t.mesh.Facets {
		if collapsed(f) {
			continue
		}
		for k := range 3 {
			t.first[min(f[k], f[(k+1)%3])+2]++
		}
	}
	for v := 2; v < len(t.first); v++ {
		t.first[v] += t.first[v-1]
	}
	t.ends = make([]uint64, t.first[len(t.first)-1])
	for i, f := range t.mesh.Facets {
		if wait.over() {
			return false
		}
		for k := range 3 {
			side := int32(3*i + k)
			t.ring[side] = side
			if collapsed(f) {
				continue
			}
			a, b := f[k], f[(k+1)%3]
			at := &t.first[min(a, b)+1]
			t.ends[*at] = uint64(max(a, b))<<32 | uint64(side)
			*at++
		}
	}
	t.first = t.first[:len(t.first)-1]
	return true
}

// link closes the sides that share an edge into rings.
func (t *Topology) link(list []uint64) {
	for begin := 0; begin < len(list); {
		end := begin + 1
		for end < len(list) && list[end]>>32 == list[begin]>>32 {
			t.ring[uint32(list[end-1])] = int32(uint32(list[end]))
			end++
		}
		t.ring[uint32(list[end-1])] = int32(uint32(list[begin]))
		begin = end
	}
}

// collapsed reports a facet with a repeated corner.
func collapsed(f [3]int32) bool { return f[0] == f[1] || f[1] == f[2] || f[2] == f[0] }

// Ends gives the vertices that a side runs from and to.
func (t *Topology) Ends(side int) (from, to int32) {
	f := &t.mesh.Facets[side/3]
	k := side % 3
	if k == 2 {
		return f[2], f[0]
	}
	return f[k], f[k+1]
}

// Opposite gives the corner of the side's facet that is not on the side.
func (t *Topology) Opposite(side int) int32 { return t.mesh.Facets[side/3][(side+2)%3] }

// Twin gives the side of the other facet on the same edge, and false where the
// edge is open or shared by more than two facets.
func (t *Topology) Twin(side int) (int, bool) {
	n := int(t.ring[side])
	return n, n != side && int(t.ring[n]) == side
}

// Open reports whether no other facet shares the side's edge.
func (t *Topology) Open(side int) bool {
	return int(t.ring[side]) == side && !collapsed(t.mesh.Facets[side/3])
}

// Shared reports whether more than two facets share the side's edge.
func (t *Topology) Shared(side int) bool {
	n := int(t.ring[side])
	return n != side && int(t.ring[n]) != side
}

// Around calls visit for every side on the edge of side, itself first.
func (t *Topology) Around(side int, visit func(side int)) {
	for s := side; ; {
		visit(s)
		if s = int(t.ring[s]); s == side {
			return
		}
	}
}

// Agrees reports whether two sides of one edge run in opposite directions, as
// those of facets do that face the same way.
func (t *Topology) Agrees(a, b int) bool {
	fromA, _ := t.Ends(a)
	fromB, _ := t.Ends(b)
	return fromA != fromB
}

// Edge finds a side between two vertices.
func (t *Topology) Edge(a, b int32) (side int, ok bool) {
	low, high := min(a, b), max(a, b)
	list := t.ends[t.first[low]:t.first[low+1]]
	i, _ := slices.BinarySearch(list, uint64(high)<<32)
	if i < len(list) && list[i]>>32 == uint64(high) {
		return int(uint32(list[i])), true
	}
	return 0, false
}

// edgeCounts are the edges of a mesh by the number of facets on them.
type edgeCounts struct {
	open, shared int
	// torn are edges whose sides do not cancel: facets on them face different
	// ways, or they are open.
	torn int
	// firstShared is a side on a shared edge.
	firstShared int
}

func (t *Topology) count() edgeCounts {
	var c edgeCounts
	t.eachEdge(func(side int) {
		next := int(t.ring[side])
		switch {
		case next == side:
			c.open++
			c.torn++
		case int(t.ring[next]) == side:
			if !t.Agrees(side, next) {
				c.torn++
			}
		default:
			if c.shared == 0 {
				c.firstShared = side
			}
			c.shared++
			if !t.cancels(side) {
				c.torn++
			}
		}
	})
	return c
}

// oddEdges counts the edges on which an odd number of facets meets: no turning
// over makes their sides cancel.
func (t *Topology) oddEdges() int {
	odd := 0
	t.eachEdge(func(side int) {
		n := 0
		t.Around(side, func(int) { n++ })
		odd += n % 2
	})
	return odd
}

// eachEdge visits every edge once, by its first side. Edges that very many facets
// share would take very long if each of their sides looked round for itself.
func (t *Topology) eachEdge(visit func(side int)) {
	for last, next := range t.ring {
		if int(next) <= last && !collapsed(t.mesh.Facets[last/3]) {
			visit(int(next))
		}
	}
}

// cancels reports whether as many sides run along an edge one way as the other.
func (t *Topology) cancels(side int) bool {
	balance := 0
	t.Around(side, func(s int) {
		if t.Agrees(side, s) {
			balance--
		} else {
			balance++
		}
	})
	return balance == 0
}
