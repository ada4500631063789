package furnace

import (
	"context"
	"math"

	"gonum.org/v1/gonum/mat"
)

// Buckling
//
// Under how many times its own weight would the part, were it elastic, no longer come
// back from a small push? Where the geometric stiffness K_G of the self-weight stress
// takes away all that the stiffness K holds in some shape v: K v + lambda K_G v = 0.
// The smallest positive lambda belongs to the largest ratio theta = 1 / lambda of
// -v' K_G v to v' K v, which is climbed to by locally optimal steps: the best shapes in
// the space of a few present ones, of what the preconditioner makes of their residuals,
// and of the steps before (LOBPCG; Knyazev, SIAM J. Sci. Comput. 23 (2001) 517). One
// shape would do where all goes well; with two the climb does not stay at the sway of a
// box whose walls buckle long before. K is positive definite, since the feet are held;
// -K_G need not be. The ratio is a lower bound of the largest at every step.

// shapes is how many are followed at once.
const shapes = 2

// buckling climbs on the finest level of mg, where the feet are held.
type buckling struct {
	mg  *multigrid
	geo *geometric
	// x holds the present shapes, the new directions and the steps before, k and g
	// what the stiffness and the geometric stiffness make of them.
	x, k, g [3 * shapes][]float64
	theta   [shapes]float64
}

const (
	// mostSteps bounds the climb; sound parts need 2 to 15.
	mostSteps = 60
	// fewestSteps are taken before an answer is believed: it could be that of a shape
	// that the first pushes happened to make most of.
	fewestSteps = 2
)

// newBuckling begins with the responses to forces, which should hold something of
// every shape that the part could buckle in. push gives force number i.
func newBuckling(mg *multigrid, geo *geometric, push func(i int) []float64) *buckling {
	b := &buckling{mg: mg, geo: geo}
	n := len(geo.held)
	for i := range b.x {
		b.x[i], b.k[i], b.g[i] = make([]float64, n), make([]float64, n), make([]float64, n)
	}
	for i := range shapes {
		mg.cycle(0, b.x[i], push(i))
		b.reckon(i)
	}
	b.step()
	return b
}

// reckon works out what the matrices make of vector i.
func (b *buckling) reckon(i int) {
	b.mg.levels[0].apply(b.k[i], b.x[i])
	b.geo.apply(b.g[i], b.x[i])
}

// climb goes on until enough is told that the largest ratio is known within off, or
// fails after so many steps. There is one within off of theta.
func (b *buckling) climb(ctx context.Context, most int, enough func(theta, off float64) bool) (steps int, err error) {
	for ; steps < most; steps++ {
		for i := range shapes {
			off := b.direction(i)
			if err := ctx.Err(); err != nil { // the crew has left off in the midst of it
				return steps, err
			}
			if math.IsNaN(off) {
				return steps, errStalled
			}
			if i == 0 && steps >= fewestSteps && enough(b.theta[0], off) {
				return steps, nil
			}
			b.reckon(shapes + i)
		}
		b.step()
	}
	return steps, errStalled
}

// direction makes the new direction of shape i from its residual, and gives the size
// of the latter: how far theta may be off.
func (b *buckling) direction(i int) float64 {
	c := b.mg.levels[0].crew
	r, k, g, w := b.mg.work[0], b.k[i], b.g[i], b.x[shapes+i]
	c.over(len(r), func(lo, hi int) {
		for j := lo; j < hi; j++ {
			r[j] = g[j] - b.theta[i]*k[j]
		}
	})
	b.mg.cycle(0, w, r)
	return math.Sqrt(max(c.dot(r, w)/c.dot(b.x[i], k), 0))
}

// step takes the best of what all vectors span as the new shapes, and what of them is
// not from the old ones as the steps.
func (b *buckling) step() {
	c := b.mg.levels[0].crew
	k, g := mat.NewSymDense(len(b.x), nil), mat.NewSymDense(len(b.x), nil)
	for i := range b.x {
		for j := i; j < len(b.x); j++ {
			k.SetSym(i, j, c.dot(b.x[i], b.k[j]))
			g.SetSym(i, j, c.dot(b.x[i], b.g[j]))
		}
	}
	by := b.highest(k, g)
	for _, v := range [3]*[3 * shapes][]float64{&b.x, &b.k, &b.g} {
		c.over(len(v[0]), func(lo, hi int) {
			for j := lo; j < hi; j++ {
				var old [3 * shapes]float64
				for i := range old {
					old[i] = v[i][j]
				}
				for s := range shapes {
					var own, step float64
					for i, u := range old[:shapes] {
						own += by[s][i] * u
					}
					for i, u := range old[shapes:] {
						step += by[s][shapes+i] * u
					}
					v[s][j], v[2*shapes+s][j] = own+step, step
				}
			}
		})
	}
}

// highest finds the largest ratios of g to k over what the vectors span, and the
// combinations that have them, of length 1 in k. A vector that is nothing new beside
// those before it is left out.
func (b *buckling) highest(k, g *mat.SymDense) (by [shapes][3 * shapes]float64) {
	var basis []*mat.VecDense // combinations of the vectors, orthonormal in k
	for i := range b.x {
		v := mat.NewVecDense(len(b.x), nil)
		if !(k.At(i, i) > 0) {
			continue
		}
		v.SetVec(i, 1/math.Sqrt(k.At(i, i)))
		for range 2 { // once more for what rounding left
			for _, e := range basis {
				v.AddScaledVec(v, -mat.Inner(e, k, v), e)
			}
		}
		const fresh = 1e-12 // squared sine of the angle to those before
		if size := mat.Inner(v, k, v); size > fresh {
			v.ScaleVec(1/math.Sqrt(size), v)
			basis = append(basis, v)
		}
	}
	small := mat.NewSymDense(max(len(basis), 1), nil)
	for i, u := range basis {
		for j := i; j < len(basis); j++ {
			small.SetSym(i, j, mat.Inner(u, g, basis[j]))
		}
	}
	var eig mat.EigenSym
	if !eig.Factorize(small, true) {
		b.theta[0] = math.NaN()
		return by
	}
	values := eig.Values(nil)
	var vectors mat.Dense
	eig.VectorsTo(&vectors)
	for s := range min(shapes, len(basis)) {
		at := len(basis) - 1 - s
		b.theta[s] = values[at]
		for i, e := range basis {
			for j := range by[s] {
				by[s][j] += vectors.At(i, at) * e.AtVec(j)
			}
		}
	}
	return by
}
