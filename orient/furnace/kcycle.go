package furnace

// twice solves level number at for its right-hand side by at most two steps of
// conjugate gradients, with the cycle as preconditioner, instead of one plain
// cycle: the K-cycle (Notay and Vassilevski, Numer. Linear Algebra Appl. 15
// (2008) 473). What one coarse grid gets wrong, a thin wall's bending above
// all, is then not multiplied by what the next gets wrong. The second step is
// left out where the first has brought the residual down to a quarter.
func (mg *multigrid) twice(at int) {
	l := mg.levels[at]
	if at == len(mg.levels)-1 {
		mg.cycle(at, l.x, l.b)
		return
	}
	const enough = 0.25
	c := l.crew
	s, v := l.krylov[0], l.krylov[1]
	mg.cycle(at, s, l.b)
	l.apply(v, s)
	rho, before := c.dot(s, v), c.dot(l.b, l.b)
	if rho == 0 {
		clear(l.x)
		return
	}
	first, second := c.dot(s, l.b)/rho, 0.0
	c.over(len(v), func(lo, hi int) {
		for i := lo; i < hi; i++ {
			l.b[i] -= first * v[i]
		}
	})
	if c.dot(l.b, l.b) > enough*enough*before {
		first, second = mg.again(at, first, rho)
	}
	d := l.krylov[2]
	c.over(len(v), func(lo, hi int) {
		for i := lo; i < hi; i++ {
			l.x[i] = first * s[i]
			if second != 0 {
				l.x[i] += second * d[i]
			}
		}
	})
}

// again takes the second step and gives the shares of both directions that leave
// the least error.
func (mg *multigrid) again(at int, first, rho float64) (share, second float64) {
	l := mg.levels[at]
	c := l.crew
	v, d, w := l.krylov[1], l.krylov[2], l.krylov[3]
	mg.cycle(at, d, l.b)
	l.apply(w, d)
	gamma, beta, alpha := c.dot(d, v), c.dot(d, w), c.dot(d, l.b)
	rest := beta - gamma*gamma/rho
	if !(rest > 0) {
		return first, 0
	}
	second = alpha / rest
	return first - gamma/rho*second, second
}
