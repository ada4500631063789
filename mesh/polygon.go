package mesh

import (
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// maxPolygon bounds the corners of one polygon: cutting it takes time with
// their square.
const maxPolygon = 10_000

// cutPolygon cuts a polygon, given by the numbers of its corners, into
// triangles of the same turning sense by clipping ears (Meisters, "Polygons have
// ears", Amer. Math. Monthly 82, 1975), in the plane that its area vector stands
// on. Convex and concave polygons come out whole; one that crosses itself or is
// not flat gets some triangulation of its corners. A polygon of n corners gives
// n-2 triangles.
func cutPolygon(vertices []r3.Vec, corners []int32) [][3]int32 {
	out := make([][3]int32, 0, len(corners)-2)
	if len(corners) > 3 {
		c := newClipper(flatten(vertices, corners))
		for range len(corners) - 3 {
			a, b, d := c.cut()
			out = append(out, [3]int32{corners[a], corners[b], corners[d]})
		}
		i := c.at
		corners = []int32{corners[c.prev[i]], corners[i], corners[c.next[i]]}
	}
	return append(out, [3]int32{corners[0], corners[1], corners[2]})
}

// flatten projects the corners along the polygon's area vector (Newell's
// method), so that it turns counter-clockwise.
func flatten(vertices []r3.Vec, corners []int32) []r2.Vec {
	origin := vertices[corners[0]]
	n := areaVector(vertices, corners)
	if r3.Norm(n) == 0 {
		n = r3.Vec{Z: 1}
	}
	n = r3.Unit(n)
	u := Across(n)
	v := r3.Cross(n, u)
	flat := make([]r2.Vec, len(corners))
	for i, c := range corners {
		p := r3.Sub(vertices[c], origin)
		flat[i] = r2.Vec{X: r3.Dot(p, u), Y: r3.Dot(p, v)}
	}
	return flat
}

// areaVector gives the area of a polygon times its normal, mm2.
func areaVector(vertices []r3.Vec, corners []int32) r3.Vec {
	var n r3.Vec
	origin := vertices[corners[0]]
	for i, c := range corners {
		a := r3.Sub(vertices[c], origin)
		b := r3.Sub(vertices[corners[(i+1)%len(corners)]], origin)
		n = r3.Add(n, r3.Cross(a, b))
	}
	return r3.Scale(0.5, n)
}

// clipper keeps what is left of a polygon as a ring. Whether a corner is an ear
// changes only where a neighbour was cut off, so that the whole takes time with
// the square of the corners.
type clipper struct {
	flat       []r2.Vec
	prev, next []int
	ear        []bool
	at         int
}

func newClipper(flat []r2.Vec) *clipper {
	n := len(flat)
	c := &clipper{flat: flat, prev: make([]int, n), next: make([]int, n), ear: make([]bool, n)}
	for i := range flat {
		c.prev[i], c.next[i] = (i+n-1)%n, (i+1)%n
	}
	for i := range flat {
		c.ear[i] = c.isEar(i)
	}
	return c
}

// cut takes off one ear and gives its three corners. Of polygons without any
// (they cross themselves) it takes the corner that turns furthest left.
func (c *clipper) cut() (a, b, d int) {
	b = c.at
	for i, best := c.at, 0.0; ; {
		if c.ear[i] {
			b = i
			break
		}
		if t := c.turns(i); t > best {
			b, best = i, t
		}
		if i = c.next[i]; i == c.at {
			break
		}
	}
	a, d = c.prev[b], c.next[b]
	c.next[a], c.prev[d] = d, a
	c.ear[a], c.ear[d] = c.isEar(a), c.isEar(d)
	c.at = d
	return a, b, d
}

func (c *clipper) turns(i int) float64 {
	return leftTurn(c.flat[c.prev[i]], c.flat[i], c.flat[c.next[i]])
}

// isEar reports whether corner i turns left and no other corner lies in its
// triangle.
func (c *clipper) isEar(i int) bool {
	if c.turns(i) <= 0 {
		return false
	}
	from, at, to := c.flat[c.prev[i]], c.flat[i], c.flat[c.next[i]]
	for j := c.next[c.next[i]]; j != c.prev[i]; j = c.next[j] {
		p := c.flat[j]
		if p == from || p == at || p == to {
			continue
		}
		if leftTurn(from, at, p) >= 0 && leftTurn(at, to, p) >= 0 && leftTurn(to, from, p) >= 0 {
			return false
		}
	}
	return true
}

// leftTurn is positive where a, b, c turn to the left: twice their area.
func leftTurn(a, b, c r2.Vec) float64 { return r2.Cross(r2.Sub(b, a), r2.Sub(c, a)) }
