package furnace

import (
	"context"
	"errors"
	"math"
)

// errStalled is returned where the iteration does not settle.
var errStalled = errors.New("furnace: the solution does not settle: the part hangs together too loosely for its grid; try a finer grid, or check the mesh for slivers")

// task is one linear solve.
type task struct {
	x, b []float64
	// within is the relative error of the energy norm that is good enough.
	within float64
	most   int // iterations
	// clean takes rigid motions out of a vector of forces; nil: there are none.
	clean func(r []float64)
	told  func(share float64)
}

// solve improves x until it satisfies the finest level's equations for b, by
// conjugate gradients with one multigrid cycle as preconditioner (Hestenes and
// Stiefel 1952; multigrid so used: Tatebe 1993, from memory). It stops when the
// preconditioned residual, which estimates the energy of the error, is small
// against the energy of the solution.
func (mg *multigrid) solve(ctx context.Context, t task) (iterations int, err error) {
	l := mg.levels[0]
	c := l.crew
	n := len(t.x)
	r, z := make([]float64, n), make([]float64, n)
	p, q := make([]float64, n), make([]float64, n)
	old := make([]float64, n)
	l.apply(q, t.x)
	c.over(n, func(lo, hi int) {
		for i := lo; i < hi; i++ {
			r[i] = t.b[i] - q[i]
			if l.inverse[i] == 0 {
				r[i] = 0
			}
		}
	})
	var rz, first float64
	for iterations = 0; ; iterations++ {
		if err := ctx.Err(); err != nil {
			return iterations, err
		}
		if t.clean != nil && iterations%16 == 0 { // only rounding brings them back
			t.clean(r)
		}
		mg.cycle(0, z, r)
		before := rz
		rz = c.dot(r, z)
		energy := c.dot(t.x, t.b)
		if math.IsNaN(rz) || math.IsInf(rz, 0) {
			return iterations, errStalled
		}
		left := rz / (t.within * t.within * math.Abs(energy))
		if left <= 1 || rz == 0 {
			return iterations, nil
		}
		if iterations == 1 {
			first = left
		}
		if t.told != nil && iterations > 0 {
			t.told(1 - math.Log(left)/math.Log(max(first, math.E)))
		}
		if iterations >= t.most {
			return iterations, errStalled
		}
		beta := 0.0
		if iterations > 0 {
			beta = (rz - c.dot(old, z)) / before
		}
		c.over(n, func(lo, hi int) {
			for i := lo; i < hi; i++ {
				p[i] = z[i] + beta*p[i]
			}
		})
		l.apply(q, p)
		alpha := rz / c.dot(p, q)
		c.over(n, func(lo, hi int) {
			for i := lo; i < hi; i++ {
				t.x[i] += alpha * p[i]
				old[i] = r[i]
				r[i] -= alpha * q[i]
			}
		})
	}
}
