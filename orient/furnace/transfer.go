package furnace

// transfer carries displacements from a coarse grid to the next finer one by
// trilinear interpolation, and forces the other way by its transpose. A fine
// node has one, two, four or eight coarse nodes around it, as it lies on a
// coarse node, edge, face or inside a brick, all with the same weight.
type transfer struct {
	first  []int32 // coarse nodes of fine node f: list[first[f]:first[f+1]]
	list   []int32
	gather []int32 // fine nodes of coarse node c: from[gather[c]:gather[c+1]]
	from   []int32
	crew   crew
}

// newTransfer links the nodes of fine to those of coarse. parent is the coarse
// brick around every fine one.
func newTransfer(fine, coarse *grid, parent []int32) *transfer {
	coarseNodes := len(coarse.place)
	t := &transfer{crew: fine.crew, first: make([]int32, len(fine.place)+1), gather: make([]int32, coarseNodes+1)}
	around := make([]int32, len(fine.place)) // a coarse brick that holds the node
	for i, p := range parent {
		for _, n := range fine.nodes[i] {
			around[n] = p
		}
	}
	t.list = make([]int32, 0, 3*len(fine.place))
	for f, p := range fine.place {
		brick := around[f]
		cell := coarse.cell[brick]
		var at [3]int16 // 0, 1 or 2 half bricks from the low end
		for a := range at {
			at[a] = p[a] - 2*cell[a]
		}
		for n, node := range coarse.nodes[brick] {
			if near(at[0], n&1) && near(at[1], n>>1&1) && near(at[2], n>>2) {
				t.list = append(t.list, node)
				t.gather[node+1]++
			}
		}
		t.first[f+1] = int32(len(t.list))
	}
	for c := range coarseNodes {
		t.gather[c+1] += t.gather[c]
	}
	t.from = make([]int32, len(t.list))
	next := append([]int32(nil), t.gather[:coarseNodes]...)
	for f := range len(fine.place) {
		for _, n := range t.list[t.first[f]:t.first[f+1]] {
			t.from[next[n]] = int32(f)
			next[n]++
		}
	}
	return t
}

// near reports whether a corner at the low (0) or high (1) end of a coarse brick
// takes part in a node at that many half bricks from the low end.
func near(at int16, end int) bool { return at == 1 || at == int16(2*end) }

// weight is the share of each coarse node in fine node f.
func (t *transfer) weight(f int32) float64 {
	return 1 / float64(t.first[f+1]-t.first[f])
}

// addUp adds the coarse displacements x, interpolated, to the fine ones y.
func (t *transfer) addUp(y, x []float64) {
	t.crew.over(len(y), func(lo, hi int) {
		for f := lo / 3; f < hi/3; f++ {
			var a, b, c float64
			nodes := t.list[t.first[f]:t.first[f+1]]
			for _, n := range nodes {
				v := (*[3]float64)(x[3*n : 3*n+3])
				a, b, c = a+v[0], b+v[1], c+v[2]
			}
			w := 1 / float64(len(nodes))
			v := (*[3]float64)(y[3*f : 3*f+3])
			v[0], v[1], v[2] = v[0]+w*a, v[1]+w*b, v[2]+w*c
		}
	})
}

// down sets the coarse forces y to the fine forces x, gathered.
func (t *transfer) down(y, x []float64) {
	t.crew.over(len(y), func(lo, hi int) {
		for n := lo / 3; n < hi/3; n++ {
			var a, b, c float64
			for _, f := range t.from[t.gather[n]:t.gather[n+1]] {
				w := t.weight(f)
				v := (*[3]float64)(x[3*f : 3*f+3])
				a, b, c = a+w*v[0], b+w*v[1], c+w*v[2]
			}
			y[3*n], y[3*n+1], y[3*n+2] = a, b, c
		}
	})
}
