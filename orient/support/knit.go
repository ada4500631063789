package support

import (
	"cmp"
	"context"
	"slices"
)

// knot is a corner that some cells share: they are joined there.
type knot struct {
	place       int // of the lattice
	job         int32
	bottom, top float64
	cells       int32   // how many share it
	height      float64 // of these, together
}

// knitting joins chosen cells to bodies whose surfaces are closed and touch
// neither themselves nor one another.
type knitting struct {
	crate *crate
	alive []bool
	// parent is a union-find over the corners of the cells, 4 to a cell; joined
	// says which neighbour, as an index, a cell is joined to over its sides: from
	// corner n to n + 1.
	parent []int32
	joined [][4]int32
	knots  map[int32]*knot // by root
}

// sides are the steps to the neighbours over the four sides of a cell, and the
// corners of the neighbour at the first and the second corner of the side.
func sides() [4]struct{ di, dj, first, second int } {
	return [4]struct{ di, dj, first, second int }{{0, -1, 3, 2}, {1, 0, 0, 3}, {0, 1, 1, 0}, {-1, 0, 2, 1}}
}

// knit joins the cells, and takes out cells until all that is left is sound: where
// joining has left a corner too low, and where two bodies, or two storeys of one,
// would touch at a corner. Of these the smaller goes.
func (k *crate) knit(ctx context.Context) (*knitting, error) {
	t := &knitting{crate: k, alive: make([]bool, len(k.cells)), parent: make([]int32, 4*len(k.cells)), joined: make([][4]int32, len(k.cells))}
	for n, c := range k.cells {
		t.alive[n] = c.chosen
	}
	for {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		t.join()
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		t.tie()
		if t.drop(t.unsound()) == 0 {
			return t, nil
		}
	}
}

// join unites the corners of neighbours.
func (t *knitting) join() {
	for n := range t.parent {
		t.parent[n] = int32(n)
	}
	k := t.crate
	for n := range k.cells {
		t.joined[n] = [4]int32{-1, -1, -1, -1}
	}
	for n := range k.cells {
		if !t.alive[n] {
			continue
		}
		for s, step := range sides() {
			if s == 0 || s == 3 {
				continue // each pair once, from the lower cell
			}
			o := t.partner(n, step.di, step.dj)
			if o < 0 {
				continue
			}
			t.joined[n][s], t.joined[o][(s+2)%4] = o, int32(n)
			t.unite(int32(4*n+s), 4*o+int32(step.first))
			t.unite(int32(4*n+(s+1)%4), 4*o+int32(step.second))
		}
	}
}

// partner gives the cell a step away that cell n is joined to, or -1. Two storeys
// that both meet it are left apart: the first takes it.
func (t *knitting) partner(n, di, dj int) int32 {
	k := t.crate
	c := &k.cells[n]
	from, to := k.at(c.i+di, c.j+dj)
	for o := from; o < to; o++ {
		back := 3 // the side of o toward n
		if dj == 1 {
			back = 0
		}
		if d := &k.cells[o]; t.alive[o] && d.job == c.job && t.joined[o][back] < 0 && k.meets(c, d) {
			return o
		}
	}
	return -1
}

func (t *knitting) root(n int32) int32 {
	for t.parent[n] != n {
		t.parent[n] = t.parent[t.parent[n]]
		n = t.parent[n]
	}
	return n
}

func (t *knitting) unite(a, b int32) {
	a, b = t.root(a), t.root(b)
	t.parent[max(a, b)] = min(a, b)
}

// tie works out the knots.
func (t *knitting) tie() {
	t.knots = map[int32]*knot{}
	k := t.crate
	for n := range k.cells {
		if !t.alive[n] {
			continue
		}
		c := &k.cells[n]
		for corner := range 4 {
			r := t.root(int32(4*n + corner))
			q := t.knots[r]
			if q == nil {
				q = &knot{place: k.place(c, corner), job: c.job, bottom: c.bottom[corner], top: c.top[corner]}
				t.knots[r] = q
			}
			q.bottom, q.top = max(q.bottom, c.bottom[corner]), min(q.top, c.top[corner])
			q.cells++
			q.height += c.height()
		}
	}
}

// place numbers the corners of the lattice.
func (k *crate) place(c *cell, corner int) int {
	i, j := c.i, c.j
	if corner == 1 || corner == 2 {
		i++
	}
	if corner >= 2 {
		j++
	}
	return j*(k.lines.NX+1) + i
}

// unsound gives the roots of knots whose cells have to go.
func (t *knitting) unsound() map[int32]bool {
	bad := map[int32]bool{}
	roots := make([]int32, 0, len(t.knots))
	for r := range t.knots {
		roots = append(roots, r)
	}
	slices.SortFunc(roots, func(a, b int32) int {
		return cmp.Or(cmp.Compare(t.knots[a].place, t.knots[b].place), cmp.Compare(a, b))
	})
	for n, r := range roots {
		q := t.knots[r]
		if q.top-q.bottom < t.crate.least || q.cells > 4 {
			bad[r] = true
		}
		for m := n + 1; m < len(roots) && t.knots[roots[m]].place == q.place; m++ {
			if o := t.knots[roots[m]]; q.bottom <= o.top && o.bottom <= q.top {
				if q.yields(o) {
					bad[r] = true
				} else {
					bad[roots[m]] = true
				}
			}
		}
	}
	return bad
}

// yields says which of two knots that touch goes: that of the later job, else
// the one with less on it.
func (q *knot) yields(o *knot) bool {
	if q.job != o.job {
		return q.job > o.job
	}
	return q.height < o.height
}

// drop takes out the cells at bad knots and says how many.
func (t *knitting) drop(bad map[int32]bool) int {
	count := 0
	if len(bad) == 0 {
		return 0
	}
	for n := range t.alive {
		if !t.alive[n] {
			continue
		}
		for corner := range 4 {
			if bad[t.root(int32(4*n+corner))] {
				t.alive[n] = false
				count++
				break
			}
		}
	}
	return count
}
