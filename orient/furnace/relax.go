package furnace

const (
	// sweeps is the number of relaxations before and after the coarse grids.
	sweeps = 2
	// smoothed is the part of the spectrum, from its top down to top/smoothed,
	// that relaxation works on: what the next grid cannot see. Both were found
	// by trying, on the part of bench_test.go: least work over all.
	smoothed = 10
)

// relax improves x by Chebyshev steps on the upper part of the spectrum of
// diagonal^-1 matrix, whose top the brick knows (Adams, Brezina, Hu and
// Tuminaro, J. Comput. Phys. 188 (2003) 593). Unlike Gauss and Seidel's
// relaxation it does not depend on the order of nodes and runs on all cores.
// With zero set x is taken as 0.
func (l *level) relax(x, b []float64, zero bool) {
	top := l.brick.top
	bottom := top / smoothed
	middle, half := (top+bottom)/2, (top-bottom)/2
	rho := half / middle
	alpha, beta := 0.0, 1/middle
	for s := range sweeps {
		if s > 0 {
			next := 1 / (2*middle/half - rho)
			alpha, beta = next*rho, 2*next/half
			rho = next
		}
		if s == 0 && zero {
			l.firstStep(x, b, beta)
		} else {
			l.apply(l.r, x)
			l.nextStep(x, b, alpha, beta)
		}
	}
}

// firstStep is the step from zero.
func (l *level) firstStep(x, b []float64, beta float64) {
	l.crew.over(len(x), func(lo, hi int) {
		for i := lo; i < hi; i++ {
			d := beta * l.inverse[i] * b[i]
			l.d[i], x[i] = d, d
		}
	})
}

// nextStep is the step from x, with the matrix times x in l.r. With alpha 0 the
// step before does not count.
func (l *level) nextStep(x, b []float64, alpha, beta float64) {
	l.crew.over(len(x), func(lo, hi int) {
		for i := lo; i < hi; i++ {
			d := beta * l.inverse[i] * (b[i] - l.r[i])
			if alpha != 0 {
				d += alpha * l.d[i]
			}
			l.d[i] = d
			x[i] += d
		}
	})
}
