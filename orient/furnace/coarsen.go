package furnace

import (
	"cmp"
	"slices"
)

// Coarser grids
//
// A coarse brick covers a cube of eight finer places and takes the mean of their
// shares. Where the eight hold solid that does not hang together, the two sides
// of a slot for instance, one coarse brick would glue the sides to one another
// and the coarse grid would know nothing of their moving apart. So there are as
// many coarse bricks in a place as there are pieces, and coarse bricks in
// neighbouring places share their corners only if solid passes from one to the
// other through the face between them (after Nesme, Payan and Faure 2006 and
// Dick, Georgii and Westermann 2011, from memory).

// coarser makes the next coarser grid and the way between the two.
func (g *grid) coarser(e *brick) (*grid, *transfer) {
	c := &grid{brick: e, crew: g.crew}
	for a := range c.n {
		c.n[a] = (g.n[a] + 1) / 2
	}
	parent := g.pieces(c)
	corner := newForest(corners * len(c.cell))
	for _, j := range g.faces {
		up := joint{parent[j.low], parent[j.high], j.axis}
		if up.low != up.high {
			c.faces = append(c.faces, up)
			joinFace(corner, up.low, up.high, int(up.axis))
		}
	}
	g.faces = nil
	c.numberCorners(corner)
	c.finish()
	return c, newTransfer(g, c, parent)
}

// joint is two bricks that have a face in common, low before high along the axis.
type joint struct {
	low, high int32
	axis      int8
}

// joints finds all pairs of bricks side by side; first gives the brick in every
// place, or -1.
func (g *grid) joints(first []int32) []joint {
	step := [3]int{1, g.n[0], g.n[0] * g.n[1]}
	out := make([]joint, 0, 3*len(g.cell))
	for i, p := range g.cell {
		at := int(p[0]) + int(p[1])*step[1] + int(p[2])*step[2]
		for a := range 3 {
			if int(p[a])+1 < g.n[a] && first[at+step[a]] >= 0 {
				out = append(out, joint{int32(i), first[at+step[a]], int8(a)})
			}
		}
	}
	return out
}

// joinFace joins the corners of the face between two bricks. A forest of corners
// has eight entries for every brick.
func joinFace(corner *forest, low, high int32, axis int) {
	for n := range corners {
		if n>>axis&1 == 1 {
			corner.join(corners*low+int32(n), corners*high+int32(n&^(1<<axis)))
		}
	}
}

// pieces gives c its bricks: one for every piece of solid in a coarse place, in
// the order of the places. It returns the coarse brick of every brick of g.
func (g *grid) pieces(c *grid) (parent []int32) {
	half := func(i int32) [3]int16 {
		p := g.cell[i]
		return [3]int16{p[0] / 2, p[1] / 2, p[2] / 2}
	}
	piece := newForest(len(g.cell))
	for _, j := range g.faces {
		if half(j.low) == half(j.high) {
			piece.join(j.low, j.high)
		}
	}
	roots := make([]int32, 0, len(g.cell)/4)
	for i := range int32(len(g.cell)) {
		if piece.root(i) == i {
			roots = append(roots, i)
		}
	}
	slices.SortStableFunc(roots, func(a, b int32) int { return compareLayers(half(a), half(b)) })
	parent = make([]int32, len(g.cell))
	for n, r := range roots {
		parent[r] = int32(n)
		c.cell = append(c.cell, half(r))
	}
	c.factor = make([]float32, len(roots))
	for i := range int32(len(g.cell)) {
		parent[i] = parent[piece.root(i)]
		c.factor[parent[i]] += g.factor[i] / corners
	}
	return parent
}

// compareLayers orders places by layer, row, and place in the row.
func compareLayers(a, b [3]int16) int {
	return cmp.Or(cmp.Compare(a[2], b[2]), cmp.Compare(a[1], b[1]), cmp.Compare(a[0], b[0]))
}

// numberCorners makes a node of every set of joined corners, in order of place.
func (g *grid) numberCorners(corner *forest) {
	var roots []int32
	for i := range int32(corners * len(g.cell)) {
		if corner.root(i) == i {
			roots = append(roots, i)
		}
	}
	place := func(i int32) [3]int16 {
		p := g.cell[i/corners]
		for a := range p {
			p[a] += int16(i % corners >> a & 1)
		}
		return p
	}
	slices.SortStableFunc(roots, func(a, b int32) int { return compareLayers(place(a), place(b)) })
	number := make([]int32, corners*len(g.cell))
	g.place = make([][3]int16, len(roots))
	for n, r := range roots {
		number[r], g.place[n] = int32(n), place(r)
	}
	g.nodes = make([][corners]int32, len(g.cell))
	for i := range g.nodes {
		for n := range g.nodes[i] {
			g.nodes[i][n] = number[corner.root(int32(corners*i+n))]
		}
	}
}

// forest keeps sets of numbers that are joined two by two; the root of a set is
// its smallest member.
type forest []int32

func newForest(n int) *forest {
	f := make(forest, n)
	for i := range f {
		f[i] = int32(i)
	}
	return &f
}

func (f forest) root(i int32) int32 {
	for f[i] != i {
		f[i] = f[f[i]]
		i = f[i]
	}
	return i
}

func (f forest) join(a, b int32) {
	a, b = f.root(a), f.root(b)
	f[max(a, b)] = min(a, b)
}
