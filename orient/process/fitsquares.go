package process

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/mat"
)

// squares is the outcome of a linear least-squares problem.
type squares struct {
	beta []float64
	// inverse is (X'WX)^-1: the covariance of beta when the weights are the
	// inverse variances, and when multiplied by sum/freedom otherwise.
	inverse *mat.SymDense
	// sum is the weighted sum of squared residuals; freedom the readings less the
	// unknowns.
	sum     float64
	freedom int
}

// worstCondition is that of the scaled columns beyond which less than about four
// digits of a double would be left.
const worstCondition = 1e12

var errNotTold = errors.New("the readings do not tell the unknowns apart")

// leastSquares minimises the sum of w (y - x beta)^2 by Householder QR of the
// columns scaled to length one, which does not square the condition as the normal
// equations do (Golub and Van Loan, Matrix Computations, on orthogonalisation).
// weights nil means all are one. x and y are left as they are.
func leastSquares(x *mat.Dense, y, weights []float64) (squares, error) {
	n, p := x.Dims()
	if n < p {
		return squares{}, errNotTold
	}
	a, b := mat.DenseCopyOf(x), mat.NewVecDense(n, append([]float64(nil), y...))
	for i, w := range weights {
		root := math.Sqrt(w)
		for j := range p {
			a.Set(i, j, root*a.At(i, j))
		}
		b.SetVec(i, root*b.AtVec(i))
	}
	scale := unitColumns(a)
	var qr mat.QR
	qr.Factorize(a)
	if c := qr.Cond(); !(c < worstCondition) {
		return squares{}, errNotTold
	}
	var beta, fitted mat.VecDense
	if err := qr.SolveVecTo(&beta, false, b); err != nil {
		return squares{}, errNotTold
	}
	fitted.MulVec(a, &beta)
	fitted.SubVec(b, &fitted)
	out := squares{beta: make([]float64, p), sum: mat.Dot(&fitted, &fitted), freedom: n - p, inverse: inverseOf(&qr, p)}
	for j := range p {
		out.beta[j] = beta.AtVec(j) / scale[j]
		for k := j; k < p; k++ {
			out.inverse.SetSym(j, k, out.inverse.At(j, k)/scale[j]/scale[k])
		}
	}
	return out, nil
}

// unitColumns scales the columns of a to length one and gives the lengths; an
// empty column keeps its length of nothing as one.
func unitColumns(a *mat.Dense) []float64 {
	n, p := a.Dims()
	out := make([]float64, p)
	for j := range out {
		if out[j] = mat.Norm(a.ColView(j), 2); out[j] == 0 {
			out[j] = 1
		}
		for i := range n {
			a.Set(i, j, a.At(i, j)/out[j])
		}
	}
	return out
}

// inverseOf gives (R'R)^-1 of the triangle R.
func inverseOf(qr *mat.QR, p int) *mat.SymDense {
	var full mat.Dense
	qr.RTo(&full)
	r := mat.NewTriDense(p, mat.Upper, nil)
	for i := range p {
		for j := i; j < p; j++ {
			r.SetTri(i, j, full.At(i, j))
		}
	}
	var inverse mat.TriDense
	if inverse.InverseTri(r) != nil {
		return mat.NewSymDense(p, nil) // kept out by the condition
	}
	out := mat.NewSymDense(p, nil)
	out.SymOuterK(1, &inverse)
	return out
}
