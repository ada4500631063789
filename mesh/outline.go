package mesh

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
)

// Outline gives the convex hull of points in the plane, counter-clockwise and
// without points on straight edges (Andrew's monotone chain, 1979). The slice
// points is reordered in place. Fewer than three distinct points give what there is.
func Outline(points []r2.Vec) []r2.Vec {
	points = outerPoints(points)
	slices.SortFunc(points, func(a, b r2.Vec) int {
		return cmp.Or(cmp.Compare(a.X, b.X), cmp.Compare(a.Y, b.Y))
	})
	points = slices.Compact(points)
	if len(points) < 3 {
		return slices.Clone(points)
	}
	hull := make([]r2.Vec, 0, 2*len(points))
	add := func(p r2.Vec, keep int) {
		for len(hull) >= keep+2 && turn(hull[len(hull)-2], hull[len(hull)-1], p) <= 0 {
			hull = hull[:len(hull)-1]
		}
		hull = append(hull, p)
	}
	for _, p := range points {
		add(p, 0)
	}
	lower := len(hull) - 1
	for i := len(points) - 2; i >= 0; i-- {
		add(points[i], lower)
	}
	return hull[:len(hull)-1]
}

// outerPoints drops points inside the octagon of the extremes in eight directions
// (Akl and Toussaint, 1978), which spares sorting most of a large set.
func outerPoints(points []r2.Vec) []r2.Vec {
	const few = 64
	if len(points) < few {
		return points
	}
	directions := [8]r2.Vec{{X: 1}, {X: 1, Y: 1}, {Y: 1}, {X: -1, Y: 1}, {X: -1}, {X: -1, Y: -1}, {Y: -1}, {X: 1, Y: -1}}
	var octagon [8]r2.Vec
	for k, d := range directions {
		octagon[k] = points[0]
		for _, p := range points {
			if r2.Dot(d, p) > r2.Dot(d, octagon[k]) {
				octagon[k] = p
			}
		}
	}
	inside := func(p r2.Vec) bool {
		for k, a := range octagon {
			if b := octagon[(k+1)%8]; a != b && turn(a, b, p) <= 0 {
				return false
			}
		}
		return true
	}
	return slices.DeleteFunc(points, inside)
}

// turn is positive where a, b, c turn to the left.
func turn(a, b, c r2.Vec) float64 { return r2.Cross(r2.Sub(b, a), r2.Sub(c, a)) }

// Rectangle is a rectangle around points in the plane.
type Rectangle struct {
	// Angle is the direction of the long side, radians from +X, in (-pi/2, pi/2].
	Angle float64
	// Long and Short are the sides, mm.
	Long, Short float64
}

// SmallestRectangle gives the rectangle of least area around a convex outline
// (one of its sides lies on an edge: Freeman and Shapira, 1975). Among equal
// ones the one turned least wins, so that the answer does not hang on noise.
func SmallestRectangle(outline []r2.Vec) Rectangle {
	best := rectangleAt(outline, 0)
	calipers := newCalipers(outline)
	for i, p := range outline {
		e := r2.Sub(outline[(i+1)%len(outline)], p)
		if e == (r2.Vec{}) {
			continue
		}
		r := rectangleAt(calipers.touched(i, e), math.Atan2(e.Y, e.X))
		area, least := r.Long*r.Short, best.Long*best.Short
		if area < least*(1-1e-7) || area < least*(1+1e-7) && math.Abs(r.Angle) < math.Abs(best.Angle)-1e-7 {
			best = r
		}
	}
	return best
}

// manyCorners is from how many corners on an outline is not gone round for each edge.
const manyCorners = 256

// calipers finds the corners of a convex outline that a rectangle along an edge
// touches. From edge to edge these only move on (rotating calipers: Shamos, 1978).
type calipers struct {
	outline []r2.Vec
	far     [3]int // the corner farthest along the edge, away from it, and back along it
	near    []r2.Vec
}

// newCalipers begins at the first edge of an outline that turns left.
func newCalipers(outline []r2.Vec) *calipers { return &calipers{outline: outline} }

// touched gives corners among which those are that a rectangle along edge i, of the
// direction e, touches: all of them where there are few. Edges are asked for in order.
func (c *calipers) touched(i int, e r2.Vec) []r2.Vec {
	n := len(c.outline)
	if n < manyCorners {
		return c.outline
	}
	ways := [3]r2.Vec{e, {X: -e.Y, Y: e.X}, {X: -e.X, Y: -e.Y}}
	c.near = append(c.near[:0], c.outline[i], c.outline[(i+1)%n])
	for k, way := range ways {
		if k == 0 {
			c.far[0] = max(c.far[0], i+1)
		} else {
			c.far[k] = max(c.far[k], c.far[k-1])
		}
		for steps := 0; steps < n && r2.Dot(way, r2.Sub(c.at(c.far[k]+1), c.at(c.far[k]))) > 0; steps++ {
			c.far[k]++
		}
		for d := -2; d <= 2; d++ { // rounding may stop it short
			c.near = append(c.near, c.at(c.far[k]+d))
		}
	}
	return c.near
}

// at gives a corner, counted on round the outline.
func (c *calipers) at(k int) r2.Vec {
	return c.outline[((k%len(c.outline))+len(c.outline))%len(c.outline)]
}

// rectangleAt gives the rectangle with a side in direction angle.
func rectangleAt(outline []r2.Vec, angle float64) Rectangle {
	sin, cos := math.Sincos(angle)
	inf := math.Inf(1)
	loU, hiU, loV, hiV := inf, -inf, inf, -inf
	for _, p := range outline {
		u, v := cos*p.X+sin*p.Y, cos*p.Y-sin*p.X
		loU, hiU = min(loU, u), max(hiU, u)
		loV, hiV = min(loV, v), max(hiV, v)
	}
	r := Rectangle{Angle: angle, Long: max(hiU-loU, 0), Short: max(hiV-loV, 0)}
	if r.Long < r.Short*(1-1e-9) {
		r.Long, r.Short, r.Angle = r.Short, r.Long, angle+math.Pi/2
	}
	r.Angle = math.Remainder(r.Angle, math.Pi)
	if r.Angle <= -math.Pi/2+1e-9 {
		r.Angle += math.Pi
	}
	return r
}
