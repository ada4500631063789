package furnace

import "errors"

// The multigrid preconditioner
//
// Relaxation on a grid smooths the error within a few bricks quickly and the
// long waves hardly at all. On a grid twice as coarse the same waves are half
// as long; so the error that relaxation leaves is handed down, grid by grid, to
// one small enough to be solved outright, and the corrections come back up
// (Brandt 1977; for elasticity on voxels see Dick, Georgii and Westermann 2011,
// from memory). One such cycle serves as preconditioner for conjugate gradients,
// which take care of what it gets wrong: that costs steps, but no accuracy.
//
// The coarse grids are made of the same bricks, twice as long, with the mean
// share of the eight finer ones (coarsen.go): nothing is ever assembled but the
// last one (bottom.go). A thin wall that fills only part of a coarse brick comes
// out too stiff in bending down there, four times at half a brick, and grid by
// grid this would multiply. So each coarse grid is not visited once but solved
// by two steps of conjugate gradients of its own (kcycle.go).

// level is one grid of the hierarchy with what relaxation needs.
type level struct {
	*grid
	up *transfer // to the next finer level; nil on the finest
	// inverse is 1 / diagonal for each displacement, 0 where it is held.
	inverse []float64
	// spring stands, on the coarser levels, for what is held on the finest.
	spring []float64
	x, b   []float64    // solution and right-hand side
	r, d   []float64    // residual and step
	krylov [4][]float64 // for kcycle
}

// multigrid is the hierarchy, finest level first.
type multigrid struct {
	levels []*level
	bottom *bottom
	work   [4][]float64 // on the finest level, for solve
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
	mg := &multigrid{levels: []*level{newLevel(g)}}
	for i := range mg.work {
		mg.work[i] = make([]float64, 3*len(g.place))
	}
	for {
		if err := c.ctx.Err(); err != nil {
			return nil, nil, err
		}
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
		last, ok := newBottom(g, coarsestWork)
		if ok || max(g.n[0], g.n[1], g.n[2]) == 1 {
			mg.bottom = last
			return mg, m, nil
		}
		for i := range l.krylov {
			l.krylov[i] = make([]float64, n)
		}
	}
}

// effort is what one cycle takes, counted in bricks whose forces are added up: an
// elimination is counted as bricks by its multiplications. Each level is visited
// twice for every visit of the one above.
func (mg *multigrid) effort() float64 {
	const (
		eachVisit = 5   // times that a level's matrix is applied
		perBrick  = 150 // multiplications of the elimination that take as long as a brick
	)
	var sum float64
	visits := 1.0
	for _, l := range mg.levels[:len(mg.levels)-1] {
		sum += visits * eachVisit * float64(len(l.nodes))
		visits *= 2
	}
	return sum + visits/2*2*float64(mg.bottom.n)*float64(mg.bottom.width)/perBrick
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
	l.relax(x, b, true)
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
	l.relax(x, b, false)
}
