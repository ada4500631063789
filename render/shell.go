package render

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/orient"
)

// shell is the outer surface of the support columns: rectangles and the lines
// that bound them. Sides where one column leans on the next are left out.
type shell struct {
	quads []quad
	// rims are the upright corner lines and the outline on the ground.
	rims [][2]r3.Vec
}

// quad is a flat rectangle, corners in order, with its outward normal.
type quad struct {
	corners [4]r3.Vec
	normal  r3.Vec
}

// cell is the place of a column on the grid that all columns share.
type cell struct{ i, j int }

// span is a stretch of height.
type span struct{ lo, hi float64 }

// shellOf gives the outer surface of posts. They are taken to stand on one grid,
// whose cells they fill: cells need not be square.
func shellOf(posts []orient.Post) shell {
	var s shell
	posts = slices.DeleteFunc(slices.Clone(posts), func(p orient.Post) bool {
		return !(p.Width > 0 && p.Top > p.Bottom)
	})
	if len(posts) == 0 {
		return s
	}
	l := latticeOf(posts)
	stacks := l.stack(posts)
	s.quads = make([]quad, 0, 3*len(posts))
	for k, p := range stacks.posts {
		i, j := stacks.cells[k]%l.nx, stacks.cells[k]/l.nx
		s.addPost(p, l.dx/2, l.dy/2, func(di, dj int) []orient.Post { return stacks.at(i+di, j+dj) })
	}
	return s
}

// lattice is the grid that posts stand on: the middle of its first cell, the
// sides and the number of its cells.
type lattice struct {
	x0, y0, dx, dy float64
	nx, ny         int
}

// latticeOf reads the grid off the places of the posts.
func latticeOf(posts []orient.Post) lattice {
	xs, ys := make([]float64, len(posts)), make([]float64, len(posts))
	for i, p := range posts {
		xs[i], ys[i] = p.X, p.Y
	}
	l := lattice{dx: leastStep(xs, posts[0].Width), dy: leastStep(ys, posts[0].Width)}
	l.x0, l.y0 = slices.Min(xs), slices.Min(ys)
	l.nx = int(math.Round((slices.Max(xs)-l.x0)/l.dx)) + 1
	l.ny = int(math.Round((slices.Max(ys)-l.y0)/l.dy)) + 1
	return l
}

// cellOf gives the number of the cell that p stands on.
func (l lattice) cellOf(p orient.Post) int {
	i, j := math.Round((p.X-l.x0)/l.dx), math.Round((p.Y-l.y0)/l.dy)
	return int(j)*l.nx + int(i)
}

// stacks are the posts by the cell that they stand on; posts over each other
// share one.
type stacks struct {
	l     lattice
	posts []orient.Post
	cells []int   // of the posts
	start []int32 // of each cell in posts; nil for a lattice too wide to list
}

// mostCells is how wide a lattice may be: far more than an engine's grid has.
const mostCells = 1 << 22

// stack sorts posts by their cells; those of one cell keep their order.
func (l lattice) stack(posts []orient.Post) *stacks {
	s := &stacks{l: l, posts: posts, cells: make([]int, len(posts))}
	for k, p := range posts {
		s.cells[k] = l.cellOf(p)
	}
	if l.nx > mostCells || l.ny > mostCells || l.nx*l.ny > mostCells {
		return s
	}
	s.start = make([]int32, l.nx*l.ny+1)
	for _, c := range s.cells {
		s.start[c+1]++
	}
	for c := range l.nx * l.ny {
		s.start[c+1] += s.start[c]
	}
	next := slices.Clone(s.start)
	s.posts = make([]orient.Post, len(posts))
	for k, c := range s.cells {
		s.posts[next[c]] = posts[k]
		next[c]++
	}
	slices.Sort(s.cells)
	return s
}

// at gives the posts on a cell.
func (s *stacks) at(i, j int) []orient.Post {
	if i < 0 || j < 0 || i >= s.l.nx || j >= s.l.ny || s.start == nil {
		return nil
	}
	c := j*s.l.nx + i
	return s.posts[s.start[c]:s.start[c+1]]
}

// leastStep gives the smallest distance between different values, at least half
// of width, or width where all are the same.
func leastStep(values []float64, width float64) float64 {
	sorted := slices.Clone(values)
	slices.Sort(sorted)
	step := math.Inf(1)
	for i := 1; i < len(sorted); i++ {
		if d := sorted[i] - sorted[i-1]; d > width/2 {
			step = min(step, d)
		}
	}
	if step > 1.5*width { // columns of one row only, or far apart
		return width
	}
	return step
}

// addPost adds the open sides of p, hx and hy to each side of its axis; beside
// gives the posts of a neighbour cell.
func (s *shell) addPost(p orient.Post, hx, hy float64, beside func(di, dj int) []orient.Post) {
	corner := func(dx, dy, z float64) r3.Vec { return r3.Vec{X: p.X + hx*dx, Y: p.Y + hy*dy, Z: z} }
	// Tops lie against the part and are never seen.
	s.quads = append(s.quads,
		quad{[4]r3.Vec{corner(-1, 1, p.Bottom), corner(1, 1, p.Bottom), corner(1, -1, p.Bottom), corner(-1, -1, p.Bottom)}, r3.Vec{Z: -1}})
	sides := [4]cell{{1, 0}, {0, 1}, {-1, 0}, {0, -1}}
	var open [4][]span
	for k, d := range sides {
		open[k] = uncovered(span{p.Bottom, p.Top}, beside(d.i, d.j))
		dx, dy := float64(d.i), float64(d.j)
		for _, o := range open[k] {
			s.quads = append(s.quads, quad{
				[4]r3.Vec{corner(dx+dy, dy-dx, o.lo), corner(dx-dy, dy+dx, o.lo), corner(dx-dy, dy+dx, o.hi), corner(dx+dy, dy-dx, o.hi)},
				r3.Vec{X: dx, Y: dy},
			})
			if o.lo == p.Bottom {
				s.rims = append(s.rims, [2]r3.Vec{corner(dx+dy, dy-dx, o.lo), corner(dx-dy, dy+dx, o.lo)})
			}
		}
	}
	for k, d := range sides { // an upright line where two open sides meet
		e := sides[(k+1)%4]
		for _, o := range common(open[k], open[(k+1)%4]) {
			dx, dy := float64(d.i+e.i), float64(d.j+e.j)
			s.rims = append(s.rims, [2]r3.Vec{corner(dx, dy, o.lo), corner(dx, dy, o.hi)})
		}
	}
}

// uncovered gives the parts of s that no post covers, lowest first.
func uncovered(s span, posts []orient.Post) []span {
	const sliver = 0.02 // mm; thinner strips are not worth drawing
	if len(posts) > 1 {
		posts = slices.Clone(posts)
		slices.SortFunc(posts, func(a, b orient.Post) int { return cmp.Compare(a.Bottom, b.Bottom) })
	}
	var out []span
	z := s.lo
	for _, p := range posts {
		if p.Bottom-z > sliver && z < s.hi {
			out = append(out, span{z, min(p.Bottom, s.hi)})
		}
		z = max(z, p.Top)
	}
	if s.hi-z > sliver {
		out = append(out, span{z, s.hi})
	}
	return out
}

// common gives where spans of a and b overlap.
func common(a, b []span) []span {
	var out []span
	for _, s := range a {
		for _, t := range b {
			if lo, hi := max(s.lo, t.lo), min(s.hi, t.hi); hi > lo {
				out = append(out, span{lo, hi})
			}
		}
	}
	return out
}
