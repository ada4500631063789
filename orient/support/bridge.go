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
		b, asked := r.span(d, resting, best)
		if b.better(best) {
			best = b
		}
		s.restsAsked += asked
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

// restMap marks the cells of the columns that rest on another body.
type restMap struct {
	x0, y0, dx, dy float64
	nx, ny         int
	marks          []uint64 // a bit each: a map would take most of the time of a heap of bodies
}

// wide is how many bits a word has.
const wide = 64

// resting marks the cells of places that rest on another body; nil where none does.
func (s *Site) resting(rests []r2.Vec) *restMap {
	if len(rests) == 0 {
		return nil
	}
	c := s.Columns
	m := &restMap{x0: c.X0, y0: c.Y0, dx: c.DX, dy: c.DY, nx: c.NX, ny: c.NY, marks: make([]uint64, c.NX*c.NY/wide+1)}
	for _, p := range rests {
		if q := m.cells(p); m.holds(q.X, q.Y) {
			k := int(q.Y)*m.nx + int(q.X)
			m.marks[k/wide] |= 1 << (k % wide)
		}
	}
	return m
}

// cells gives a place in cells from the corner of the map.
func (m *restMap) cells(p r2.Vec) r2.Vec {
	return r2.Vec{X: (p.X - m.x0) / m.dx, Y: (p.Y - m.y0) / m.dy}
}

func (m *restMap) holds(x, y float64) bool {
	return x >= 0 && y >= 0 && x < float64(m.nx) && y < float64(m.ny)
}

// rests reports whether a place, in cells, rests.
func (m *restMap) rests(x, y float64) bool {
	if !m.holds(x, y) {
		return false
	}
	k := uint(int(y)*m.nx + int(x))
	return m.marks[k/wide]>>(k%wide)&1 == 1
}
