package mesh

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// nextInFacet gives the side that follows side round its facet.
func nextInFacet(side int) int { return side - side%3 + (side+1)%3 }

// nextOpen gives the open side that begins where an open side ends, found by
// turning about that vertex through the facets between. It fails where shared
// edges or facets that face different ways leave no single way round.
func (t *Topology) nextOpen(side int) (int, bool) {
	s := nextInFacet(side)
	for range len(t.ring) {
		if t.Open(s) {
			return s, true
		}
		twin, ok := t.Twin(s)
		if !ok || !t.Agrees(s, twin) {
			return 0, false
		}
		s = nextInFacet(twin)
	}
	return 0, false
}

// Loops gives the rims of the holes in the surface: open sides, each beginning
// where the one before it ends. A rim that meets a shared edge, or facets that
// face different ways, is left out.
func (t *Topology) Loops() [][]int {
	seen := make([]bool, len(t.ring))
	var out [][]int
	for start := range t.ring {
		if !t.Open(start) || seen[start] {
			continue
		}
		var loop []int
		side, ok := start, true
		for ok && !seen[side] {
			seen[side] = true
			loop = append(loop, side)
			side, ok = t.nextOpen(side)
		}
		if ok && side == start {
			out = append(out, loop)
		}
	}
	return out
}

// sheet is what a patch measures.
type sheet struct {
	area   float64 // mm2
	open   int     // open edges
	shared int     // sides on shared edges
	flat   bool    // all in one plane
	normal r3.Vec  // area vector of its largest facet
	anchor r3.Vec  // a corner of that facet
}

// planeTolerance is how far corners of a flat face may lie off its plane, mm:
// two steps of a 32-bit number along each axis, as far as the unit normal leans
// on it. A long thin bar is not flat by this, for its own thickness is written
// with fine steps.
func planeTolerance(box Box, normal r3.Vec) float64 {
	step := func(n, low, high float64) float64 {
		return math.Abs(n) * math.Max(math.Abs(low), math.Abs(high)) / (1 << 22)
	}
	return step(normal.X, box.Min.X, box.Max.X) + step(normal.Y, box.Min.Y, box.Max.Y) + step(normal.Z, box.Min.Z, box.Max.Z)
}

// sheets measures the patches.
func (p *patches) sheets(t *Topology) []sheet {
	out := make([]sheet, len(p.list))
	m := t.mesh
	for i, q := range p.of {
		if q < 0 {
			continue
		}
		s := &out[q]
		n := m.AreaVector(i)
		s.area += r3.Norm(n)
		if r3.Norm2(n) >= r3.Norm2(s.normal) {
			s.normal, s.anchor = n, m.Vertices[m.Facets[i][0]]
		}
		for side := 3 * i; side < 3*i+3; side++ {
			switch {
			case t.Open(side):
				s.open++
			case t.Shared(side):
				s.shared++
			}
		}
	}
	p.markFlat(m, out)
	return out
}

// isFlat reports whether all corners of m lie in one plane.
func isFlat(m *Mesh) bool {
	if len(m.Facets) == 0 {
		return true
	}
	var normal, anchor r3.Vec
	for i := range m.Facets {
		if n := m.AreaVector(i); r3.Norm2(n) > r3.Norm2(normal) {
			normal, anchor = n, m.Vertices[m.Facets[i][0]]
		}
	}
	if normal == (r3.Vec{}) {
		return true
	}
	normal = r3.Unit(normal)
	tol := planeTolerance(m.Bounds(), normal)
	for _, f := range m.Facets {
		for _, v := range f {
			if math.Abs(r3.Dot(normal, r3.Sub(m.Vertices[v], anchor))) > tol {
				return false
			}
		}
	}
	return true
}

func (p *patches) markFlat(m *Mesh, out []sheet) {
	for q := range out {
		out[q].flat = true
		if n := r3.Norm(out[q].normal); n > 0 {
			out[q].normal = r3.Scale(1/n, out[q].normal)
		}
	}
	box := m.Bounds()
	for i, q := range p.of {
		if q < 0 || !out[q].flat {
			continue
		}
		tol := planeTolerance(box, out[q].normal)
		for _, v := range m.Facets[i] {
			d := r3.Dot(out[q].normal, r3.Sub(m.Vertices[v], out[q].anchor))
			if math.Abs(d) > tol {
				out[q].flat = false
			}
		}
	}
}
