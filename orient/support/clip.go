package support

import (
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

// clipper cuts facets with the same memory again and again.
type clipper struct{ a, b flatPiece }

// over gives the piece of the triangle over the window; empty where there is
// none. It is good until the next call.
func (c *clipper) over(w window, corners [3]r3.Vec) flatPiece {
	p, q, r := corners[0], corners[1], corners[2]
	if max(p.X, q.X, r.X) < w.x0 || min(p.X, q.X, r.X) > w.x1 || max(p.Y, q.Y, r.Y) < w.y0 || min(p.Y, q.Y, r.Y) > w.y1 {
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
