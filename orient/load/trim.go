package load

import (
	"cmp"
	"context"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
)

// trimming cuts edges where they meet and keeps what bounds the covered area.
type trimming struct {
	edges []Edge
	// cells are the edges by the squares that they pass through, rows those by height.
	box   Box
	pitch float64
	nx    int
	cells map[int][]int32
	rows  [][]int32
	work  int
}

const (
	// beside is how far to either side of an edge it is looked whether there is anything,
	// mm: what is narrower is lost.
	beside = 1e-6
	// mostTrimming is how many pairs of edges are looked at (judgement: a second or two);
	// past it the edges stay as they are, which is slower to lay out and no less true: edges
	// within what is covered are farther from everything outside than its rim.
	mostTrimming = 60_000_000
)

// trimmed gives the outline that edges bound of which some may run within what is
// covered, or cross.
func trimmed(ctx context.Context, edges []Edge) (Outline, error) {
	edges = slices.DeleteFunc(slices.Clone(edges), func(e Edge) bool { return r2.Norm(r2.Sub(e.B, e.A)) < beside })
	t := newTrimming(edges)
	var out []Edge
	for i := range edges {
		if i%256 == 0 && ctx.Err() != nil {
			return Outline{}, ctx.Err()
		}
		for _, piece := range t.cut(int32(i)) {
			if e, ok := t.bounds(piece); ok {
				out = append(out, e)
			}
		}
		if t.work > mostTrimming {
			return Outline{edges}, nil
		}
	}
	return Outline{straightened(single(out))}, nil
}

func newTrimming(edges []Edge) *trimming {
	t := &trimming{edges: edges, box: Outline{edges}.Bounds(), cells: map[int][]int32{}}
	size := t.box.Size()
	t.pitch = max(math.Sqrt(size.X*size.Y/float64(len(edges)+1)), max(size.X, size.Y)/1000, 1e-3)
	t.nx = int(size.X/t.pitch) + 2
	t.rows = make([][]int32, int(size.Y/t.pitch)+2)
	for i := range edges {
		t.each(&edges[i], func(cell int) { t.cells[cell] = append(t.cells[cell], int32(i)) })
		lo, hi := t.row(min(edges[i].A.Y, edges[i].B.Y)), t.row(max(edges[i].A.Y, edges[i].B.Y))
		for r := lo; r <= hi; r++ {
			t.rows[r] = append(t.rows[r], int32(i))
		}
	}
	return t
}

func (t *trimming) row(y float64) int {
	return min(max(int((y-t.box.Min.Y)/t.pitch), 0), len(t.rows)-1)
}

func (t *trimming) column(x float64) int {
	return min(max(int((x-t.box.Min.X)/t.pitch), 0), t.nx-1)
}

// each visits the squares that an edge comes through or near.
func (t *trimming) each(e *Edge, visit func(cell int)) {
	lo, hi := t.row(min(e.A.Y, e.B.Y)-beside), t.row(max(e.A.Y, e.B.Y)+beside)
	for r := lo; r <= hi; r++ {
		x0, x1 := min(e.A.X, e.B.X), max(e.A.X, e.B.X)
		if dy := e.B.Y - e.A.Y; dy != 0 && hi > lo { // the stretch of x within the row
			at := func(y float64) float64 { return e.A.X + (e.B.X-e.A.X)*min(max((y-e.A.Y)/dy, 0), 1) }
			bottom := t.box.Min.Y + float64(r)*t.pitch
			a, b := at(bottom-beside), at(bottom+t.pitch+beside)
			x0, x1 = max(x0, min(a, b)), min(x1, max(a, b))
		}
		for c := t.column(x0 - beside); c <= t.column(x1+beside); c++ {
			visit(r*t.nx + c)
		}
	}
}

