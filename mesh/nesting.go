package mesh

import (
	"cmp"
	"context"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// maxContainers bounds the shells that others are looked for in, the largest
// first; each costs every other shell a look.
const maxContainers = 256

// probe looks up from a point of a shell along Z and notes what it crosses.
type probe struct {
	at    r3.Vec
	shell int32
	sums  map[int32]int // by shell: facets facing up less facets facing down
}

// probeGrid finds the probes above which a facet lies.
type probeGrid struct {
	probes     []probe
	x0, y0     float64
	step       float64
	nx, ny     int
	head, next []int32 // lists of probes by cell, by number plus one
}

func newProbeGrid(probes []probe, box Box) *probeGrid {
	g := &probeGrid{probes: probes, x0: box.Min.X, y0: box.Min.Y}
	size := box.Size()
	g.step = math.Max(math.Max(size.X, size.Y)/math.Ceil(math.Sqrt(float64(len(probes)))), 1e-9)
	g.nx, g.ny = int(size.X/g.step)+1, int(size.Y/g.step)+1
	g.head, g.next = make([]int32, g.nx*g.ny), make([]int32, len(probes))
	for i, p := range probes {
		c := g.column(p.at.X) + g.nx*g.row(p.at.Y)
		g.next[i] = g.head[c]
		g.head[c] = int32(i) + 1
	}
	return g
}

func (g *probeGrid) column(x float64) int { return min(max(int((x-g.x0)/g.step), 0), g.nx-1) }
func (g *probeGrid) row(y float64) int    { return min(max(int((y-g.y0)/g.step), 0), g.ny-1) }

// cast notes a facet of a shell on all probes that see it. Edges are cut one way
// and intervals are half open, so that a probe never slips between two facets.
func (g *probeGrid) cast(a, b, c r3.Vec, shell int32) {
	up := (b.X-a.X)*(c.Y-a.Y) - (b.Y-a.Y)*(c.X-a.X)
	if up == 0 {
		return
	}
	lowY, highY := min(a.Y, b.Y, c.Y), max(a.Y, b.Y, c.Y)
	left, right := g.column(min(a.X, b.X, c.X)), g.column(max(a.X, b.X, c.X))
	for row := g.row(lowY); row <= g.row(highY); row++ {
		for col := left; col <= right; col++ {
			for i := g.head[col+g.nx*row]; i > 0; i = g.next[i-1] {
				p := &g.probes[i-1]
				if p.shell == shell || p.at.Y < lowY || p.at.Y >= highY || !p.below(a, b, c) {
					continue
				}
				if up > 0 {
					p.sums[shell]++
				} else {
					p.sums[shell]--
				}
			}
		}
	}
}

// below reports whether the line up from the probe meets the facet.
func (p *probe) below(a, b, c r3.Vec) bool {
	left, right := math.Inf(1), math.Inf(-1)
	for _, e := range [3][2]r3.Vec{{a, b}, {b, c}, {c, a}} {
		if (e[0].Y < p.at.Y) != (e[1].Y < p.at.Y) {
			x := crossX(p.at.Y, e[0], e[1])
			left, right = min(left, x), max(right, x)
		}
	}
	if p.at.X < left || p.at.X >= right {
		return false
	}
	n := r3.Cross(r3.Sub(b, a), r3.Sub(c, a))
	z := a.Z - (n.X*(p.at.X-a.X)+n.Y*(p.at.Y-a.Y))/n.Z
	return min(max(z, min(a.Z, b.Z, c.Z)), max(a.Z, b.Z, c.Z)) > p.at.Z
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
	container := s.containers()
	if len(s.list) < 2 || !slices.Contains(container, true) {
		return nil
	}
	probes := make([]probe, 0, 3*len(s.list))
	for q := range s.list {
		for _, facet := range s.list[q].probes {
			a, b, c := s.mesh.Corners(int(facet))
			// Off the middle: symmetric parts have their edges in line with it.
			at := r3.Add(r3.Scale(0.352, a), r3.Add(r3.Scale(0.317, b), r3.Scale(0.331, c)))
			probes = append(probes, probe{at: at, shell: int32(q), sums: map[int32]int{}})
		}
	}
	g := newProbeGrid(probes, s.mesh.Bounds())
	for i, q := range s.of {
		if i%4096 == 0 && ctx.Err() != nil {
			return ctx.Err()
		}
		if q >= 0 && container[q] {
			a, b, c := s.mesh.Corners(i)
			g.cast(a, b, c, q)
		}
	}
	for q := range s.list {
		s.list[q].within = agreed(probes[3*q : 3*q+3])
	}
	return nil
}

// containers marks the shells that others may lie inside of.
func (s *shellSurvey) containers() []bool {
	order := make([]int, 0, len(s.list))
	for q := range s.list {
		if s.list[q].closed {
			order = append(order, q)
		}
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(s.list[b].area, s.list[a].area) })
	mark := make([]bool, len(s.list))
	for _, q := range order[:min(len(order), maxContainers)] {
		mark[q] = true
	}
	return mark
}

// agreed lists the shells that at least two of the probes are inside of.
func agreed(probes []probe) []int32 {
	votes := map[int32]int{}
	for _, p := range probes {
		for shell, sum := range p.sums {
			if sum != 0 {
				votes[shell]++
			}
		}
	}
	var out []int32
	for shell, n := range votes {
		if n >= 2 {
			out = append(out, shell)
		}
	}
	slices.Sort(out)
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
	for q := range s.list {
		s.list[q].kind = s.kindOf(&s.list[q])
	}
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
