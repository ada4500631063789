package furnace

// block is a solid share for every brick of a box of bricks. Axis 2 is the one
// with the most bricks: layers across it are what the cores share out.
type block struct {
	n      [3]int
	stride [3]int
	share  []float32
}

// at gives the share of brick (i, j, k).
func (b *block) at(i, j, k int) float32 {
	return b.share[i*b.stride[0]+j*b.stride[1]+k*b.stride[2]]
}

// coarser gives the block of bricks twice as long: the mean of eight, empty
// ones counted.
func (b *block) coarser() *block {
	c := &block{}
	for a := range c.n {
		c.n[a] = (b.n[a] + 1) / 2
	}
	c.stride = [3]int{1, c.n[0], c.n[0] * c.n[1]}
	c.share = make([]float32, c.n[0]*c.n[1]*c.n[2])
	for k := range b.n[2] {
		for j := range b.n[1] {
			row := j/2*c.stride[1] + k/2*c.stride[2]
			for i := range b.n[0] {
				c.share[row+i/2] += b.at(i, j, k) / 8
			}
		}
	}
	return c
}

// grid is the solid bricks of a block and the nodes at their corners, both
// numbered layer by layer. Bricks without solid do not exist in it.
type grid struct {
	n     [3]int
	brick *brick
	// pairs are the nodes of each brick (see addForces), factor its stiffness.
	pairs  [][4]int32
	factor []float32
	// place is the position of each node, in bricks.
	place [][3]int16
	// weight is the sum of the factors of the bricks around each node.
	weight []float32
	slabs  []slab
	crew   crew
}

// slab is a run of bricks in whole layers.
type slab struct{ lo, hi int }

// nodes gives the number of nodes.
func (g *grid) nodes() int { return len(g.place) }

// nodeMap gives the number of the node at every corner of a block, or -1.
type nodeMap struct {
	n    [3]int
	node []int32
}

func (m *nodeMap) index(i, j, k int) int { return (k*(m.n[1]+1)+j)*(m.n[0]+1) + i }

// at gives the node at (i, j, k), or -1 where there is none or beyond the ends.
func (m *nodeMap) at(i, j, k int) int32 {
	if i < 0 || j < 0 || k < 0 || i > m.n[0] || j > m.n[1] || k > m.n[2] {
		return -1
	}
	return m.node[m.index(i, j, k)]
}

// newGrid numbers the solid bricks of b and their nodes.
func newGrid(b *block, e *brick, c crew) (*grid, *nodeMap) {
	g := &grid{n: b.n, brick: e, crew: c}
	m := &nodeMap{n: b.n, node: make([]int32, (b.n[0]+1)*(b.n[1]+1)*(b.n[2]+1))}
	layer := make([]int, b.n[2]+1)
	bricks := g.mark(b, m, layer)
	g.number(m)
	g.pairs = make([][4]int32, 0, bricks)
	g.factor = make([]float32, 0, bricks)
	g.weight = make([]float32, len(g.place))
	for k := range b.n[2] {
		for j := range b.n[1] {
			for i := range b.n[0] {
				if f := b.at(i, j, k); f > 0 {
					g.add(m, i, j, k, f)
				}
			}
		}
	}
	g.cutSlabs(layer)
	return g, m
}

// mark notes the corners that bricks use and where the layers of bricks begin.
func (g *grid) mark(b *block, m *nodeMap, layer []int) (bricks int) {
	row, sheet := m.n[0]+1, (m.n[0]+1)*(m.n[1]+1)
	for k := range b.n[2] {
		for j := range b.n[1] {
			for i := range b.n[0] {
				if b.at(i, j, k) <= 0 {
					continue
				}
				bricks++
				at := m.index(i, j, k)
				for _, o := range [4]int{0, row, sheet, row + sheet} {
					m.node[at+o], m.node[at+o+1] = 1, 1
				}
			}
		}
		layer[k+1] = bricks
	}
	return bricks
}

// number gives the marked corners their numbers, in order.
func (g *grid) number(m *nodeMap) {
	count := 0
	for _, v := range m.node {
		count += int(v)
	}
	g.place = make([][3]int16, 0, count)
	at := 0
	for k := range m.n[2] + 1 {
		for j := range m.n[1] + 1 {
			for i := range m.n[0] + 1 {
				if m.node[at] == 0 {
					m.node[at] = -1
				} else {
					m.node[at] = int32(len(g.place))
					g.place = append(g.place, [3]int16{int16(i), int16(j), int16(k)})
				}
				at++
			}
		}
	}
}

// add appends the brick at (i, j, k) with factor f.
func (g *grid) add(m *nodeMap, i, j, k int, f float32) {
	at, row, sheet := m.index(i, j, k), m.n[0]+1, (m.n[0]+1)*(m.n[1]+1)
	p := [4]int32{m.node[at], m.node[at+row], m.node[at+sheet], m.node[at+row+sheet]}
	g.pairs = append(g.pairs, p)
	g.factor = append(g.factor, f)
	for _, n := range p {
		g.weight[n] += f
		g.weight[n+1] += f
	}
}

// cutSlabs cuts the layers into an even number of slabs of about equal size.
func (g *grid) cutSlabs(layer []int) {
	const most, least = 16, 1024 // slabs; bricks that make a slab worth a call
	total := len(g.pairs)
	want := max(1, min(most, total/least))
	start := 0
	for k := 1; k < len(layer); k++ {
		if layer[k]-start >= (total+want-1)/want || k == len(layer)-1 {
			g.slabs = append(g.slabs, slab{start, layer[k]})
			start = layer[k]
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
			g.brick.addForces(y, x, g.pairs[s.lo:s.hi], g.factor[s.lo:s.hi])
		})
	}
}
