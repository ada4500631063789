package process

import (
	"context"
	"math"
)

// The search for the variances ends when no variance moves by more than this
// share of the variance seen, or after so many rounds; each round is three looks
// at all readings.
const (
	varianceTolerance = 1e-6
	varianceFloor     = 1e-9 // share of the variance seen that counts as none
	mostRounds        = 300
)

// variances is between, then within, as logarithms.
type variances [6]float64

// estimate finds the variances by restricted maximum likelihood (Patterson and
// Thompson, Biometrika 58 (1971) 545): each step multiplies a variance by
// sqrt(y'P V_k P y / tr(P V_k)), which never lowers the likelihood and never leaves
// the positive (Zhou, Hu, Zhou and Lange, J. Comput. Graph. Stat. 28 (2019) 350);
// pairs of steps are stretched as Varadhan and Roland do (Scand. J. Stat. 35 (2008)
// 335). It starts from the present ones and is false when the unknowns are not
// told apart or ctx has ended.
func (m *model) estimate(ctx context.Context) bool {
	seen := m.seen()
	floor := math.Log(varianceFloor*seen + math.SmallestNonzeroFloat64)
	start := m.start(floor)
	for range mostRounds {
		if ctx.Err() != nil {
			return false
		}
		first, ok := m.step(start, floor)
		if !ok {
			return false
		}
		second, _ := m.step(first, floor)
		low := m.likelihood
		ahead := stretch(start, first, second, floor)
		next, ok := m.step(ahead, floor)
		if !ok || m.likelihood < low {
			next = second
		}
		var moved float64
		for k := range next {
			moved = math.Max(moved, math.Abs(math.Exp(next[k])-math.Exp(start[k])))
		}
		start = next
		if !(moved > varianceTolerance*seen) {
			break
		}
	}
	m.put(start, floor)
	return m.sweep()
}

// seen is the mean square of all rows.
func (m *model) seen() float64 {
	var sum, count float64
	for _, g := range m.groups {
		for i := range g.rows {
			sum += g.rows[i].y * g.rows[i].y
			count++
		}
	}
	return sum / count
}

// start gives the present variances.
func (m *model) start(floor float64) variances {
	var v variances
	for k := range 3 {
		v[k] = math.Max(math.Log(m.between[k]), floor)
		v[3+k] = math.Max(math.Log(m.within[k]), floor)
	}
	return v
}

// put sets the variances; what is not to be estimated, or at the floor, is none.
func (m *model) put(v variances, floor float64) {
	value := func(k int) float64 {
		if !m.free[k] || v[k] <= floor {
			return 0
		}
		return math.Exp(v[k])
	}
	for k := range 3 {
		m.between[k], m.within[k] = value(k), value(3+k)
	}
}

// step is one step of the search.
func (m *model) step(v variances, floor float64) (variances, bool) {
	m.put(v, floor)
	if !m.sweep() {
		return v, false
	}
	var have, expect [6]float64
	for _, g := range m.groups {
		tug := m.tug(g)
		for k := range 3 {
			have[k] += tug[k] * tug[k]
			expect[k] += g.leverage[k][k]
		}
		m.eachRow(g, func(i int, py, pii float64) {
			for k, x := range g.rows[i].x {
				have[3+k] += x * x * py * py
				expect[3+k] += x * x * pii
			}
		})
	}
	for k := range v {
		if m.free[k] && expect[k] > 0 && have[k] > 0 {
			v[k] = math.Max(floor, v[k]+math.Log(have[k]/expect[k])/2)
		}
	}
	return v, true
}

// stretch goes further the way that two steps went.
func stretch(start, first, second variances, floor float64) variances {
	var rr, vv float64
	var r, v variances
	for k := range r {
		r[k] = first[k] - start[k]
		v[k] = second[k] - first[k] - r[k]
		rr += r[k] * r[k]
		vv += v[k] * v[k]
	}
	const furthest = 64
	a := furthest * 1.0
	if vv > 0 {
		a = math.Min(a, math.Sqrt(rr/vv))
	}
	if a <= 1 {
		return second
	}
	out := start
	for k := range out {
		out[k] = math.Max(floor, start[k]+2*a*r[k]+a*a*v[k])
	}
	return out
}
