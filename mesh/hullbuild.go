package mesh

import (
	"context"
	"errors"
	"math"
	"math/bits"

	"gonum.org/v1/gonum/spatial/r3"
)

// hullBuilder grows a convex hull point by point (Barber, Dobkin and Huhdanpaa, "The
// Quickhull Algorithm for Convex Hulls", ACM TOMS 22 (1996) 469). On which side of a
// facet a point lies is decided exactly, on the grid of the snapGrid: the facets that
// a point sees then always form one patch with one rim, and no rounding tears the
// hull, however flat or crowded the points are.
type hullBuilder struct {
	at    []gridPoint
	faces []hullFace
	// queue lists the faces that may have points outside.
	queue []int32
	round int32 // of growing, for hullFace.seen
	// A face of at least large steps2 may have points up to tight steps beyond it,
	// a smaller one up to loose.
	tight, loose, large float64
	// rim gives for a corner of the last rim the new face that begins there.
	rim            []int32
	visible, fresh []int32
	outside        []int32
	pause          pause
}

// hullFace is one facet of the hull, counter-clockwise seen from outside.
type hullFace struct {
	corner [3]int32
	// across is the face beyond the side from corner k to the next.
	across [3]int32
	normal gridPoint
	length float64 // of the normal
	// limit is how far beyond it points may lie, steps.
	limit float64
	// outside are points farther beyond, the farthest being far away; near are
	// those beyond by less.
	outside, near []int32
	farthest      int32
	far           float64
	seen          int32
	gone, waiting bool
}

// errTorn is returned where the hull does not hang together. With exact sides that
// cannot be.
var errTorn = errors.New("the facets that a point sees have no single rim")

// beyond gives how far a point lies beyond a face, steps; its sign is exact.
func (h *hullBuilder) beyond(f *hullFace, point int32) float64 {
	d := h.at[point].sub(h.at[f.corner[0]])
	x := float64(f.normal[0]) * float64(d[0])
	y := float64(f.normal[1]) * float64(d[1])
	z := float64(f.normal[2]) * float64(d[2])
	sum := x + y + z
	const rounding = 0x1p-50
	if sure := rounding * (math.Abs(x) + math.Abs(y) + math.Abs(z)); sum > sure || sum < -sure {
		return sum / f.length
	}
	return f.normal.dot(d).float() / f.length
}

// float gives w rounded; 0 only for 0.
func (w wideInt) float() float64 {
	if w.high < 0 {
		low, borrow := bits.Sub64(0, w.low, 0)
		return -(float64(uint64(-w.high)-borrow)*0x1p64 + float64(low))
	}
	return float64(w.high)*0x1p64 + float64(w.low)
}

// addFace adds a face and gives its number.
func (h *hullBuilder) addFace(a, b, c int32) int32 {
	f := hullFace{corner: [3]int32{a, b, c}, seen: -1}
	f.normal = h.at[b].sub(h.at[a]).cross(h.at[c].sub(h.at[a]))
	f.length = r3.Norm(f.normal.vec())
	f.limit = h.loose
	if f.length/2 >= h.large {
		f.limit = h.tight
	}
	h.faces = append(h.faces, f)
	return int32(len(h.faces) - 1)
}

// begin makes the first four faces; it reports false for points in one plane.
func (h *hullBuilder) begin(first [4]int32) bool {
	a, b, c, d := first[0], first[1], first[2], first[3]
	normal := h.at[b].sub(h.at[a]).cross(h.at[c].sub(h.at[a]))
	switch normal.dot(h.at[d].sub(h.at[a])).sign() {
	case 0:
		return false
	case 1:
		b, c = c, b
	}
	for _, f := range [4][3]int32{{a, b, c}, {d, b, a}, {d, c, b}, {d, a, c}} {
		h.fresh = append(h.fresh, h.addFace(f[0], f[1], f[2]))
	}
	for _, i := range h.fresh {
		for k := range 3 {
			p, q := h.faces[i].corner[k], h.faces[i].corner[(k+1)%3]
			for _, o := range h.fresh {
				for n := range 3 {
					if h.faces[o].corner[n] == q && h.faces[o].corner[(n+1)%3] == p {
						h.faces[i].across[k] = o
					}
				}
			}
		}
	}
	return true
}

// assign gives the points to the fresh faces that they lie beyond; those beyond none
// are inside and forgotten.
func (h *hullBuilder) assign(points []int32) error {
	for _, p := range points {
		if h.pause.over() {
			return h.pause.ctx.Err()
		}
		nearest, least := int32(-1), 0.0
		for _, i := range h.fresh {
			f := &h.faces[i]
			d := h.beyond(f, p)
			if d > f.limit {
				h.put(i, p, d)
				nearest = -1
				break
			}
			if d > least {
				nearest, least = i, d
			}
		}
		if nearest >= 0 {
			f := &h.faces[nearest]
			f.near = append(f.near, p)
		}
	}
	return nil
}

