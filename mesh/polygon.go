package mesh

import (
	"context"
	"errors"
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// polygonCutter cuts polygons into triangles, one after the other.
type polygonCutter struct {
	vertices []r3.Vec
	// work is how many more corners may be looked at: polygons whose ears are hard
	// to find could take time with the square of their corners.
	work int
}

// mostCutting is the work that all polygons of a file may take (judgement: some
// seconds). A thousand polygons of a thousand corners take a hundredth of it.
const mostCutting = 2_000_000_000

// errTangledPolygon refuses a polygon that takes too much work.
var errTangledPolygon = errors.New("too many corners among one another to cut it into triangles")

// polygonFault says in which ways a polygon is none that could be cut in one way
// only.
type polygonFault struct{ crossed, bent bool }

// mostBend is how far a corner may lie off the plane of its polygon, by the size of
// the polygon, before it is called bent: well above the rounding of six digits.
const mostBend = 1e-3

// cut cuts a polygon, given by the numbers of its corners, into triangles of the
// same turning sense by clipping ears (Meisters, "Polygons have ears", Amer. Math.
// Monthly 82, 1975), in the plane that its area vector stands on. Convex and concave
// polygons come out whole; one that crosses itself or is not flat gets some
// triangulation of its corners, and the fault says so. A polygon of n corners gives
// n-2 triangles.
func (p *polygonCutter) cut(ctx context.Context, corners []int32) (out [][3]int32, fault polygonFault, err error) {
	out = make([][3]int32, 0, len(corners)-2)
	if len(corners) > 3 {
		flat, bend := flatten(p.vertices, corners)
		fault.bent = bend > mostBend
		c := newClipper(flat, &p.work)
		fault.crossed = !c.turnsOnce()
		for range len(corners) - 3 {
			a, b, d, forced := c.cut()
			fault.crossed = fault.crossed || forced
			out = append(out, [3]int32{corners[a], corners[b], corners[d]})
			if p.work < 0 {
				return nil, fault, errTangledPolygon
			}
			if len(out)%1024 == 0 && ctx.Err() != nil {
				return nil, fault, ctx.Err()
			}
		}
		i := c.at
		corners = []int32{corners[c.prev[i]], corners[i], corners[c.next[i]]}
	}
	return append(out, [3]int32{corners[0], corners[1], corners[2]}), fault, nil
}

// cutPolygon is cut without its bounds.
func cutPolygon(vertices []r3.Vec, corners []int32) [][3]int32 {
	p := polygonCutter{vertices: vertices, work: math.MaxInt}
	out, _, _ := p.cut(context.Background(), corners) // fails only at its bounds
	return out
}

// flatten projects the corners along the polygon's area vector (Newell's
// method), so that it turns counter-clockwise. It gives how far they lie off that
// plane by the size of the polygon, too.
func flatten(vertices []r3.Vec, corners []int32) (flat []r2.Vec, bend float64) {
	origin := vertices[corners[0]]
	n := areaVector(vertices, corners)
	if r3.Norm(n) == 0 {
		n = r3.Vec{Z: 1}
	}
	n = r3.Unit(n)
	u := Across(n)
	v := r3.Cross(n, u)
	flat = make([]r2.Vec, len(corners))
	var low, high, size float64
	for i, c := range corners {
		p := r3.Sub(vertices[c], origin)
		flat[i] = r2.Vec{X: r3.Dot(p, u), Y: r3.Dot(p, v)}
		off := r3.Dot(p, n)
		low, high, size = min(low, off), max(high, off), max(size, r3.Norm(p))
	}
	if size > 0 {
		bend = (high - low) / size
	}
	return flat, bend
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
// changes only where a neighbour was cut off.
type clipper struct {
	flat       []r2.Vec
	prev, next []int
	ear, gone  []bool
	at         int
	inward     *cornerGrid // corners that do not turn left; nil for few corners
	work       *int
}

// fewCorners is up to where looking at all corners is quicker than finding those
// near.
const fewCorners = 64

func newClipper(flat []r2.Vec, work *int) *clipper {
	n := len(flat)
	c := &clipper{
		flat: flat, prev: make([]int, n), next: make([]int, n), ear: make([]bool, n), gone: make([]bool, n), work: work,
	}
	for i := range flat {
		c.prev[i], c.next[i] = (i+n-1)%n, (i+1)%n
	}
	if n > fewCorners {
		c.inward = newCornerGrid(flat, func(i int) bool { return c.turns(i) <= 0 })
	}
	for i := range flat {
		c.ear[i] = c.isEar(i)
	}
	return c
}

// turnsOnce reports whether the polygon turns once round to the left, as one must
// that does not cross itself.
func (c *clipper) turnsOnce() bool {
	total := 0.0
	last := r2.Vec{}
	for i := range c.flat {
		if side := r2.Sub(c.flat[c.next[i]], c.flat[i]); side != (r2.Vec{}) {
			last = side
		}
	}
	for i := range c.flat {
		side := r2.Sub(c.flat[c.next[i]], c.flat[i])
		if side == (r2.Vec{}) {
			continue
		}
		total += math.Atan2(r2.Cross(last, side), r2.Dot(last, side))
		last = side
	}
	return math.Abs(total-2*math.Pi) < 1
}

// cut takes off one ear and gives its three corners. Of polygons without any
// (they cross themselves) it takes the corner that turns furthest left, and says
// that it had to.
func (c *clipper) cut() (a, b, d int, forced bool) {
	b = c.at
	for i, best := c.at, 0.0; ; {
		if c.ear[i] {
			b, forced = i, false
			break
		}
		if t := c.turns(i); t > best {
			b, best, forced = i, t, true
		}
		*c.work--
		if i = c.next[i]; i == c.at {
			break
		}
	}
	a, d = c.prev[b], c.next[b]
	c.next[a], c.prev[d], c.gone[b] = d, a, true
	c.ear[a], c.ear[d] = c.isEar(a), c.isEar(d)
	c.at = d
	return a, b, d, forced
}

func (c *clipper) turns(i int) float64 {
	return leftTurn(c.flat[c.prev[i]], c.flat[i], c.flat[c.next[i]])
}

// isEar reports whether corner i turns left and no other corner lies in its
// triangle. Of a polygon that does not cross itself one that does not turn left
// lies there, if any does.
func (c *clipper) isEar(i int) bool {
	if c.turns(i) <= 0 {
		return false
	}
	if c.inward != nil {
		return c.inward.near(c.flat[c.prev[i]], c.flat[i], c.flat[c.next[i]], func(j int) bool {
			*c.work--
			return c.gone[j] || !c.holds(i, j)
		})
	}
	for j := c.next[c.next[i]]; j != c.prev[i]; j = c.next[j] {
		*c.work--
		if c.holds(i, j) {
			return false
		}
	}
	return true
}

// holds reports whether corner j lies in the triangle of corner i, and not on a
// corner of it.
func (c *clipper) holds(i, j int) bool {
	from, at, to, p := c.flat[c.prev[i]], c.flat[i], c.flat[c.next[i]], c.flat[j]
	if p == from || p == at || p == to {
		return false
	}
	return leftTurn(from, at, p) >= 0 && leftTurn(at, to, p) >= 0 && leftTurn(to, from, p) >= 0
}

// leftTurn is positive where a, b, c turn to the left: twice their area.
func leftTurn(a, b, c r2.Vec) float64 { return r2.Cross(r2.Sub(b, a), r2.Sub(c, a)) }
