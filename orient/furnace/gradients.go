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
// against the energy of the solution. Since the K-cycle is not quite linear, a
// new direction is cleared of the last one by what the last step changed in the
// residual, alpha q, and not by the usual shortcut (Polak and Ribiere's form).
func (mg *multigrid) solve(ctx context.Context, t task) (iterations int, err error) {
	r, z, p, q := mg.work[0], mg.work[1], mg.work[2], mg.work[3]
	c := mg.levels[0].crew
	mg.residual(r, t)
	clear(p)
	clear(q)
	var before, alpha float64
	progress := toldFrom(t.told)
	for ; ; iterations++ {
		const rounding = 16 // steps in which rounding brings no rigid motion back
		if t.clean != nil && iterations%rounding == 0 {
			t.clean(r)
		}
		mg.cycle(0, z, r)
		error2 := c.dot(r, z)
		if err := ctx.Err(); err != nil { // the crew has left off in the midst of it
			return iterations, err
		}
		left := error2 / (t.within * t.within * math.Abs(c.dot(t.x, t.b)))
		if math.IsNaN(error2) || math.IsInf(error2, 0) {
			return iterations, errStalled
		}
		if left <= 1 || error2 == 0 {
			return iterations, nil
		}
		if iterations >= t.most {
			return iterations, errStalled
		}
		progress(left)
		beta := 0.0
		if iterations > 0 {
			beta = -alpha * c.dot(q, z) / before
		}
		c.over(len(p), func(lo, hi int) {
			for i := lo; i < hi; i++ {
				p[i] = z[i] + beta*p[i]
			}
		})
		mg.levels[0].apply(q, p)
		before = error2
		alpha = error2 / c.dot(p, q)
		c.over(len(p), func(lo, hi int) {
			for i := lo; i < hi; i++ {
				t.x[i] += alpha * p[i]
				r[i] -= alpha * q[i]
			}
		})
	}
}

// residual sets r to what is left of the forces at the beginning.
func (mg *multigrid) residual(r []float64, t task) {
	l := mg.levels[0]
	l.apply(r, t.x)
	l.crew.over(len(r), func(lo, hi int) {
		for i := lo; i < hi; i++ {
			if r[i] = t.b[i] - r[i]; l.inverse[i] == 0 {
				r[i] = 0
			}
		}
	})
}

// toldFrom turns how many times too large the error still is into a share of the
// way, counted in powers from the first.
func toldFrom(told func(share float64)) func(left float64) {
	first := 0.0
	return func(left float64) {
		if told == nil || math.IsInf(left, 0) { // x began at zero: no measure yet
			return
		}
		first = max(first, left, math.E)
		told(1 - math.Log(left)/math.Log(first))
	}
}
