package furnace

import "errors"

// The multigrid preconditioner
//
// Relaxation on a grid smooths the error within a few bricks quickly and the
// long waves hardly at all. On a grid twice as coarse the same waves are half
// as long; so the error that relaxation leaves is handed down, grid by grid, to
// one small enough to be solved outright, and the corrections come back up
// (Brandt 1977; for elasticity on voxels see Dick, Georgii and Westermann 2011,
// from memory). One such V-cycle serves as preconditioner for conjugate
// gradients, which take care of what it gets wrong: a thin wall that fills only
// part of a coarse brick comes out too stiff in bending down there, for
// instance, and costs some iterations but no accuracy.
//
// The coarse grids are made of the same bricks, twice as long, with the mean
// share of the eight finer ones: nothing is ever assembled but the last one.

// level is one grid of the hierarchy with what relaxation needs.
type level struct {
	*grid
	up *transfer // to the next finer level; nil on the finest
	// inverse is 1 / diagonal for each displacement, 0 where it is held.
	inverse []float64
	// spring stands, on the coarser levels, for what is held on the finest.
	spring []float64
	x, b   []float64 // solution and right-hand side
	r, d   []float64 // residual and step
	krylov [4][]float64
}

// multigrid is the hierarchy, finest level first.
type multigrid struct {
	levels []*level
	bottom *bottom
	sweeps int
}

// coarsestWork bounds the elimination on the last level: unknowns x bandwidth^2.
const coarsestWork = 1e8

// newMultigrid builds the hierarchy for the solid in b.
func newMultigrid(b *block, edge [3]float64, poisson float64, c crew) (*multigrid, *brickMap, error) {
	e, err := newBrick(edge, poisson)
	if err != nil {
		return nil, nil, err
	}
	g, m := newGrid(b, e, c)
	if len(g.nodes) == 0 {
		return nil, nil, errors.New("furnace: nothing solid to solve for")
	}
	mg := &multigrid{sweeps: 2, levels: []*level{newLevel(g)}}
	for {
		for a := range edge {
			edge[a] *= 2
		}
		if e, err = newBrick(edge, poisson); err != nil {
			return nil, nil, err
		}
		var up *transfer
		g, up = g.coarser(e)
		l := newLevel(g)
		l.up = up
		n := len(l.inverse)
		l.spring, l.x, l.b = make([]float64, n), make([]float64, n), make([]float64, n)
		mg.levels = append(mg.levels, l)
		if bottomWork(g) <= coarsestWork || max(g.n[0], g.n[1], g.n[2]) == 1 {
			mg.bottom = newBottom(g)
			return mg, m, nil
		}
		for i := range l.krylov {
			l.krylov[i] = make([]float64, n)
		}
	}
}

func newLevel(g *grid) *level {
	n := 3 * len(g.place)
	return &level{grid: g, inverse: make([]float64, n), r: make([]float64, n), d: make([]float64, n)}
}

// hold sets which displacements of the finest level are held at zero and which
// have springs (nil: none). The coarser levels are told by springs there, where
// something is held as stiff as the bricks around.
func (mg *multigrid) hold(held []bool, springs []float64) error {
	fine := mg.levels[0]
	fine.spring = springs
	down := fine.r
	for i := range fine.inverse {
		d := fine.brick.diagonal[i%3] * float64(fine.weight[i/3])
		down[i] = 0
		if springs != nil {
			down[i] = springs[i]
		}
		fine.inverse[i] = 1 / (d + down[i])
		if held[i] {
			fine.inverse[i], down[i] = 0, d
		}
	}
	for _, l := range mg.levels[1:] {
		l.up.down(l.spring, down)
		down = l.spring
		for i := range l.inverse {
			l.inverse[i] = 1 / (l.brick.diagonal[i%3]*float64(l.weight[i/3]) + l.spring[i])
		}
	}
	return mg.bottom.factorize(mg.levels[len(mg.levels)-1])
}

// apply is the level's matrix: bricks and springs. What is held takes no force.
func (l *level) apply(y, x []float64) {
	l.grid.apply(y, x)
	l.crew.over(len(y), func(lo, hi int) {
		for i := lo; i < hi; i++ {
			if l.inverse[i] == 0 {
				y[i] = 0
			} else if l.spring != nil {
				y[i] += l.spring[i] * x[i]
			}
		}
	})
}

