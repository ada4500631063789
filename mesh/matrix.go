package mesh

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Matrix is a 3x3 matrix, row-major: a plain value, unlike r3.Mat, so that it
// can be compared, copied and written to JSON as it stands.
type Matrix [3][3]float64

// Identity gives the unit matrix.
func Identity() Matrix { return Diagonal(r3.Vec{X: 1, Y: 1, Z: 1}) }

// Diagonal gives the matrix that scales each axis by the component of d.
func Diagonal(d r3.Vec) Matrix {
	return Matrix{{d.X, 0, 0}, {0, d.Y, 0}, {0, 0, d.Z}}
}

// RotationBetween gives the rotation by the smallest angle that turns the unit
// vector from onto the unit vector to. Where they are opposite any axis across
// will do, and it is the one that Across gives.
func RotationBetween(from, to r3.Vec) Matrix {
	c := r3.Dot(from, to)
	if c < 0 {
		// Towards the opposite, 1 + c below would lose all its digits: make
		// half a turn about the common axis first, and then the small rest.
		back := r3.Scale(-1, from)
		return RotationBetween(back, to).Mul(halfTurn(commonAxis(from, to)))
	}
	v := r3.Cross(from, to)
	k := 1 / (1 + c)
	return Matrix{
		{v.X*v.X*k + c, v.X*v.Y*k - v.Z, v.X*v.Z*k + v.Y},
		{v.Y*v.X*k + v.Z, v.Y*v.Y*k + c, v.Y*v.Z*k - v.X},
		{v.Z*v.X*k - v.Y, v.Z*v.Y*k + v.X, v.Z*v.Z*k + c},
	}
}

// commonAxis gives a unit vector at right angles to the unit vector from, and to
// the unit vector to as far as their product can tell.
func commonAxis(from, to r3.Vec) r3.Vec {
	a := r3.Cross(from, to)
	if r3.Norm(a) < 1e-12 {
		return Across(from)
	}
	a = r3.Unit(a)
	return r3.Unit(r3.Sub(a, r3.Scale(r3.Dot(a, from), from)))
}

// halfTurn gives the rotation by 180 degrees about the unit vector a.
func halfTurn(a r3.Vec) Matrix {
	return Matrix{
		{2*a.X*a.X - 1, 2 * a.X * a.Y, 2 * a.X * a.Z},
		{2 * a.Y * a.X, 2*a.Y*a.Y - 1, 2 * a.Y * a.Z},
		{2 * a.Z * a.X, 2 * a.Z * a.Y, 2*a.Z*a.Z - 1},
	}
}

// RotationAbout gives the rotation by angle radians about the unit vector axis,
// counter-clockwise seen from its tip (Rodrigues' formula).
func RotationAbout(axis r3.Vec, angle float64) Matrix {
	s, c := math.Sincos(angle)
	k := 1 - c
	x, y, z := axis.X, axis.Y, axis.Z
	return Matrix{
		{c + x*x*k, x*y*k - z*s, x*z*k + y*s},
		{y*x*k + z*s, c + y*y*k, y*z*k - x*s},
		{z*x*k - y*s, z*y*k + x*s, c + z*z*k},
	}
}

// Across gives a unit vector at right angles to the unit vector d.
func Across(d r3.Vec) r3.Vec {
	least := r3.Vec{X: 1}
	switch ax, ay, az := math.Abs(d.X), math.Abs(d.Y), math.Abs(d.Z); {
	case ay <= ax && ay <= az:
		least = r3.Vec{Y: 1}
	case az <= ax && az <= ay:
		least = r3.Vec{Z: 1}
	}
	return r3.Unit(r3.Cross(d, least))
}

// MulVec gives the product of m with the column v.
func (m Matrix) MulVec(v r3.Vec) r3.Vec {
	return r3.Vec{
		X: float64(m[0][0]*v.X) + float64(m[0][1]*v.Y) + float64(m[0][2]*v.Z),
		Y: float64(m[1][0]*v.X) + float64(m[1][1]*v.Y) + float64(m[1][2]*v.Z),
		Z: float64(m[2][0]*v.X) + float64(m[2][1]*v.Y) + float64(m[2][2]*v.Z),
	}
}

// Mul gives the matrix product m n: first n, then m.
func (m Matrix) Mul(n Matrix) Matrix {
	var out Matrix
	for i := range 3 {
		for j := range 3 {
			out[i][j] = float64(m[i][0]*n[0][j]) + float64(m[i][1]*n[1][j]) + float64(m[i][2]*n[2][j])
		}
	}
	return out
}

// Transpose gives the transposed matrix: for a rotation, its inverse.
func (m Matrix) Transpose() Matrix {
	var out Matrix
	for i := range 3 {
		for j := range 3 {
			out[i][j] = m[j][i]
		}
	}
	return out
}

// Det gives the determinant.
func (m Matrix) Det() float64 {
	return r3.Dot(m.Row(0), r3.Cross(m.Row(1), m.Row(2)))
}

// Row gives row i as a vector. The last row of a rotation into the print frame
// is the build direction in the part frame.
func (m Matrix) Row(i int) r3.Vec { return r3.Vec{X: m[i][0], Y: m[i][1], Z: m[i][2]} }
