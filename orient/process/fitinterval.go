package process

import (
	"math"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"
)

// fullLeverage is how near to nothing what is left of a firing counts as nothing.
const fullLeverage = 1e-9

// interval gives the standard error of the unknown c and its degrees of freedom.
// Firings are few, so their scatter is poorly known; the error is therefore taken
// from how firings lie about the estimate and not from the variances of the model,
// which serve as weights only: the cluster-robust covariance with the correction
// that makes it unbiased when the model holds, and Satterthwaite's degrees of
// freedom for it (Bell and McCaffrey, Surv. Methodol. 28 (2002) 169; Pustejovsky and
// Tipton, J. Bus. Econ. Stat. 36 (2018) 672). For firings measured all alike that
// is the textbook's s/sqrt(J) of the firings' means, with J-1.
//
// With the rows of a firing whitened, x = Q R and R = (x'V^-1x)^1/2, the correction
// is 1 + Q (N - 1) Q', N = (1 - R M R)^-1/2 and M the covariance of its mean, so all
// of it goes through 3x3 matrices.
func (m *model) interval(c int) (standardError, freedom float64) {
	p := len(m.columns)
	sum := mat.NewSymDense(p, nil)
	var variance, trace, squares float64
	spread := mat.NewVecDense(p, nil)
	for _, g := range m.groups {
		top := largest(&g.held)
		root, back := g.held.of(powerAbove(1e-12*top, 0.5)), g.held.of(powerAbove(1e-12*top, -0.5))
		left := root.mul(&g.own)
		left = left.mul(&root)
		one := three{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}}
		left = one.minus(&left)
		correct := left.of(powerAbove(fullLeverage, -0.5))

		var aim [3]float64 // B M c
		for i, col := range m.columns {
			aim[col.axis] += col.weight(g) * m.covariance.At(i, c)
		}
		q := correct.times(root.times(aim))
		score := dot(q, back.times(m.tug(g)))
		variance += score * score

		h := root.times(q)
		for i, col := range m.columns {
			spread.SetVec(i, col.weight(g)*h[col.axis])
		}
		qq, used := dot(q, q), mat.Inner(spread, m.covariance, spread)
		trace += qq - used
		squares += qq*qq - 2*qq*used
		sum.SymRankOne(sum, 1, spread)
	}
	var ms mat.Dense
	ms.Mul(m.covariance, sum)
	for i := range p {
		for j := range p {
			squares += ms.At(i, j) * ms.At(j, i)
		}
	}
	return math.Sqrt(variance), trace * trace / squares
}

// certainty is interval, but never less than the error of the instrument alone
// leaves: a few firings may happen to lie closer together than they could be
// measured.
func (m *model) certainty(c int) (standardError, freedom float64) {
	standardError, freedom = m.interval(c)
	bare := &model{columns: m.columns}
	for _, g := range m.groups {
		bare.groups = append(bare.groups, &group{rows: g.rows, when: g.when})
	}
	if bare.sweep() {
		standardError = math.Max(standardError, math.Sqrt(bare.covariance.At(c, c)))
	}
	return standardError, freedom
}

func largest(a *three) float64 { return math.Max(a[0][0], math.Max(a[1][1], a[2][2])) }

// studentQuantile is Student's t at the upper end of a two-sided interval.
func studentQuantile(confidence, freedom float64) float64 {
	return distuv.StudentsT{Sigma: 1, Nu: freedom}.Quantile((1 + confidence) / 2)
}

// axis puts together the outcome for one axis.
func (s *survey) axis(m *model, k int, confidence float64) AxisFit {
	if !s.known[k] {
		return unknownAxis(s.why[k])
	}
	c := m.count(k)
	out := unknownAxis("")
	out.Known, out.Shrinkage = true, s.shrink[k]
	out.Firings, out.Readings = int(c.firings), int(c.readings)
	if c.firings < 2 {
		return out
	}
	for i, col := range m.columns {
		if col.axis == k && !col.drift {
			out.StandardError, out.Freedom = m.certainty(i)
		}
	}
	reach := studentQuantile(confidence, out.Freedom) * out.StandardError
	out.Low, out.High = out.Shrinkage-reach, out.Shrinkage+reach

	between, within := m.between[k], m.within[k]
	out.Between, out.Spread = math.Sqrt(between), math.Sqrt(between+within)
	if m.free[3+k] {
		out.Within = math.Sqrt(within)
	}
	out.SpreadLow, out.SpreadHigh = c.spreadInterval(between, within, confidence)
	next := studentQuantile(confidence, c.firings-1) * math.Hypot(out.Spread, out.StandardError)
	out.NextLow, out.NextHigh = out.Shrinkage-next, out.Shrinkage+next
	return out
}

// spreadInterval bounds the spread: the variance of a single reading is that of
// the firings' means (J-1 degrees of freedom) and the rest of that within firings
// (N-J), together about chi-squared with Satterthwaite's degrees (Biom. Bull. 2
// (1946) 110); the instrument, being known, is taken off at the ends. An
// approximation, exact for one reading a firing and an instrument without error.
func (c tally) spreadInterval(between, within, confidence float64) (low, high float64) {
	n := c.weight / c.firings
	inner := (within + c.instrument) * (1 - 1/n)
	means := between + (within+c.instrument)/n
	total := means + inner
	rest := 0.0
	if d := c.weight - c.firings; d > 0 && inner > 0 {
		rest = inner * inner / d
	}
	freedom := total * total / (means*means/(c.firings-1) + rest)
	chi := distuv.ChiSquared{K: freedom}
	low = freedom*total/chi.Quantile((1+confidence)/2) - c.instrument
	high = freedom*total/chi.Quantile((1-confidence)/2) - c.instrument
	return math.Sqrt(math.Max(low, 0)), math.Sqrt(math.Max(high, 0))
}

// firings gives each firing by itself.
func (s *survey) firings(m *model) []FiringFit {
	out := make([]FiringFit, 0, len(m.groups))
	for _, g := range m.groups {
		f := FiringFit{Firing: g.firing, Date: g.date}
		tug := m.tug(g)
		told := s.known
		for k := range untold(g.rows, s.known) {
			told[k] = false
		}
		alone, spread := g.alone(told)
		for k := range 3 {
			f.Shrinkage[k], f.StandardError[k], f.Likely[k] = math.NaN(), math.NaN(), math.NaN()
			if s.known[k] {
				f.Likely[k] = s.shrink[k] + m.between[k]*tug[k]
			}
			if told[k] {
				f.Shrinkage[k], f.StandardError[k] = s.shrink[k]+alone[k], math.Sqrt(spread[k])
			}
		}
		out = append(out, f)
	}
	return out
}

// alone solves for the axes told by the rows of one firing that bear on no other.
func (g *group) alone(told [3]bool) (beta, variance [3]float64) {
	var k three
	var h [3]float64
	for i := range g.rows {
		r := &g.rows[i]
		stray := false
		for a, share := range r.share() {
			stray = stray || !told[a] && share > strayShare
		}
		if stray {
			continue
		}
		x := r.x
		for a := range x {
			if !told[a] {
				x[a] = 0
			}
		}
		k.addOuter(x, 1/g.noise[i])
		for a := range x {
			h[a] += x[a] * r.y / g.noise[i]
		}
	}
	for a := range told {
		if !told[a] {
			k[a] = [3]float64{}
			k[a][a] = 1
		}
	}
	inverse, _ := k.inverse()
	beta = inverse.times(h)
	for a := range variance {
		variance[a] = inverse[a][a]
	}
	return beta, variance
}