// cycle sets x to an approximate solution for the right-hand side b on level
// number at. The way down and the way up mirror one another, which keeps the
// preconditioner symmetric.
func (mg *multigrid) cycle(at int, x, b []float64) {
	l := mg.levels[at]
	if at == len(mg.levels)-1 {
		mg.bottom.solve(x, b)
		return
	}
	l.relax(x, b, mg.sweeps, true)
	l.apply(l.r, x)
	l.crew.over(len(x), func(lo, hi int) {
		for i := lo; i < hi; i++ {
			l.r[i] = b[i] - l.r[i]
		}
	})
	next := mg.levels[at+1]
	next.up.down(next.b, l.r)
	mg.twice(at + 1)
	next.up.addUp(x, next.x)
	if at == 0 {
		l.crew.over(len(x), func(lo, hi int) {
			for i := lo; i < hi; i++ {
				if l.inverse[i] == 0 {
					x[i] = 0
				}
			}
		})
	}
	l.relax(x, b, mg.sweeps, false)
}

// twice solves level number at for its right-hand side by at most two steps of
// conjugate gradients, with the cycle as preconditioner, instead of one plain
// cycle: the K-cycle (Notay and Vassilevski, Numer. Linear Algebra Appl. 15
// (2008) 473). What one coarse grid gets wrong, a thin wall's bending above
// all, is then not multiplied by what the next gets wrong.
func (mg *multigrid) twice(at int) {
	l := mg.levels[at]
	if at == len(mg.levels)-1 {
		mg.cycle(at, l.x, l.b)
		return
	}
	c := l.crew
	s, v, d, w := l.krylov[0], l.krylov[1], l.krylov[2], l.krylov[3]
	mg.cycle(at, s, l.b)
	l.apply(v, s)
	rho, alpha := c.dot(s, v), c.dot(s, l.b)
	if rho == 0 {
		clear(l.x)
		return
	}
	before := c.dot(l.b, l.b)
	t := alpha / rho
	c.over(len(v), func(lo, hi int) {
		for i := lo; i < hi; i++ {
			l.b[i] -= t * v[i]
		}
	})
	if c.dot(l.b, l.b) <= 0.0625*before {
		c.over(len(v), func(lo, hi int) {
			for i := lo; i < hi; i++ {
				l.x[i] = t * s[i]
			}
		})
		return
	}
	mg.cycle(at, d, l.b)
	l.apply(w, d)
	gamma, beta, alpha2 := c.dot(d, v), c.dot(d, w), c.dot(d, l.b)
	rho2 := beta - gamma*gamma/rho
	f, g := t, 0.0
	if rho2 > 0 {
		f, g = t-gamma*alpha2/(rho*rho2), alpha2/rho2
	}
	c.over(len(v), func(lo, hi int) {
		for i := lo; i < hi; i++ {
			l.x[i] = f*s[i] + g*d[i]
		}
	})
}

// relax improves x by Chebyshev steps on the upper part of the spectrum of
// diagonal^-1 matrix, whose top the brick knows (Adams, Brezina, Hu and
// Tuminaro, J. Comput. Phys. 188 (2003) 593). With zero set x is taken as 0.
func (l *level) relax(x, b []float64, sweeps int, zero bool) {
	const range_ = 5 // from top/range_ to top: what the next grid cannot see
	hi := l.brick.top
	lo := hi / range_
	middle, half := (hi+lo)/2, (hi-lo)/2
	rho := half / middle
	for s := range sweeps {
		if s > 0 || !zero {
			l.apply(l.r, x)
		}
		first := s == 0
		alpha, beta := 0.0, 1/middle
		if !first {
			next := 1 / (2*middle/half - rho)
			alpha, beta = next*rho, 2*next/half
			rho = next
		}
		l.crew.over(len(x), func(from, to int) {
			for i := from; i < to; i++ {
				r := b[i]
				if !(first && zero) {
					r -= l.r[i]
				}
				d := beta * l.inverse[i] * r
				if !first {
					d += alpha * l.d[i]
				}
				l.d[i] = d
				if first && zero {
					x[i] = d
				} else {
					x[i] += d
				}
			}
		})
	}
}