// cut gives the pieces of an edge between the places where others meet it.
func (t *trimming) cut(i int32) []Edge {
	e := t.edges[i]
	d := r2.Sub(e.B, e.A)
	long := r2.Norm(d)
	at := []float64{0, 1}
	meet := func(p r2.Vec) { // a point of another edge, on this one
		s := r2.Dot(r2.Sub(p, e.A), d) / (long * long)
		if s > 0 && s < 1 && math.Abs(r2.Cross(d, r2.Sub(p, e.A))) <= beside*long {
			at = append(at, s)
		}
	}
	t.each(&e, func(cell int) {
		t.work += len(t.cells[cell])
		for _, j := range t.cells[cell] {
			if j == i {
				continue
			}
			o := &t.edges[j]
			meet(o.A)
			meet(o.B)
			od := r2.Sub(o.B, o.A)
			cross := r2.Cross(d, od)
			if math.Abs(cross) < 1e-12*long*r2.Norm(od) {
				continue
			}
			s, u := r2.Cross(r2.Sub(o.A, e.A), od)/cross, r2.Cross(r2.Sub(o.A, e.A), d)/cross
			if s > 0 && s < 1 && u >= 0 && u <= 1 {
				at = append(at, s)
			}
		}
	})
	slices.Sort(at)
	var out []Edge
	from := 0.0
	for _, s := range at[1:] {
		if (s-from)*long <= beside && s < 1 {
			continue
		}
		out = append(out, Edge{along(e, from), along(e, s)})
		from = s
	}
	return out
}

// along gives the point of an edge at a share of it, its ends exactly.
func along(e Edge, s float64) r2.Vec {
	switch s {
	case 0:
		return e.A
	case 1:
		return e.B
	}
	return r2.Add(e.A, r2.Scale(s, r2.Sub(e.B, e.A)))
}

// bounds reports whether a piece has what is covered on one side only, and gives it with
// that on its left.
func (t *trimming) bounds(e Edge) (Edge, bool) {
	d := r2.Sub(e.B, e.A)
	long := r2.Norm(d)
	if long == 0 {
		return e, false
	}
	middle := r2.Scale(0.5, r2.Add(e.A, e.B))
	off := r2.Scale(beside/long, r2.Vec{X: -d.Y, Y: d.X})
	left, right := t.covered(r2.Add(middle, off)), t.covered(r2.Sub(middle, off))
	if right && !left {
		return Edge{e.B, e.A}, true
	}
	return e, left && !right
}

func (t *trimming) covered(p r2.Vec) bool {
	if p.Y < t.box.Min.Y || p.Y > t.box.Max.Y {
		return false
	}
	n := 0
	row := t.rows[t.row(p.Y)]
	t.work += len(row)
	for _, j := range row {
		n += passes(&t.edges[j], p)
	}
	return n > 0
}

// mark is a point on a grid that is finer than anything looked at.
type mark [2]int64

func markOf(p r2.Vec) mark {
	const fine = 1 / (4 * beside)
	return mark{int64(math.Round(p.X * fine)), int64(math.Round(p.Y * fine))}
}

// single leaves out edges that are there already.
func single(edges []Edge) []Edge {
	seen := map[[2]mark]bool{}
	return slices.DeleteFunc(edges, func(e Edge) bool {
		key := [2]mark{markOf(e.A), markOf(e.B)}
		double := seen[key] || key[0] == key[1]
		seen[key] = true
		return double
	})
}

// straightened joins edges that go straight on at a corner where only they meet.
func straightened(edges []Edge) []Edge {
	from, to := map[mark][]int{}, map[mark][]int{}
	for i, e := range edges {
		a, b := markOf(e.A), markOf(e.B)
		from[a], to[b] = append(from[a], i), append(to[b], i)
	}
	gone := make([]bool, len(edges))
	corners := make([]mark, 0, len(from))
	for m := range from {
		corners = append(corners, m)
	}
	slices.SortFunc(corners, func(a, b mark) int { return cmp.Or(cmp.Compare(a[0], b[0]), cmp.Compare(a[1], b[1])) })
	for _, m := range corners {
		if len(from[m]) != 1 || len(to[m]) != 1 {
			continue
		}
		i, j := to[m][0], from[m][0] // i ends where j begins
		if i == j {
			continue
		}
		whole := r2.Sub(edges[j].B, edges[i].A)
		off := math.Abs(r2.Cross(whole, r2.Sub(edges[j].A, edges[i].A)))
		if off > beside*r2.Norm(whole) || r2.Dot(r2.Sub(edges[i].B, edges[i].A), r2.Sub(edges[j].B, edges[j].A)) <= 0 {
			continue
		}
		edges[i].B, gone[j] = edges[j].B, true
		to[markOf(edges[i].B)] = replaced(to[markOf(edges[i].B)], j, i)
	}
	out := edges[:0]
	for i, e := range edges {
		if !gone[i] {
			out = append(out, e)
		}
	}
	return out
}

func replaced(list []int, old, now int) []int {
	for k, v := range list {
		if v == old {
			list[k] = now
		}
	}
	return list
}
