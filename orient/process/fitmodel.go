package process

import (
	"math"
	"time"

	"gonum.org/v1/gonum/mat"
)

// row is one reading about the present shrinkage: y is what is seen beyond it,
// x what each axis has in that, instrument the variance by the instrument.
type row struct {
	x          [3]float64
	y          float64
	instrument float64
	index      int // of the reading
}

// group holds the rows of one firing.
type group struct {
	firing string
	date   time.Time
	when   float64 // in units of the time between first and last firing, 0 in the middle
	rows   []row

	// Worked out by sweep at the present variances: see there.
	noise              []float64  // E
	grip, narrow, held three      // x' E^-1 x; C; x' V^-1 x
	pull               [3]float64 // x' V^-1 y
	own, leverage      three      // covariance of the mean; x' P x
}

// column is one unknown: the shrinkage of an axis, or its change over time.
type column struct {
	axis  int
	drift bool
}

func (c column) weight(g *group) float64 {
	if c.drift {
		return g.when
	}
	return 1
}

// model is the linear mixed model about the present shrinkage,
//
//	y = x (beta + b) + x.e + u
//
// with b the deviation of a firing from the mean (variance between, per axis),
// e the deviation of one place on one part from its firing (variance within, per
// axis), and u the error of the instrument (variance known).
type model struct {
	groups          []*group
	columns         []column
	between, within [3]float64
	free            [6]bool // which of between and within are to be estimated

	beta       []float64
	covariance *mat.SymDense // of beta at the present variances
	likelihood float64       // restricted, logarithm, less a constant
}

// sweep solves for beta at the present variances and leaves in each group what
// the estimates of variances, intervals and outliers are made of. It goes through
// the 3x3 form of V^-1 = E^-1 - E^-1 x C x' E^-1, E = diag(noise), and is false
// when the unknowns are not told apart.
func (m *model) sweep() bool {
	p := len(m.columns)
	normal, right := mat.NewSymDense(p, nil), mat.NewVecDense(p, nil)
	var likelihood float64
	for _, g := range m.groups {
		likelihood += g.weigh(m.between, m.within)
		for a, ca := range m.columns {
			wa := ca.weight(g)
			right.SetVec(a, right.AtVec(a)+wa*g.pull[ca.axis])
			for b := a; b < p; b++ {
				cb := m.columns[b]
				normal.SetSym(a, b, normal.At(a, b)+wa*cb.weight(g)*g.held[ca.axis][cb.axis])
			}
		}
	}
	var c mat.Cholesky
	if !c.Factorize(normal) || !(c.Cond() < worstCondition) {
		return false
	}
	var beta mat.VecDense
	inverse := mat.NewSymDense(p, nil)
	if c.SolveVecTo(&beta, right) != nil || c.InverseTo(inverse) != nil {
		return false
	}
	m.beta = append(m.beta[:0], beta.RawVector().Data...)
	m.covariance = inverse
	m.likelihood = -0.5 * (likelihood + c.LogDet() - mat.Dot(&beta, right))
	for _, g := range m.groups {
		m.settle(g)
	}
	return true
}

// weigh fills the parts of a group that depend on the variances alone, and gives
// its share of log |V| + y' V^-1 y.
func (g *group) weigh(between, within [3]float64) float64 {
	var k three // x' E^-1 x
	var h [3]float64
	var sum float64
	g.noise = g.noise[:0]
	for i := range g.rows {
		r := &g.rows[i]
		e := r.instrument
		for a, x := range r.x {
			e += x * x * within[a]
		}
		g.noise = append(g.noise, e)
		k.addOuter(r.x, 1/e)
		for a, x := range r.x {
			h[a] += x * r.y / e
		}
		sum += math.Log(e) + r.y*r.y/e
	}
	var t [3]float64
	one := three{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}}
	for a := range t {
		t[a] = math.Sqrt(between[a])
	}
	for a := range 3 {
		for b := range 3 {
			one[a][b] += t[a] * k[a][b] * t[b]
		}
	}
	c, det := one.inverse()
	for a := range 3 {
		for b := range 3 {
			c[a][b] *= t[a] * t[b]
		}
	}
	g.grip, g.narrow = k, c
	kc := k.mul(&c)
	kck := kc.mul(&k)
	g.held = k.minus(&kck)
	back := kc.times(h)
	for a := range h {
		g.pull[a] = h[a] - back[a]
	}
	ch := c.times(h)
	return sum + math.Log(det) - dot(h, ch)
}

