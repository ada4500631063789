package process

import (
	"context"
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"
)

// dense is the model written out in full matrices, as the books have it.
type dense struct {
	v, inverse, p *mat.Dense
	x             *mat.Dense
	y             *mat.VecDense
	m             *mat.Dense // (x' V^-1 x)^-1
	group         []int
}

func (m *model) dense() dense {
	n := m.rowCount()
	d := dense{v: mat.NewDense(n, n, nil), x: mat.NewDense(n, len(m.columns), nil), y: mat.NewVecDense(n, nil), m: new(mat.Dense), inverse: new(mat.Dense), p: new(mat.Dense)}
	at := 0
	for j, g := range m.groups {
		for a := range g.rows {
			for b := range g.rows {
				var v float64
				for k := range 3 {
					v += g.rows[a].x[k] * m.between[k] * g.rows[b].x[k]
					if a == b {
						v += g.rows[a].x[k] * m.within[k] * g.rows[a].x[k]
					}
				}
				if a == b {
					v += g.rows[a].instrument
				}
				d.v.Set(at+a, at+b, v)
			}
			for c, col := range m.columns {
				d.x.Set(at+a, c, g.rows[a].x[col.axis]*col.weight(g))
			}
			d.y.SetVec(at+a, g.rows[a].y)
			d.group = append(d.group, j)
		}
		at += len(g.rows)
	}
	must(d.inverse.Inverse(d.v))
	var vx, xvx, half mat.Dense
	vx.Mul(d.inverse, d.x)
	xvx.Mul(d.x.T(), &vx)
	must(d.m.Inverse(&xvx))
	half.Mul(&vx, d.m)
	d.p.Mul(&half, vx.T())
	d.p.Sub(d.inverse, d.p)
	return d
}

func must(err error) {
	if err != nil {
		panic(err)
	}
}

// likelihood is the restricted one, less a constant.
func (d dense) likelihood() float64 {
	v, _ := mat.LogDet(d.v)
	m, _ := mat.LogDet(d.m)
	return -0.5 * (v - m + mat.Inner(d.y, d.p, d.y))
}

// robust is the interval of the unknown c by the formulas of Pustejovsky and Tipton
// on full matrices.
func (d dense) robust(c int, groups int) (standardError, freedom float64) {
	n, p := d.x.Dims()
	direction := mat.Col(nil, c, d.m)
	pulls := mat.NewDense(groups, n, nil) // row j is what group j adds to c, over the readings
	var hat, keep mat.Dense
	hat.Product(d.x, d.m, d.x.T(), d.inverse)
	keep.Scale(-1, &hat)
	for i := range n {
		keep.Set(i, i, 1+keep.At(i, i))
	}
	for j := range groups {
		var of []int
		for i, g := range d.group {
			if g == j {
				of = append(of, i)
			}
		}
		size := len(of)
		v, x, own := mat.NewSymDense(size, nil), mat.NewDense(size, p, nil), mat.NewDense(size, n, nil)
		for a, i := range of {
			x.SetRow(a, d.x.RawRowView(i))
			own.SetRow(a, keep.RawRowView(i))
			for b, l := range of {
				v.SetSym(a, b, d.v.At(i, l))
			}
		}
		back := power(v, -0.5, 0)
		var white, gram, e mat.Dense
		white.Mul(back, x)
		gram.Product(&white, d.m, white.T())
		left := mat.NewSymDense(size, nil)
		for a := range size {
			for b := range size {
				left.SetSym(a, b, -(gram.At(a, b)+gram.At(b, a))/2)
			}
			left.SetSym(a, a, 1+left.At(a, a))
		}
		e.Product(power(left, -0.5, fullLeverage), back, own)
		var row mat.VecDense
		row.MulVec(&white, mat.NewVecDense(p, direction))
		var out mat.VecDense
		out.MulVec(e.T(), &row)
		pulls.SetRow(j, out.RawVector().Data)
	}
	var seen mat.VecDense
	seen.MulVec(pulls, d.y)
	var cov mat.Dense
	cov.Product(pulls, d.v, pulls.T())
	var trace, squares float64
	for a := range groups {
		trace += cov.At(a, a)
		for b := range groups {
			squares += cov.At(a, b) * cov.At(a, b)
		}
	}
	return math.Sqrt(mat.Dot(&seen, &seen)), trace * trace / squares
}

