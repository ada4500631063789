package support

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
)

// Bridge says how a region spans between walls that hold it.
type Bridge struct {
	// Holds is true where lines laid in the direction of the span find a wall at
	// both ends, all but everywhere.
	Holds bool
	// SpanMM is the longest such line, in plan; it runs in Direction, a unit
	// vector in the plane of the plate. Among the directions that hold, it is the
	// one with the shortest span.
	SpanMM    float64
	Direction r2.Vec
	// Share is the part of the shadow whose lines are held at both ends.
	Share float64
}

const (
	// bridgeShare is the least share of held lines for a bridge: what is missing
	// may be corners cut by the mesh (judgement).
	bridgeShare = 0.98
	// bridgeLines is how many lines are laid over a region in each direction.
	bridgeLines = 96
	// bridgeWalls is how many directions are taken from its own walls, and
	// bridgeSpread the number of even ones besides.
	bridgeWalls  = 12
	bridgeSpread = 12
)

// mostRestsAsked bounds the places that are looked at for bodies below, over all regions:
// what is left then counts as not bridged. Parts of some tens of bodies take a tenth of
// it (judgement: two seconds).
const mostRestsAsked = 200_000_000

// bridge finds the direction in which the region is best bridged.
func (s *Site) bridge(r *Region, rests []r2.Vec) Bridge {
	if r.HeldMM == 0 && len(rests) == 0 {
		return Bridge{}
	}
	if s.restsAsked > mostRestsAsked { // no bridge is on the safe side: it is supported
		return Bridge{}
	}
	resting := s.resting(rests)
	var best Bridge
	for _, d := range spanDirections(r.Edges) {
		if b := r.span(d, resting); b.better(best) {
			best = b
		}
	}
	return best
}

// better prefers what holds, then the shorter span, by more than noise.
func (b Bridge) better(than Bridge) bool {
	switch {
	case b.Holds != than.Holds:
		return b.Holds
	case b.Holds:
		return b.SpanMM < than.SpanMM*(1-1e-6)
	}
	return b.Share > than.Share*(1+1e-6)
}

// spanDirections gives directions across the longest held edges, and some more.
func spanDirections(edges []Edge) []r2.Vec {
	const steps = 180
	var length [steps]float64
	var way [steps]r2.Vec // of the longest edge in each degree
	var longest [steps]float64
	for _, e := range edges {
		d := r2.Sub(plan(e.B), plan(e.A))
		l := r2.Norm(d)
		if !e.Held || l == 0 {
			continue
		}
		across := r2.Vec{X: -d.Y / l, Y: d.X / l}
		if across.X < 0 || across.X == 0 && across.Y < 0 {
			across = r2.Scale(-1, across)
		}
		k := int(math.Floor(math.Atan2(across.Y, across.X)*steps/math.Pi+0.5)+steps) % steps
		length[k] += l
		if l > longest[k] {
			longest[k], way[k] = l, across
		}
	}
	order := make([]int, 0, steps)
	for k := range steps {
		if length[k] > 0 {
			order = append(order, k)
		}
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(length[b], length[a]) })
	var out []r2.Vec
	for _, k := range order[:min(len(order), bridgeWalls)] {
		out = append(out, way[k])
	}
	for k := range bridgeSpread {
		sin, cos := math.Sincos(math.Pi * float64(k) / bridgeSpread)
		out = append(out, r2.Vec{X: cos, Y: sin})
	}
	return out
}

// resting gives a test for places that rest on another body, good to a cell of
// the columns; nil where none does.
func (s *Site) resting(rests []r2.Vec) func(p r2.Vec) bool {
	if len(rests) == 0 {
		return nil
	}
	c := s.Columns
	cell := func(p r2.Vec) int { return int((p.Y-c.Y0)/c.DY)*c.NX + int((p.X-c.X0)/c.DX) }
	const wide = 64 // bits of a word: a map would take most of the time of a heap of bodies
	marks := make([]uint64, c.NX*c.NY/wide+1)
	holds := func(k int) bool { return k >= 0 && k < c.NX*c.NY }
	for _, p := range rests {
		if k := cell(p); holds(k) {
			marks[k/wide] |= 1 << (k % wide)
		}
	}
	return func(p r2.Vec) bool {
		s.restsAsked++
		k := cell(p)
		return holds(k) && marks[k/wide]>>(k%wide)&1 == 1
	}
}