// settle fills the parts that depend on the estimate: own is the covariance of
// the mean of this firing's axes, leverage x' P x.
func (m *model) settle(g *group) {
	g.own = three{}
	for a, ca := range m.columns {
		for b, cb := range m.columns {
			g.own[ca.axis][cb.axis] += ca.weight(g) * cb.weight(g) * m.covariance.At(a, b)
		}
	}
	half := g.held.mul(&g.own)
	used := half.mul(&g.held)
	g.leverage = g.held.minus(&used)
}

// mean is what the estimate says of the axes of a firing, without its own
// deviation.
func (m *model) mean(g *group) (out [3]float64) {
	for i, c := range m.columns {
		out[c.axis] += c.weight(g) * m.beta[i]
	}
	return out
}

// tug gives x' V^-1 (y - x mean): how hard a firing pulls at each axis.
func (m *model) tug(g *group) (out [3]float64) {
	mean := m.mean(g)
	fitted := g.held.times(mean)
	for a := range out {
		out[a] = g.pull[a] - fitted[a]
	}
	return out
}

// eachRow gives (P y)_i and P_ii of every row of a group, P = V^-1 - V^-1 x (x'
// V^-1 x)^-1 x' V^-1. P_ii is 0 where the estimate hangs on the row.
func (m *model) eachRow(g *group, visit func(i int, py, pii float64)) {
	mean := m.mean(g)
	var k [3]float64
	for i := range g.rows {
		r := &g.rows[i]
		e := (r.y - dot(r.x, mean)) / g.noise[i]
		for a, x := range r.x {
			k[a] += x * e
		}
	}
	ck := g.narrow.times(k) // V^-1 e = E^-1 (e - x C x' E^-1 e)
	kc := g.grip.mul(&g.narrow)
	for i := range g.rows {
		r := &g.rows[i]
		e := g.noise[i]
		py := (r.y - dot(r.x, mean) - dot(r.x, ck)) / e
		cx := g.narrow.times(r.x)
		w := kc.times(r.x)
		for a := range w {
			w[a] = (r.x[a] - w[a]) / e
		}
		free := 1/e - dot(r.x, cx)/(e*e)
		pii := free - dot(w, g.own.times(w))
		if pii < fullLeverage*free {
			pii = 0
		}
		visit(i, py, pii)
	}
}

// solve finds beta once more by orthogonal least squares on rows freed of their
// correlation, which keeps the digits that the normal equations of sweep lose.
func (m *model) solve() bool {
	var n int
	for _, g := range m.groups {
		n += len(g.rows)
	}
	p := len(m.columns)
	x, y := mat.NewDense(n, p, nil), make([]float64, 0, n)
	for _, g := range m.groups {
		g.whiten(m.between, func(axes [3]float64, seen float64) {
			for c, col := range m.columns {
				x.Set(len(y), c, axes[col.axis]*col.weight(g))
			}
			y = append(y, seen)
		})
	}
	out, err := leastSquares(x, y, nil)
	if err != nil {
		return false
	}
	m.beta, m.covariance = out.beta, out.inverse
	for _, g := range m.groups {
		m.settle(g)
	}
	return true
}

// whiten gives the rows of a group times V^-1/2 = (1 + a a')^-1/2 E^-1/2, a =
// E^-1/2 x T^1/2, by the eigenvalues v of a'a: the factor is 1 + a f(a'a) a' with
// f(v) = ((1+v)^-1/2 - 1)/v.
func (g *group) whiten(between [3]float64, give func(x [3]float64, y float64)) {
	var t [3]float64
	var inner three
	for k := range t {
		t[k] = math.Sqrt(between[k])
	}
	for i := range 3 {
		for j := range 3 {
			inner[i][j] = t[i] * g.grip[i][j] * t[j]
		}
	}
	f := inner.of(func(v float64) float64 {
		if v < 1e-8 {
			return -0.5 // the limit; the next term is 3v/8
		}
		return (1/math.Sqrt(1+v) - 1) / v
	})
	var xx three      // f a' E^-1/2 x, a row of the factor's inner part for each axis
	var xy [3]float64 // f a' E^-1/2 y
	for i := range g.rows {
		r := &g.rows[i]
		for k := range t {
			a := t[k] * r.x[k] / g.noise[i]
			xy[k] += a * r.y
			for l, x := range r.x {
				xx[k][l] += a * x
			}
		}
	}
	xx, xy = f.mul(&xx), f.times(xy)
	for i := range g.rows {
		r := &g.rows[i]
		root := math.Sqrt(g.noise[i])
		x, y := r.x, r.y
		for k := range t {
			a := t[k] * r.x[k]
			y += a * xy[k]
			for l := range x {
				x[l] += a * xx[k][l]
			}
		}
		for l := range x {
			x[l] /= root
		}
		give(x, y/root)
	}
}
