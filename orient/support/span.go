package support

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
)

// cut is where a line laid over a region meets its rim, or a place that rests.
type cut struct {
	at   float64
	held bool
}

// sweep is a set of parallel lines laid over a region.
type sweep struct {
	along, across r2.Vec
	low, step     float64 // of the lines, along across
	cuts          [bridgeLines][]cut
}

// span lays lines in direction d over the region, and says how many places it asked
// whether they rest; resting may be nil. It leaves off where it is sure that the
// direction is no better than the best so far.
func (r *Region) span(d r2.Vec, resting *restMap, best Bridge) (b Bridge, asked int) {
	w := sweep{along: d, across: r2.Vec{X: -d.Y, Y: d.X}}
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, e := range r.Edges {
		v := r2.Dot(w.across, plan(e.A))
		lo, hi = min(lo, v), max(hi, v)
	}
	w.low, w.step = lo, (hi-lo)/bridgeLines
	if !(w.step > 0) {
		return Bridge{}, 0
	}
	for _, e := range r.Edges {
		w.meet(e)
	}
	return w.measure(resting, best)
}

// meet adds the cuts of one edge.
func (w *sweep) meet(e Edge) {
	a, b := plan(e.A), plan(e.B)
	va, vb := (r2.Dot(w.across, a)-w.low)/w.step, (r2.Dot(w.across, b)-w.low)/w.step
	ua, ub := r2.Dot(w.along, a), r2.Dot(w.along, b)
	if va > vb {
		va, vb, ua, ub = vb, va, ub, ua
	}
	for k := int(max(math.Ceil(va-0.5), 0)); float64(k)+0.5 < vb && k < bridgeLines; k++ {
		t := (float64(k) + 0.5 - va) / (vb - va)
		w.cuts[k] = append(w.cuts[k], cut{at: ua + t*(ub-ua), held: e.Held})
	}
}

// measure adds up the stretches between cuts; see span.
func (w *sweep) measure(resting *restMap, best Bridge) (b Bridge, asked int) {
	b = Bridge{Direction: w.along}
	var all, held float64
	for k, cuts := range w.cuts {
		slices.SortFunc(cuts, func(p, q cut) int { return cmp.Compare(p.at, q.at) })
		for n := 0; n+1 < len(cuts); n += 2 {
			hanging := cuts[n : n+2]
			if resting != nil {
				hanging = w.hanging(k, cuts[n], cuts[n+1], resting)
				asked += restSteps
			}
			for ; len(hanging) > 1; hanging = hanging[2:] {
				l := hanging[1].at - hanging[0].at
				all += l
				if hanging[0].held && hanging[1].held {
					held += l
					b.SpanMM = max(b.SpanMM, l)
				}
			}
		}
		if best.Holds && b.SpanMM >= best.SpanMM {
			return b, asked // whether it holds or not
		}
	}
	if all > 0 {
		b.Share = held / all
	}
	b.Holds = b.Share >= bridgeShare
	return b, asked
}

// restSteps is in how many steps a stretch is searched for places that rest.
const restSteps = 256

// hanging cuts the stretch from a to b of line k where it rests on other bodies.
func (w *sweep) hanging(k int, a, b cut, resting *restMap) []cut {
	across := r2.Scale(w.low+(float64(k)+0.5)*w.step, w.across)
	from, to := resting.cells(r2.Add(across, r2.Scale(a.at, w.along))), resting.cells(r2.Add(across, r2.Scale(b.at, w.along)))
	out := []cut{a}
	step, rests := (b.at-a.at)/restSteps, false
	dx, dy := (to.X-from.X)/restSteps, (to.Y-from.Y)/restSteps
	for n := range restSteps {
		middle := float64(n) + 0.5
		if resting.rests(from.X+middle*dx, from.Y+middle*dy) != rests {
			rests = !rests
			out = append(out, cut{at: a.at + float64(n)*step, held: true})
		}
	}
	if !rests {
		out = append(out, b)
	}
	return out
}
