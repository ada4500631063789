package mesh

import (
	"context"
	"math"
	"math/bits"

	"gonum.org/v1/gonum/spatial/r3"
)

// vertexTable gives every distinct position one number, in the order of first
// appearance. It is an open-addressing hash with linear probing: one int32 per
// slot, so that a million vertices cost 8 MB beside their own coordinates, where
// a Go map would take ten times that.
type vertexTable struct {
	slots    []int32 // index into vertices plus one; zero is free
	vertices []r3.Vec
}

// newVertexTable makes a table with room for about n vertices; it grows.
func newVertexTable(n int) *vertexTable {
	return &vertexTable{
		slots:    make([]int32, 1<<bits.Len(uint(max(n, 8)*2-1))),
		vertices: make([]r3.Vec, 0, n),
	}
}

// hashVec mixes the bits of the three coordinates (constants: the golden ratio
// and two odd multipliers of the splitmix family).
func hashVec(v r3.Vec) uint64 {
	h := math.Float64bits(v.X) * 0x9E3779B97F4A7C15
	h = bits.RotateLeft64(h, 29) ^ math.Float64bits(v.Y)*0xBF58476D1CE4E5B9
	h = bits.RotateLeft64(h, 31) ^ math.Float64bits(v.Z)*0x94D049BB133111EB
	h ^= h >> 32
	h *= 0xD6E8FEB86659FD93
	return h ^ h>>32
}

// index gives the number of v, entering it when it is new. Minus zero is zero.
func (t *vertexTable) index(v r3.Vec) int32 {
	v = positiveZero(v)
	slot, found := t.probe(v)
	if found {
		return t.slots[slot] - 1
	}
	t.vertices = append(t.vertices, v)
	n := int32(len(t.vertices))
	t.slots[slot] = n
	if 2*len(t.vertices) > len(t.slots) {
		t.grow()
	}
	return n - 1
}

// find gives the number of v if it has been entered.
func (t *vertexTable) find(v r3.Vec) (int32, bool) {
	slot, found := t.probe(positiveZero(v))
	if !found {
		return 0, false
	}
	return t.slots[slot] - 1, true
}

func (t *vertexTable) probe(v r3.Vec) (slot int, found bool) {
	mask := len(t.slots) - 1
	for i := int(hashVec(v)) & mask; ; i = (i + 1) & mask {
		n := t.slots[i]
		if n == 0 {
			return i, false
		}
		if t.vertices[n-1] == v {
			return i, true
		}
	}
}

func (t *vertexTable) grow() {
	t.slots = make([]int32, 2*len(t.slots))
	for i, v := range t.vertices {
		slot, _ := t.probe(v)
		t.slots[slot] = int32(i) + 1
	}
}

// positiveZero turns minus zero into zero, so that both have the same bits.
func positiveZero(v r3.Vec) r3.Vec { return r3.Vec{X: v.X + 0, Y: v.Y + 0, Z: v.Z + 0} }

// soup gathers facets given by their corners; equal corners become one vertex.
type soup struct {
	table  *vertexTable
	facets [][3]int32
}

// newSoup makes a soup with room for about n facets; a closed mesh has about
// half as many vertices (Euler's formula).
func newSoup(n int) *soup {
	return &soup{table: newVertexTable(n/2 + 3), facets: make([][3]int32, 0, n)}
}

func (s *soup) add(a, b, c r3.Vec) {
	s.facets = append(s.facets, [3]int32{s.table.index(a), s.table.index(b), s.table.index(c)})
}

func (s *soup) mesh() *Mesh { return &Mesh{Vertices: s.table.vertices, Facets: s.facets} }

// Weld gives a copy of m in which vertices at exactly the same place are one and
// vertices that no facet uses are gone. Facets keep their order; those that lose
// a corner stay, with a repeated index. Minus zero becomes zero.
func Weld(m *Mesh) *Mesh {
	out, _ := weld(context.Background(), m) // fails only when its context ends
	return out
}

// weld is Weld that stops with the error of ctx.
func weld(ctx context.Context, m *Mesh) (*Mesh, error) {
	table := newVertexTable(len(m.Vertices))
	number := make([]int32, len(m.Vertices)) // new number plus one
	out := &Mesh{Facets: make([][3]int32, len(m.Facets))}
	wait := pause{ctx: ctx}
	for i, f := range m.Facets {
		if wait.over() {
			return nil, ctx.Err()
		}
		for k, v := range f {
			if number[v] == 0 {
				number[v] = table.index(m.Vertices[v]) + 1
			}
			out.Facets[i][k] = number[v] - 1
		}
	}
	out.Vertices = table.vertices
	return out, nil
}

// compact drops the vertices that no facet of m uses and numbers the rest in the
// order of their first use, in place. It reports whether any number changed.
func (m *Mesh) compact() bool {
	number := make([]int32, len(m.Vertices)) // new number plus one
	var kept int32
	changed := false
	for i := range m.Facets {
		for k, v := range m.Facets[i] {
			if number[v] == 0 {
				kept++
				number[v] = kept
				changed = changed || kept != v+1
			}
			m.Facets[i][k] = number[v] - 1
		}
	}
	if !changed && int(kept) == len(m.Vertices) {
		return false
	}
	vertices := make([]r3.Vec, kept)
	for v, n := range number {
		if n > 0 {
			vertices[n-1] = m.Vertices[v]
		}
	}
	m.Vertices = vertices
	return true
}
