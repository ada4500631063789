package render

import (
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

// shellOf gives the outer surface of posts. Posts of one side length are taken
// to stand on one grid; what does not is drawn as columns of its own.
func shellOf(posts []orient.Post) shell {
	var s shell
	if len(posts) == 0 {
		return s
	}
	at := func(p orient.Post) cell {
		return cell{int(math.Floor(p.X / p.Width)), int(math.Floor(p.Y / p.Width))}
	}
	stacks := make(map[cell][]orient.Post, len(posts))
	for _, p := range posts {
		if p.Width > 0 && p.Top > p.Bottom {
			stacks[at(p)] = append(stacks[at(p)], p)
		}
	}
	for _, p := range posts { // in the order of posts, not of the map
		if p.Width > 0 && p.Top > p.Bottom {
			s.addPost(p, func(di, dj int) []orient.Post {
				c := at(p)
				return stacks[cell{c.i + di, c.j + dj}]
			})
		}
	}
	return s
}

// addPost adds the open sides of p; beside gives the posts of a neighbour cell.
func (s *shell) addPost(p orient.Post, beside func(di, dj int) []orient.Post) {
	h := p.Width / 2
	corner := func(dx, dy, z float64) r3.Vec { return r3.Vec{X: p.X + h*dx, Y: p.Y + h*dy, Z: z} }
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
	sorted := slices.Clone(posts)
	slices.SortFunc(sorted, func(a, b orient.Post) int {
		switch {
		case a.Bottom < b.Bottom:
			return -1
		case a.Bottom > b.Bottom:
			return 1
		}
		return 0
	})
	var out []span
	z := s.lo
	for _, p := range sorted {
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
