package furnace

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
)

const (
	// rockMM is how far the centre of mass must be lifted before it comes down
	// again, for the part to count as held: what lies within the same distance of
	// the plate counts as resting on it, and the facets of a round bar lift it by
	// less (judgement).
	rockMM = restTolerance
	// rockWays is how many ways of tilting are tried, rockStepDeg how finely, and
	// rockMostDeg how far: what bears that much never tips.
	rockWays    = 36
	rockStepDeg = 1
	rockMostDeg = 45
	// samePlaneDeg is how far the answers of the polygon and of rocking may lie
	// apart and still be one answer.
	samePlaneDeg = 0.75
)

// StandingDeg gives the smallest tilt, degrees, that tips a part over, however its
// underside is shaped. On a flat foot it is TipAngleDeg of the polygon. On a curved
// one the strip that touches says nothing: the part rolls on, and stands only where
// its centre of mass lies below the centre of curvature. Both are one rule: tilting
// lifts the centre of mass, and the part tips at the tilt from which it only comes
// down. On a curved underside that lift is given as the tilt of a flat foot that
// takes as much: acos(low/high) of the heights of the centre of mass. A part that
// rolls on without rising, as a bar or a knob on its rim, gets 0.
//
// hull holds the points of the convex hull in the frame in which the part stands,
// Z up; the polygon is that of TipAngleDeg.
func StandingDeg(hull []r3.Vec, polygon []r2.Vec, centerOfMass r3.Vec) float64 {
	flat := TipAngleDeg(polygon, centerOfMass)
	low := lowered(hull, centerOfMass)
	if len(low) == 0 {
		return flat
	}
	least := math.Inf(1)
	for _, way := range append(tiltingWays(polygon, centerOfMass), overEdges(settling(hull), centerOfMass)...) {
		least = min(least, rocked(low, way, least))
	}
	if flat >= least-samePlaneDeg && flat <= least+samePlaneDeg || flat >= rockMostDeg && math.IsInf(least, 1) {
		return flat
	}
	return min(least, rockMostDeg)
}

// lowered gives the hull as seen from the centre of mass, without what lies too
// high to touch the plate at any tilt that is tried.
func lowered(hull []r3.Vec, com r3.Vec) []r3.Vec {
	if len(hull) == 0 {
		return nil
	}
	tan := math.Tan(rockMostDeg * math.Pi / 180)
	lowest := hull[0]
	for _, v := range hull {
		if v.Z < lowest.Z {
			lowest = v
		}
	}
	// The lowest point stays below this level however the part is tilted.
	level := lowest.Z - com.Z + tan*math.Hypot(lowest.X-com.X, lowest.Y-com.Y)
	var out []r3.Vec
	for _, v := range hull {
		if p := r3.Sub(v, com); p.Z-tan*math.Hypot(p.X, p.Y) <= level {
			out = append(out, p)
		}
	}
	return out
}

// tiltingWays gives the ways to tilt the part, as unit vectors on the plate: evenly
// all around, and over the edges of the polygon.
func tiltingWays(polygon []r2.Vec, com r3.Vec) []r2.Vec {
	ways := make([]r2.Vec, 0, rockWays+len(polygon))
	for k := range rockWays {
		sin, cos := math.Sincos(2 * math.Pi * float64(k) / rockWays)
		ways = append(ways, r2.Vec{X: cos, Y: sin})
	}
	return append(ways, overEdges(polygon, com)...)
}

// overEdges gives the ways over the edges of a polygon; over the nearest one alone where
// it has many.
func overEdges(polygon []r2.Vec, com r3.Vec) []r2.Vec {
	var ways []r2.Vec
	nearest, least := -1, math.Inf(1)
	for i, a := range polygon {
		edge := r2.Sub(polygon[(i+1)%len(polygon)], a)
		length := r2.Norm(edge)
		if length == 0 {
			continue
		}
		way := r2.Vec{X: edge.Y / length, Y: -edge.X / length}
		if d := r2.Dot(way, r2.Sub(a, r2.Vec{X: com.X, Y: com.Y})); d < least {
			nearest, least = len(ways), d
		}
		ways = append(ways, way)
	}
	if len(ways) > rockWays {
		return ways[nearest : nearest+1]
	}
	return ways
}

// settling gives the outline of what comes down on the plate as a part that stands a
// little beside a face settles on it: its centre of mass sinks by no more than counts.
func settling(hull []r3.Vec) []r2.Vec {
	var low []r2.Vec
	for _, v := range hull {
		if v.Z <= 3*rockMM {
			low = append(low, r2.Vec{X: v.X, Y: v.Y})
		}
	}
	if len(low) < 3 {
		return nil
	}
	return mesh.Outline(low)
}

// rocked tilts the part one way until its centre of mass comes down again, and gives
// the tilt of a flat foot that takes as much lift: 0 where nothing holds it, infinity
// where more than enough degrees are borne.
func rocked(low []r3.Vec, way r2.Vec, enough float64) float64 {
	start := heightAt(low, way, 0)
	if !(start > 0) {
		return 0
	}
	bound := start / math.Cos(min(enough, rockMostDeg)*math.Pi/180)
	high := start
	fell := false
	for deg := rockStepDeg; deg <= rockMostDeg; deg += rockStepDeg {
		h := heightAt(low, way, float64(deg)*math.Pi/180)
		if h < high-rockMM {
			fell = true
			break
		}
		if high = max(high, h); high >= bound && high-start >= rockMM {
			return math.Inf(1)
		}
	}
	switch {
	case !fell && high-start < rockMM:
		return 0
	case !fell:
		return math.Inf(1)
	}
	return math.Acos(start/high) * 180 / math.Pi
}

// heightAt gives the height of the centre of mass above the plate when the part is
// tilted that way by rad.
func heightAt(low []r3.Vec, way r2.Vec, rad float64) float64 {
	sin, cos := math.Sincos(rad)
	x, y := sin*way.X, sin*way.Y
	most := math.Inf(-1)
	for _, p := range low {
		most = max(most, p.X*x+p.Y*y-p.Z*cos)
	}
	return most
}
