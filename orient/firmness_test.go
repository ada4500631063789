package orient

import (
	"math"
	"testing"
)

// The covering is even: every weight averages 1/n, and the share of points in
// which the first weight is over x is (1-x)^(n-1), the tail of the marginal Beta(1, n-1)
// of the uniform distribution on the simplex.
func TestSimplexIsCoveredEvenly(t *testing.T) {
	var mean [priorityCount]float64
	over := 0
	const x = 0.3
	for n := range weightings {
		w := simplexPoint(n)
		var sum float64
		for i, v := range w {
			if v < 0 {
				t.Fatalf("point %d has a negative weight: %v", n, w)
			}
			mean[i] += v / weightings
			sum += v
		}
		if math.Abs(sum-1) > 1e-12 {
			t.Fatalf("point %d sums to %g", n, sum)
		}
		if w[0] > x {
			over++
		}
	}
	for i, m := range mean {
		if math.Abs(m-1/float64(priorityCount)) > 0.005 {
			t.Errorf("weight %d averages %.4f, want 1/%d", i, m, priorityCount)
		}
	}
	if got, want := float64(over)/weightings, math.Pow(1-x, float64(priorityCount)-1); math.Abs(got-want) > 0.01 {
		t.Errorf("%.4f of the points have a first weight over %g, want %.4f", got, x, want)
	}
}

// Of two candidates, one better by a in one priority and the other by b in
// another, the first wins where a w1 > b w2: for a = b in half of the weightings,
// for a = 3 b in three quarters (w1 and w2 are exchangeable with an exponential
// ratio: P(w1/w2 > b/a) = a/(a+b)).
func TestFirstShares(t *testing.T) {
	for _, tt := range []struct{ a, b, want float64 }{{0.2, 0.2, 0.5}, {0.3, 0.1, 0.75}, {0.1, 0.3, 0.25}} {
		candidate := func(support, sag float64) Candidate {
			c := Candidate{Terms: make([]Term, priorityCount)}
			c.Terms[LessSupport].Value, c.Terms[LessSag].Value = support, sag
			return c
		}
		all := []Candidate{candidate(0.1, 0.1+tt.b), candidate(0.1+tt.a, 0.1)}
		firmness(all)
		if math.Abs(all[0].FirstShare-tt.want) > 0.01 || math.Abs(all[0].FirstShare+all[1].FirstShare-1) > 1e-9 {
			t.Errorf("better by %g and %g: shares %.3f and %.3f, want %.3f first", tt.a, tt.b, all[0].FirstShare, all[1].FirstShare, tt.want)
		}
	}
}

// What fails a gate that another passes is never first.
func TestFailingCandidatesAreNeverFirst(t *testing.T) {
	good, cheap := Candidate{Terms: make([]Term, priorityCount)}, Candidate{Terms: make([]Term, priorityCount)}
	good.Terms[LessSag].Value = 0.9
	cheap.verdict.falls = true
	all := []Candidate{cheap, good}
	firmness(all)
	if all[0].FirstShare != 0 || all[1].FirstShare != 1 {
		t.Errorf("shares %g and %g, want 0 and 1", all[0].FirstShare, all[1].FirstShare)
	}
}
