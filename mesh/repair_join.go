package mesh

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// weldTolerance is the distance within which two points of m are the same for
// all purposes, mm: a ten-millionth of the diagonal, or two steps of a 32-bit
// number at the far end of the part, whichever is more. Programs that write 32-bit
// coordinates leave cracks of that width where two faces were meshed apart.
func weldTolerance(m *Mesh) float64 {
	box := m.Bounds()
	far := math.Max(largestCoordinate(box.Min), largestCoordinate(box.Max))
	return math.Max(1e-7*box.Diagonal(), far/(1<<22))
}

// joinCracks moves vertices on open edges onto others there that lie within tol,
// and reports how many it moved and how far at most. Only open edges are touched,
// so that no fine detail of a closed surface can go.
func joinCracks(m *Mesh, t *Topology, tol float64) (n int, moved float64) {
	near := newNeighbours(m.Vertices, tol)
	onto := map[int32]int32{}
	for _, v := range t.openVertices() {
		if w, ok := near.within(m.Vertices[v], tol); ok {
			onto[v] = w
			moved = max(moved, r3.Norm(r3.Sub(m.Vertices[v], m.Vertices[w])))
			continue
		}
		near.add(v)
	}
	m.join(onto)
	return len(onto), moved
}

// join puts other vertices in the place of some.
func (m *Mesh) join(onto map[int32]int32) {
	if len(onto) == 0 {
		return
	}
	for i := range m.Facets {
		m.Facets[i] = joined(m.Facets[i], onto)
	}
}

func joined(f [3]int32, onto map[int32]int32) [3]int32 {
	for k, v := range f {
		if w, ok := onto[v]; ok {
			f[k] = w
		}
	}
	return f
}

// openVertices lists the vertices on open edges in ascending order.
func (t *Topology) openVertices() []int32 {
	on := make([]bool, len(t.mesh.Vertices))
	for side := range t.ring {
		if t.Open(side) {
			from, to := t.Ends(side)
			on[from], on[to] = true, true
		}
	}
	var out []int32
	for v, yes := range on {
		if yes {
			out = append(out, int32(v))
		}
	}
	return out
}

// neighbours finds points near a place with a grid of cells of a given side.
type neighbours struct {
	vertices []r3.Vec
	side     float64
	cells    *vertexTable
	head     []int32 // the last vertex added to a cell, plus one
	next     []int32 // by entry: the one before it in the cell
	entry    []int32 // by entry: the vertex
	looks    int     // left; a crowd in one cell must not take for ever
}

// maxLooks bounds what one search may look at.
const maxLooks = 50_000_000

func newNeighbours(vertices []r3.Vec, side float64) *neighbours {
	return &neighbours{vertices: vertices, side: side, cells: newVertexTable(64), looks: maxLooks}
}

func (n *neighbours) cell(p r3.Vec) r3.Vec {
	return r3.Vec{X: math.Floor(p.X / n.side), Y: math.Floor(p.Y / n.side), Z: math.Floor(p.Z / n.side)}
}

func (n *neighbours) add(v int32) {
	c := int(n.cells.index(n.cell(n.vertices[v])))
	if c == len(n.head) {
		n.head = append(n.head, 0)
	}
	n.entry = append(n.entry, v)
	n.next = append(n.next, n.head[c])
	n.head[c] = int32(len(n.entry))
}

// within gives the nearest vertex within dist of p, which may not exceed the
// side of the cells; of equally near ones that with the lowest number.
func (n *neighbours) within(p r3.Vec, dist float64) (vertex int32, ok bool) {
	best := dist
	n.each(p, func(v int32) {
		d := r3.Norm(r3.Sub(n.vertices[v], p))
		if d < best || d == best && (!ok || v < vertex) {
			vertex, best, ok = v, d, true
		}
	})
	return vertex, ok
}

// each visits the vertices in the cell of p and those around it, until the
// search has looked at too many.
func (n *neighbours) each(p r3.Vec, visit func(v int32)) {
	c := n.cell(p)
	for dx := -1.0; dx <= 1; dx++ {
		for dy := -1.0; dy <= 1; dy++ {
			for dz := -1.0; dz <= 1; dz++ {
				id, ok := n.cells.find(r3.Vec{X: c.X + dx, Y: c.Y + dy, Z: c.Z + dz})
				if !ok {
					continue
				}
				for e := n.head[id]; e > 0 && n.looks > 0; e = n.next[e-1] {
					n.looks--
					visit(n.entry[e-1])
				}
			}
		}
	}
}