// put lists a point outside a face.
func (h *hullBuilder) put(face, point int32, beyond float64) {
	f := &h.faces[face]
	f.outside = append(f.outside, point)
	if beyond > f.far {
		f.far, f.farthest = beyond, point
	}
	if !f.waiting {
		f.waiting = true
		h.queue = append(h.queue, face)
	}
}

// grow takes in the farthest point of each face in turn, until none is left outside.
func (h *hullBuilder) grow() error {
	for first := 0; first < len(h.queue); first++ {
		i := h.queue[first]
		h.faces[i].waiting = false
		if h.faces[i].gone || len(h.faces[i].outside) == 0 {
			continue
		}
		if err := h.take(h.faces[i].farthest, i); err != nil {
			return err
		}
		if err := h.assign(h.outside); err != nil {
			return err
		}
	}
	h.queue = h.queue[:0]
	return nil
}

// take makes a point beyond a face a corner of the hull. The points that were beyond
// the faces it sees are left in h.outside.
func (h *hullBuilder) take(apex, face int32) error {
	h.see(apex, face)
	h.fresh, h.outside = h.fresh[:0], h.outside[:0]
	for _, v := range h.visible {
		for k := range 3 {
			other := h.faces[v].across[k]
			if h.seen(other) {
				continue
			}
			a, b := h.faces[v].corner[k], h.faces[v].corner[(k+1)%3]
			n := h.addFace(a, b, apex)
			h.faces[n].across[0] = other
			for s := range 3 {
				if h.faces[other].corner[s] == b {
					h.faces[other].across[s] = n
				}
			}
			h.rim[a] = n
			h.fresh = append(h.fresh, n)
		}
	}
	for _, n := range h.fresh {
		f := &h.faces[n]
		next := h.rim[f.corner[1]]
		if int(next) < len(h.faces)-len(h.fresh) || h.faces[next].corner[0] != f.corner[1] {
			return errTorn
		}
		f.across[1], h.faces[next].across[2] = next, n
	}
	for _, v := range h.visible {
		f := &h.faces[v]
		for _, list := range [2][]int32{f.outside, f.near} {
			for _, p := range list {
				if p != apex {
					h.outside = append(h.outside, p)
				}
			}
		}
		f.outside, f.near, f.gone = nil, nil, true
	}
	return nil
}

// see lists the faces that a point lies beyond, from one of them on.
func (h *hullBuilder) see(point, face int32) {
	h.round++
	h.visible = append(h.visible[:0], face)
	h.faces[face].seen = h.round
	for n := 0; n < len(h.visible); n++ {
		for _, other := range h.faces[h.visible[n]].across {
			if f := &h.faces[other]; f.seen != h.round && h.beyond(f, point) > 0 {
				f.seen = h.round
				h.visible = append(h.visible, other)
			}
		}
	}
}

// seen reports whether a face is among those last seen.
func (h *hullBuilder) seen(face int32) bool { return h.faces[face].seen == h.round }

// check holds every point that is beyond a face by little against all faces that it
// sees, and puts it outside where it is farther beyond one of these. It reports
// whether none was.
func (h *hullBuilder) check() (bool, error) {
	for i := range h.faces {
		if h.faces[i].gone {
			continue
		}
		kept := h.faces[i].near[:0]
		for _, p := range h.faces[i].near {
			if h.pause.over() {
				return false, h.pause.ctx.Err()
			}
			h.see(p, int32(i))
			out := false
			for _, v := range h.visible {
				if d := h.beyond(&h.faces[v], p); d > h.faces[v].limit {
					h.put(v, p, d)
					out = true
					break
				}
			}
			if !out {
				kept = append(kept, p)
			}
		}
		h.faces[i].near = kept
	}
	return len(h.queue) == 0, nil
}

// run grows the hull around all points but the first four.
func (h *hullBuilder) run(ctx context.Context, first [4]int32) error {
	h.pause = pause{ctx: ctx}
	if !h.begin(first) {
		return ErrFlat
	}
	all := make([]int32, 0, len(h.at))
	for i := range h.at {
		all = append(all, int32(i))
	}
	if err := h.assign(all); err != nil {
		return err
	}
	for {
		if err := h.grow(); err != nil {
			return err
		}
		if done, err := h.check(); done || err != nil {
			return err
		}
	}
}
