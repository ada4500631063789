package support

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// flatPiece is a convex piece of a facet, seen from above.
type flatPiece []r3.Vec

// cutBy keeps the part of p with side(v) >= 0, side being linear in v (Sutherland
// and Hodgman, Comm. ACM 17 (1974) 32). It appends to out.
func (p flatPiece) cutBy(side func(r3.Vec) float64, out flatPiece) flatPiece {
	for i, a := range p {
		b := p[(i+1)%len(p)]
		da, db := side(a), side(b)
		if da >= 0 {
			out = append(out, a)
		}
		if (da >= 0) != (db >= 0) {
			out = append(out, r3.Add(a, r3.Scale(da/(da-db), r3.Sub(b, a))))
		}
	}
	return out
}

// window is an upright box without top and bottom, seen from above a rectangle.
type window struct{ x0, y0, x1, y1 float64 }

// grow gives the window larger by a margin on all sides.
func (w window) grow(by float64) window {
	return window{w.x0 - by, w.y0 - by, w.x1 + by, w.y1 + by}
}

// misses reports whether a triangle lies beside the window for certain: beyond one of
// its sides, or with the whole window beyond one side of the triangle. It costs much
// less than cutting, and nearly all of many long facets end here.
func (w window) misses(corners *[3]r3.Vec) bool {
	p, q, r := &corners[0], &corners[1], &corners[2]
	if max(p.X, q.X, r.X) < w.x0 || min(p.X, q.X, r.X) > w.x1 || max(p.Y, q.Y, r.Y) < w.y0 || min(p.Y, q.Y, r.Y) > w.y1 {
		return true
	}
	dx, dy := q.X-p.X, q.Y-p.Y
	turn := dx*(r.Y-p.Y) - dy*(r.X-p.X)
	for k := range 3 {
		a, b := &corners[k], &corners[(k+1)%3]
		dx, dy = b.X-a.X, b.Y-a.Y
		if turn < 0 {
			dx, dy = -dx, -dy
		}
		// The corner of the window that lies farthest to the inner side of the edge.
		x, y := w.x1, w.y0
		if dy > 0 {
			x = w.x0
		}
		if dx > 0 {
			y = w.y1
		}
		tol := 1e-9 * (math.Abs(dx) + math.Abs(dy)) * (math.Abs(a.X-x) + math.Abs(a.Y-y)) // rounding
		if dx*(y-a.Y)-dy*(x-a.X) < -tol {
			return true
		}
	}
	return false
}

// clipper cuts facets with the same memory again and again.
type clipper struct{ a, b flatPiece }

// over gives the piece of the triangle over the window; empty where there is
// none. It is good until the next call.
func (c *clipper) over(w window, corners [3]r3.Vec) flatPiece {
	if w.misses(&corners) {
		return nil
	}
	c.a = append(c.a[:0], corners[:]...)
	c.b = c.a.cutBy(func(v r3.Vec) float64 { return v.X - w.x0 }, c.b[:0])
	c.a = c.b.cutBy(func(v r3.Vec) float64 { return w.x1 - v.X }, c.a[:0])
	c.b = c.a.cutBy(func(v r3.Vec) float64 { return v.Y - w.y0 }, c.b[:0])
	c.a = c.b.cutBy(func(v r3.Vec) float64 { return w.y1 - v.Y }, c.a[:0])
	return c.a
}

// heightsOf gives the lowest and the highest point of a piece, which is not empty.
func (p flatPiece) heightsOf() (low, high float64) {
	low, high = p[0].Z, p[0].Z
	for _, v := range p[1:] {
		low, high = min(low, v.Z), max(high, v.Z)
	}
	return low, high
}
