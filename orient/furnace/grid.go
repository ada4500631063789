package furnace

import "slices"

// block is a solid share for every brick of a box of bricks. Axis 2 is the one
// with the most bricks: layers across it are what the cores share out.
type block struct {
	n      [3]int
	stride [3]int
	share  []float32
	// apart says of the bricks at two indexes of share whether they do not hang together
	// though they lie side by side; nil: all that do hang together.
	apart func(a, b int) bool
}

// index gives where in share brick (i, j, k) is.
func (b *block) index(p [3]int16) int {
	return int(p[0])*b.stride[0] + int(p[1])*b.stride[1] + int(p[2])*b.stride[2]
}

// at gives the share of brick (i, j, k).
func (b *block) at(i, j, k int) float32 {
	return b.share[i*b.stride[0]+j*b.stride[1]+k*b.stride[2]]
}

// grid is solid bricks and the nodes at their corners, both in order of their
// layers. Places without solid have no brick.
type grid struct {
	n     [3]int // bricks of the box
	brick *brick
	// nodes are the corners of each brick, factor its share of full stiffness,
	// cell its place in the box.
	nodes  [][corners]int32
	factor []float32
	cell   [][3]int16
	// place is the position of each node, in bricks; weight the sum of the
	// factors of the bricks around it.
	place  [][3]int16
	weight []float32
	slabs  []slab
	faces  []joint // between the bricks
	crew   crew
}

// slab is a run of bricks in whole layers.
type slab struct{ lo, hi int }

// brickMap gives the number of the brick at every place of a block, or -1.
type brickMap struct {
	n     [3]int
	brick []int32
}

// at gives the brick at (i, j, k), or -1 where there is none or beyond the ends.
func (m *brickMap) at(i, j, k int) int32 {
	if i < 0 || j < 0 || k < 0 || i >= m.n[0] || j >= m.n[1] || k >= m.n[2] {
		return -1
	}
	return m.brick[(k*m.n[1]+j)*m.n[0]+i]
}

// newGrid numbers the solid bricks of b and their nodes. Bricks share nodes only
// as far as faces lead from one to the other: two that merely touch along an
// edge could turn about it, which is no way for metal to hang together.
func newGrid(b *block, e *brick, c crew) (*grid, *brickMap) {
	g := &grid{n: b.n, brick: e, crew: c}
	m := &brickMap{n: b.n, brick: make([]int32, b.n[0]*b.n[1]*b.n[2])}
	at := 0
	for k := range b.n[2] {
		for j := range b.n[1] {
			for i := range b.n[0] {
				m.brick[at] = -1
				if f := b.at(i, j, k); f > 0 {
					m.brick[at] = int32(len(g.cell))
					g.cell = append(g.cell, [3]int16{int16(i), int16(j), int16(k)})
					g.factor = append(g.factor, f)
				}
				at++
			}
		}
	}
	g.faces = g.joints(m.brick)
	if b.apart != nil {
		g.faces = slices.DeleteFunc(g.faces, func(j joint) bool { return b.apart(b.index(g.cell[j.low]), b.index(g.cell[j.high])) })
	}
	corner := newForest(corners * len(g.cell))
	for _, j := range g.faces {
		joinFace(corner, j.low, j.high, int(j.axis))
	}
	g.numberCorners(corner)
	g.finish()
	return g, m
}

// finish sums the weights of the nodes and cuts the slabs.
func (g *grid) finish() {
	g.weight = make([]float32, len(g.place))
	for i := range g.nodes {
		for _, n := range g.nodes[i] {
			g.weight[n] += g.factor[i]
		}
	}
	const most, least = 16, 1024 // slabs; bricks that make a slab worth a call
	total := len(g.nodes)
	share := (total + most - 1) / max(1, min(most, total/least))
	start := 0
	for i := 1; i <= total; i++ {
		if i == total || i-start >= share && g.cell[i][2] != g.cell[i-1][2] {
			g.slabs = append(g.slabs, slab{start, i})
			start = i
		}
	}
}

// apply sets y to the forces under the displacements x. Two slabs that have a
// third between them share no node, so first every other slab is done, all at
// once, then those between.
func (g *grid) apply(y, x []float64) {
	g.crew.over(len(y), func(lo, hi int) { clear(y[lo:hi]) })
	for odd := range 2 {
		g.crew.run((len(g.slabs)+1-odd)/2, func(i int) {
			s := g.slabs[2*i+odd]
			g.brick.addForces(y, x, g.nodes[s.lo:s.hi], g.factor[s.lo:s.hi])
		})
	}
}
