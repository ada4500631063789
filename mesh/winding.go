package mesh

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Winding gives how many times the surface goes round p: 1 inside a closed body, 0
// outside, 2 where two bodies overlap, less than 0 where it is inside out. It is
// the generalised winding number of Jacobson, Kavan and Sorkine-Hornung ("Robust
// inside-outside segmentation using generalized winding numbers", ACM Trans. Graph.
// 32 (2013)): the solid angles of all facets seen from p over that of the sphere.
// A surface with holes gives numbers between, near a whole one away from them. On
// the surface it is the mean of both sides.
func (m *Mesh) Winding(p r3.Vec) float64 {
	var sum float64
	for i := range m.Facets {
		a, b, c := m.Corners(i)
		sum += solidAngle(r3.Sub(a, p), r3.Sub(b, p), r3.Sub(c, p))
	}
	return sum / (4 * math.Pi)
}

// solidAngle gives that of a facet seen from the origin, positive where its back is
// seen. Seen edge on, from within its plane, it has none.
func solidAngle(a, b, c r3.Vec) float64 {
	det, cosines, volume := angleParts(a, b, c)
	if math.Abs(det) <= 1e-14*volume {
		return 0
	}
	return 2 * math.Atan2(det, cosines)
}

// angleParts gives the two numbers whose angle is half the solid angle, and the
// size that they are to be held against (van Oosterom and Strackee, IEEE Trans.
// Biomed. Eng. 30 (1983) 125).
func angleParts(a, b, c r3.Vec) (det, cosines, volume float64) {
	la, lb, lc := math.Sqrt(r3.Norm2(a)), math.Sqrt(r3.Norm2(b)), math.Sqrt(r3.Norm2(c))
	volume = la * lb * lc
	return r3.Dot(a, r3.Cross(b, c)), volume + r3.Dot(a, b)*lc + r3.Dot(b, c)*la + r3.Dot(c, a)*lb, volume
}