// power gives a power of a symmetric matrix; eigenvalues up to floor count as none.
func power(s *mat.SymDense, p, floor float64) *mat.Dense {
	var e mat.EigenSym
	e.Factorize(s, true)
	var v, out mat.Dense
	e.VectorsTo(&v)
	values := e.Values(nil)
	for i := range values {
		values[i] = powerAbove(floor, p)(values[i])
	}
	out.Product(&v, mat.NewDiagDense(len(values), values), v.T())
	return &out
}

// unevenModel is a model of uneven firings with its variances set at random.
func unevenModel(t *testing.T, seed uint64, drift []int) (*survey, *model) {
	t.Helper()
	rng := rand.New(rand.NewPCG(seed, 7))
	shop := usualShop()
	shop.uneven, shop.firings = true, 5
	s := newSurvey(shop.fire(rng), [3]float64{}, &ShrinkageFit{})
	m := s.model(s.columns(drift), nil)
	for k := range 3 {
		m.between[k], m.within[k] = 1e-5*rng.Float64(), 1e-5*rng.Float64()
	}
	if seed%3 == 0 {
		m.between[1], m.within[2] = 0, 0
	}
	if !m.sweep() {
		t.Fatal("not told apart")
	}
	return s, m
}

// What the model works out through 3x3 matrices is what full matrices give.
func TestModelAgainstFullMatrices(t *testing.T) {
	for seed := range uint64(6) {
		drift := []int{2}[:seed%2]
		_, m := unevenModel(t, seed, drift)
		d := m.dense()
		near(t, "likelihood", m.likelihood, d.likelihood(), 1e-8*math.Abs(m.likelihood))
		var py mat.VecDense
		py.MulVec(d.p, d.y)
		at := 0
		for _, g := range m.groups {
			m.eachRow(g, func(i int, got, pii float64) {
				near(t, "Py", got, py.AtVec(at+i), 1e-7*mat.Norm(&py, 2))
				near(t, "Pii", pii, d.p.At(at+i, at+i), 1e-7*d.p.At(at+i, at+i))
			})
			tug := m.tug(g)
			for k := range 3 {
				var want, lever float64
				for a := range g.rows {
					want += g.rows[a].x[k] * py.AtVec(at+a)
					for b := range g.rows {
						lever += g.rows[a].x[k] * d.p.At(at+a, at+b) * g.rows[b].x[k]
					}
				}
				near(t, "tug", tug[k], want, 1e-6*mat.Norm(&py, 2))
				near(t, "leverage", g.leverage[k][k], lever, 1e-7*math.Abs(lever))
			}
			at += len(g.rows)
		}
		before := append([]float64(nil), m.beta...)
		if !m.solve() {
			t.Fatal("not solved")
		}
		for c := range m.columns {
			near(t, "beta by QR", m.beta[c], before[c], 1e-9)
			near(t, "covariance by QR", m.covariance.At(c, c), d.m.At(c, c), 1e-8*d.m.At(c, c))
			se, freedom := m.interval(c)
			wantSE, wantFreedom := d.robust(c, len(m.groups))
			near(t, "standard error", se, wantSE, 1e-6*wantSE)
			near(t, "freedom", freedom, wantFreedom, 1e-6*wantFreedom)
		}
	}
}

// The variances found are those of the highest likelihood: a step off to either
// side lowers it, by the full matrices.
func TestVariancesAreOfTheHighestLikelihood(t *testing.T) {
	const likelihoodTolerance = 1e-4 // by the variance at which the search ends; a unit is what matters
	for seed := range uint64(4) {
		_, m := unevenModel(t, seed, nil)
		m.guess()
		if !m.estimate(context.Background()) {
			t.Fatal("not told apart")
		}
		top := m.dense().likelihood()
		for i := range 6 {
			v := &m.between[i%3]
			if i >= 3 {
				v = &m.within[i%3]
			}
			kept := *v
			for _, factor := range []float64{0.8, 1.25} {
				*v = kept * factor
				if kept == 0 {
					*v = 1e-7 // it may only go up
				}
				if l := m.dense().likelihood(); l > top+likelihoodTolerance {
					t.Errorf("seed %d: variance %d from %g to %g raises the likelihood by %g", seed, i, kept, *v, l-top)
				}
			}
			*v = kept
		}
	}
}

func TestFitStopsWhenAsked(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := FitShrinkage(ctx, alongX([][]float64{{0.16}, {0.17}}), FitOptions{}); err == nil {
		t.Error("a cancelled fit gives no error")
	}
}
