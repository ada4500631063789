package furnace

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// TipAngleDeg gives the smallest tilt, degrees, that brings the centre of mass
// over an edge of the support polygon (convex, counter-clockwise, on z = 0):
// atan of the distance to the nearest edge over the height of the centre. It is
// 0 where the centre starts outside or the polygon has no area.
func TipAngleDeg(polygon []r2.Vec, centerOfMass r3.Vec) float64 {
	if len(polygon) < 3 {
		return 0
	}
	p := r2.Vec{X: centerOfMass.X, Y: centerOfMass.Y}
	nearest := math.Inf(1)
	for i, a := range polygon {
		edge := r2.Sub(polygon[(i+1)%len(polygon)], a)
		length := r2.Norm(edge)
		if length == 0 {
			continue
		}
		nearest = min(nearest, r2.Cross(edge, r2.Sub(p, a))/length)
	}
	if nearest <= 0 || math.IsInf(nearest, 0) {
		return 0
	}
	return math.Atan2(nearest, centerOfMass.Z) * 180 / math.Pi
}

// SetterTravelMM gives how far the farthest corner of the footprint slides on
// the setter while the part shrinks towards the middle of the footprint, mm.
// The footprint is green; shrinkage is the fraction along X and Y.
func SetterTravelMM(footprint []r2.Vec, shrinkage r2.Vec) float64 {
	if len(footprint) == 0 {
		return 0
	}
	lo, hi := footprint[0], footprint[0]
	for _, p := range footprint {
		lo = r2.Vec{X: min(lo.X, p.X), Y: min(lo.Y, p.Y)}
		hi = r2.Vec{X: max(hi.X, p.X), Y: max(hi.Y, p.Y)}
	}
	middle := r2.Scale(0.5, r2.Add(lo, hi))
	var most float64
	for _, p := range footprint {
		d := r2.Sub(p, middle)
		most = max(most, math.Hypot(d.X*shrinkage.X, d.Y*shrinkage.Y))
	}
	return most
}
