package support

import (
	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
)

// skin gives the surface of the bodies of one job; empty where nothing is left.
func (t *knitting) skin(number int32) *mesh.Mesh {
	m := &mesh.Mesh{}
	k := t.crate
	vertex := map[int32]int32{} // of the bottom of a knot; the top is the next
	at := func(cell, corner int) int32 {
		r := t.root(int32(4*cell + corner))
		v, ok := vertex[r]
		if !ok {
			v = int32(len(m.Vertices))
			vertex[r] = v
			c, q := &k.cells[cell], t.knots[r]
			x, y := k.corner(c.i, c.j, corner)
			m.Vertices = append(m.Vertices, r3.Vec{X: x, Y: y, Z: q.bottom}, r3.Vec{X: x, Y: y, Z: q.top})
		}
		return v
	}
	for n := range k.cells {
		if !t.alive[n] || k.cells[n].job != number {
			continue
		}
		var b [4]int32
		for corner := range b {
			b[corner] = at(n, corner)
		}
		m.Facets = append(m.Facets,
			[3]int32{b[0] + 1, b[1] + 1, b[2] + 1}, [3]int32{b[0] + 1, b[2] + 1, b[3] + 1},
			[3]int32{b[0], b[2], b[1]}, [3]int32{b[0], b[3], b[2]})
		for s := range 4 {
			if t.joined[n][s] < 0 {
				p, q := b[s], b[(s+1)%4]
				m.Facets = append(m.Facets, [3]int32{p, q, q + 1}, [3]int32{p, q + 1, p + 1})
			}
		}
	}
	return m
}
