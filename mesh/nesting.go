package mesh

import (
	"cmp"
	"context"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// Bounds on the search for shells within others, for files of very many bodies over
// one another. The largest shells are looked into first; what lies in those left
// out counts as lying in the open, and that is said.
const (
	maxCasts  = 100_000_000 // probes looked at for one facet or another
	maxWithin = 20_000_000  // shells found within others
)

// probeGrid finds the probes above which a facet lies: points of shells from
// which one looks up along Z.
type probeGrid struct {
	probes     []r3.Vec
	x0, y0     float64
	step       float64
	nx, ny     int
	head, next []int32 // lists of probes by cell, by number plus one
	casts      int
	sums       []int8
	touched    []int32 // probes whose sums may not be 0
}

func newProbeGrid(probes []r3.Vec, box Box) *probeGrid {
	g := &probeGrid{probes: probes, x0: box.Min.X, y0: box.Min.Y}
	size := box.Size()
	g.step = math.Max(math.Max(size.X, size.Y)/math.Ceil(math.Sqrt(float64(len(probes)))), 1e-9)
	g.nx, g.ny = int(size.X/g.step)+1, int(size.Y/g.step)+1
	g.head, g.next, g.sums = make([]int32, g.nx*g.ny), make([]int32, len(probes)), make([]int8, len(probes))
	for i, p := range probes {
		c := g.column(p.X) + g.nx*g.row(p.Y)
		g.next[i] = g.head[c]
		g.head[c] = int32(i) + 1
	}
	return g
}

func (g *probeGrid) column(x float64) int { return min(max(int((x-g.x0)/g.step), 0), g.nx-1) }
func (g *probeGrid) row(y float64) int    { return min(max(int((y-g.y0)/g.step), 0), g.ny-1) }

// cast adds to the sum of each probe that sees the facet from below: one for a
// facet that faces up, less one for one that faces down. Edges are cut one way
// and intervals are half open, so that a probe never slips between two facets.
func (g *probeGrid) cast(a, b, c r3.Vec) {
	up := (b.X-a.X)*(c.Y-a.Y) - (b.Y-a.Y)*(c.X-a.X)
	if up == 0 {
		return
	}
	sign := int8(1)
	if up < 0 {
		sign = -1
	}
	lowY, highY, highZ := min(a.Y, b.Y, c.Y), max(a.Y, b.Y, c.Y), max(a.Z, b.Z, c.Z)
	left, right := g.column(min(a.X, b.X, c.X)), g.column(max(a.X, b.X, c.X))
	for row := g.row(lowY); row <= g.row(highY); row++ {
		for col := left; col <= right; col++ {
			for i := g.head[col+g.nx*row]; i > 0; i = g.next[i-1] {
				g.casts++
				p := g.probes[i-1]
				if p.Z < highZ && p.Y >= lowY && p.Y < highY && below(p, a, b, c) {
					g.sums[i-1] += sign
					g.touched = append(g.touched, i-1)
				}
			}
		}
	}
}

// below reports whether the line up from p meets the facet.
func below(p, a, b, c r3.Vec) bool {
	left, right := math.Inf(1), math.Inf(-1)
	for _, e := range [3][2]r3.Vec{{a, b}, {b, c}, {c, a}} {
		if (e[0].Y < p.Y) != (e[1].Y < p.Y) {
			x := crossX(p.Y, e[0], e[1])
			left, right = min(left, x), max(right, x)
		}
	}
	if p.X < left || p.X >= right {
		return false
	}
	n := r3.Cross(r3.Sub(b, a), r3.Sub(c, a))
	z := a.Z - (n.X*(p.X-a.X)+n.Y*(p.Y-a.Y))/n.Z
	return min(max(z, min(a.Z, b.Z, c.Z)), max(a.Z, b.Z, c.Z)) > p.Z
}

// crossX gives x where an edge meets y, the same number whichever way round the
// edge is given: two facets agree to the last bit about the edge they share.
func crossX(y float64, a, b r3.Vec) float64 {
	if b.Y < a.Y || b.Y == a.Y && b.X < a.X {
		a, b = b, a
	}
	return a.X + (y-a.Y)*((b.X-a.X)/(b.Y-a.Y))
}

// nest finds for each shell the closed shells that it lies inside of. It looks
// out from three of its facets and believes two, since one may touch the other
// shell.
func (s *shellSurvey) nest(ctx context.Context) error {
	if len(s.list) < 2 {
		return nil
	}
	g := newProbeGrid(s.probes(), s.mesh.Bounds())
	containers := s.containers()
	facets := s.facetsOf(containers)
	wait, found := pause{ctx: ctx}, 0
	for i, q := range containers {
		if g.casts > maxCasts || found > maxWithin {
			s.unsure = true
			break
		}
		for _, facet := range facets[i] {
			if wait.over() {
				return ctx.Err()
			}
			a, b, c := s.mesh.Corners(int(facet))
			g.cast(a, b, c)
		}
		found += s.noteInside(q, g)
	}
	return nil
}

// probeDepth is how far below the surface probes start, as a part of the
// diagonal: a shell that lies against another must not be taken for one inside.
const probeDepth = 1e-5

// probes gives three for each shell, a little on its inner side.
func (s *shellSurvey) probes() []r3.Vec {
	out := make([]r3.Vec, 0, 3*len(s.list))
	depth := probeDepth * s.mesh.Bounds().Diagonal()
	for q := range s.list {
		sign := float64(s.list[q].sign())
		for _, facet := range s.list[q].probes {
			a, b, c := s.mesh.Corners(int(facet))
			// Off the middle: symmetric parts have their edges in line with it.
			p := r3.Add(r3.Scale(0.352, a), r3.Add(r3.Scale(0.317, b), r3.Scale(0.331, c)))
			if n := s.mesh.AreaVector(int(facet)); r3.Norm(n) > 0 {
				p = r3.Sub(p, r3.Scale(sign*depth, r3.Unit(n)))
			}
			out = append(out, p)
		}
	}
	return out
}

// noteInside enters container with the shells that at least two of whose probes
// are inside of it, counts them and clears the sums.
func (s *shellSurvey) noteInside(container int32, g *probeGrid) (n int) {
	for _, p := range g.touched {
		q := p / 3
		inside := 0
		for _, sum := range g.sums[3*q : 3*q+3] {
			if sum != 0 {
				inside++
			}
		}
		if inside >= 2 && q != container && s.list[container].box.holds(&s.list[q].box) {
			s.list[q].within = append(s.list[q].within, container)
			n++
		}
		if inside > 0 {
			clear(g.sums[3*q : 3*q+3]) // each shell is looked at once
		}
	}
	g.touched = g.touched[:0]
	return n
}

// holds reports whether a box holds another, but for rounding.
func (b *Box) holds(c *Box) bool {
	room := 1e-6 * b.Diagonal()
	return b.Min.X-room <= c.Min.X && b.Min.Y-room <= c.Min.Y && b.Min.Z-room <= c.Min.Z &&
		b.Max.X+room >= c.Max.X && b.Max.Y+room >= c.Max.Y && b.Max.Z+room >= c.Max.Z
}

// containers lists the closed shells that others may lie inside of, the largest
// first.
func (s *shellSurvey) containers() []int32 {
	var out []int32
	for q := range s.list {
		if s.list[q].closed {
			out = append(out, int32(q))
		}
	}
	slices.SortStableFunc(out, func(a, b int32) int { return cmp.Compare(s.list[b].area, s.list[a].area) })
	return out
}

// facetsOf gathers the facets of some shells.
func (s *shellSurvey) facetsOf(shells []int32) [][]int32 {
	rank := make(map[int32]int, len(shells))
	out := make([][]int32, len(shells))
	for i, q := range shells {
		rank[q] = i
		out[i] = make([]int32, 0, s.list[q].facets)
	}
	for i, q := range s.of {
		if r, ok := rank[q]; ok {
			out[r] = append(out[r], int32(i))
		}
	}
	return out
}

// openShare is what an open shell must enclose inward, against its area to the
// power of 3/2, to be turned over: a bowl has an inside, a warped sheet has none
// to speak of. A ball has 0.094, a tube a hundred times as long as wide 0.009
// (judgement).
const openShare = 1e-3

// classify says what each shell is, and marks those to turn over: outermost
// shells that face inward, with all that lies within them, and inward shells
// that bound no void.
func (s *shellSurvey) classify() {
	for q := range s.list {
		if a := &s.list[q]; len(a.within) == 0 {
			a.turn = a.sign() < 0 && (a.closed || -a.volume > openShare*math.Pow(a.area, 1.5))
		}
	}
	for q := range s.list {
		if a := &s.list[q]; len(a.within) > 0 {
			a.turn = s.list[s.outermost(int32(q))].turn
		}
	}
	for _, q := range s.outsideIn() {
		s.list[q].kind = s.kindOf(&s.list[q])
	}
}

// outsideIn lists the shells so that each comes after those it lies inside of:
// which way they face decides what it is.
func (s *shellSurvey) outsideIn() []int {
	order := make([]int, len(s.list))
	for q := range order {
		order[q] = q
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(len(s.list[a].within), len(s.list[b].within)) })
	return order
}

// outermost gives the first container of q that lies in none itself.
func (s *shellSurvey) outermost(q int32) int32 {
	for _, w := range s.list[q].within {
		if len(s.list[w].within) == 0 {
			return w
		}
	}
	return q
}

// facing gives the sense of a shell as it will be.
func (a *shell) facing() int {
	if a.turn {
		return -a.sign()
	}
	return a.sign()
}

func (s *shellSurvey) kindOf(a *shell) shellKind {
	if !a.closed {
		return openShell
	}
	depth := 0 // how many times over the place around the shell is solid
	for _, w := range a.within {
		depth += s.list[w].facing()
	}
	switch {
	case a.facing() > 0 && depth >= 1:
		return nestedShell
	case a.facing() > 0:
		return bodyShell
	case depth == 1:
		return cavityShell
	}
	a.turn = !a.turn // an inward shell in the open or in a void is a body
	if depth >= 1 {
		return nestedShell
	}
	return bodyShell
}
