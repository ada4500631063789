package orient

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
)

// fingerprintSize is how many numbers tell directions apart.
const fingerprintSize = 7

// fingerprint is what a part looks like along a direction, whatever its turn
// about it: two directions that a symmetry of the part exchanges have the same
// one, others practically never do.
type fingerprint [fingerprintSize]float64

// fingerprintOf gives the moments 1 to 6 of the surface along up about the
// centre, each as a root so that it is a length, and the spread across up. Over
// a triangle the k-th moment of a linear height with corner values a, b, c is
// 2 A h_k(a,b,c) / ((k+1)(k+2)), h_k the complete homogeneous polynomial
// (Brion's formula for a simplex), so the triangulation does not matter.
func fingerprintOf(m *mesh.Mesh, center, up r3.Vec) fingerprint {
	var sum [7]float64 // sum[0] is the area
	u := mesh.Across(up)
	v := r3.Cross(up, u)
	var uu, uv, vv float64
	for i := range m.Facets {
		a, b, c := m.Corners(i)
		a, b, c = r3.Sub(a, center), r3.Sub(b, center), r3.Sub(c, center)
		area := r3.Norm(r3.Cross(r3.Sub(b, a), r3.Sub(c, a))) / 2
		addMoments(&sum, area, r3.Dot(up, a), r3.Dot(up, b), r3.Dot(up, c))
		for _, p := range [3]r3.Vec{r3.Add(a, b), r3.Add(b, c), r3.Add(c, a)} { // twice the mid-edges: exact to degree 2
			pu, pv := r3.Dot(u, p), r3.Dot(v, p)
			uu, uv, vv = uu+area*pu*pu, uv+area*pu*pv, vv+area*pv*pv
		}
	}
	var f fingerprint
	if sum[0] == 0 {
		return f
	}
	for k := 1; k <= 6; k++ {
		f[k-1] = root(sum[k]/sum[0], k)
	}
	f[6] = root((uu*vv-uv*uv)/(144*sum[0]*sum[0]), 4)
	return f
}

// addMoments adds the moments of a triangle whose corners have heights a, b, c.
func addMoments(sum *[7]float64, area, a, b, c float64) {
	// h_k(a,b,c) = h_k(a,b) + c h_{k-1}(a,b,c), and the same for fewer letters.
	ha, hab, habc := 1.0, 1.0, 1.0
	sum[0] += area
	for k := 1; k <= 6; k++ {
		ha *= a
		hab = ha + b*hab
		habc = hab + c*habc
		sum[k] += 2 * area * habc / float64((k+1)*(k+2))
	}
}

// root gives the k-th root with the sign kept.
func root(v float64, k int) float64 {
	return math.Copysign(math.Pow(math.Abs(v), 1/float64(k)), v)
}

// sameBy reports whether f and g differ by less than tolerance mm in each number.
func (f fingerprint) sameBy(g fingerprint, tolerance float64) bool {
	for i := range f {
		if math.Abs(f[i]-g[i]) > tolerance {
			return false
		}
	}
	return true
}
