package process

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// three is a matrix over the axes X, Y, Z. The model has one such per firing,
// gone through hundreds of times, so it lives on the stack.
type three [3][3]float64

func (a *three) addOuter(x [3]float64, scale float64) {
	for i := range 3 {
		for j := range 3 {
			a[i][j] += scale * x[i] * x[j]
		}
	}
}

func (a *three) times(x [3]float64) (out [3]float64) {
	for i := range 3 {
		out[i] = a[i][0]*x[0] + a[i][1]*x[1] + a[i][2]*x[2]
	}
	return out
}

func (a *three) mul(b *three) (out three) {
	for i := range 3 {
		for j := range 3 {
			out[i][j] = a[i][0]*b[0][j] + a[i][1]*b[1][j] + a[i][2]*b[2][j]
		}
	}
	return out
}

func (a *three) minus(b *three) (out three) {
	for i := range 3 {
		for j := range 3 {
			out[i][j] = a[i][j] - b[i][j]
		}
	}
	return out
}

// inverse gives the inverse and the determinant by cofactors; good enough for the
// well-conditioned matrices "one plus something positive" it is used on.
func (a *three) inverse() (out three, det float64) {
	for i := range 3 {
		for j := range 3 {
			p, q, r, s := (i+1)%3, (i+2)%3, (j+1)%3, (j+2)%3
			out[j][i] = a[p][r]*a[q][s] - a[p][s]*a[q][r]
		}
	}
	det = a[0][0]*out[0][0] + a[0][1]*out[1][0] + a[0][2]*out[2][0]
	for i := range 3 {
		for j := range 3 {
			out[i][j] /= det
		}
	}
	return out, det
}

// of applies f to the eigenvalues of a symmetric matrix. A is taken as
// symmetric; NaN in it gives zero.
func (a *three) of(f func(eigenvalue float64) float64) (out three) {
	var e mat.EigenSym
	s := mat.NewSymDense(3, []float64{a[0][0], a[0][1], a[0][2], a[0][1], a[1][1], a[1][2], a[0][2], a[1][2], a[2][2]})
	if !e.Factorize(s, true) {
		return out
	}
	values := e.Values(nil)
	var v mat.Dense
	e.VectorsTo(&v)
	for k, value := range values {
		out.addOuter([3]float64{v.At(0, k), v.At(1, k), v.At(2, k)}, f(value))
	}
	return out
}

// powerAbove gives the power p of eigenvalues above a floor and 0 below it, for
// roots and inverses of matrices that do not reach all axes.
func powerAbove(floor, p float64) func(float64) float64 {
	return func(v float64) float64 {
		if v <= floor {
			return 0
		}
		return math.Pow(v, p)
	}
}

func dot(a, b [3]float64) float64 { return a[0]*b[0] + a[1]*b[1] + a[2]*b[2] }
