package process

import (
	"context"
	"errors"
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Drift is the change of an axis over time, a straight line through its firings.
type Drift struct {
	// Per30Days is the slope, as a fraction in 30 days, with its standard error;
	// NaN when the firings cannot give it, and Why is the sentence that says so.
	Per30Days, StandardError float64
	// T is the slope over its error, Student's t with Freedom degrees of freedom; P
	// is how often chance alone gives as much (two-sided).
	T, Freedom, P float64
	// Found tells that P is below DriftLevel shared among the axes tested
	// (Bonferroni).
	Found bool
	// Latest is where the line stands at the last firing, as a fraction.
	Latest float64
	Why    string
}

// DriftLevel is how often a drift is found on any axis where there is none
// (common practice).
const DriftLevel = 0.05

// A line needs as many firings to be judged, and as many days among them; fewer
// leave a degree of freedom or none.
const (
	driftFirings = 4
	driftDays    = 3
)

func noDrift(why string) Drift {
	n := math.NaN()
	return Drift{Per30Days: n, StandardError: n, T: n, Freedom: n, P: n, Latest: n, Why: why}
}

// drifts fits a line through the firings of every axis that has enough, with the
// spread between firings taken about the line.
func (s *survey) drifts(ctx context.Context, m *model, out *ShrinkageFit) error {
	var tested []int
	for k := range out.Axes {
		if !s.known[k] {
			continue
		}
		if why := m.driftless(k); why != "" {
			out.Axes[k].Drift = noDrift(why)
			continue
		}
		tested = append(tested, k)
	}
	if len(tested) == 0 {
		return nil
	}
	line := *s // the estimates of the fit stay as they are
	columns := line.columns(tested)
	trend, err := line.fit(ctx, columns, nil)
	if errors.Is(err, errNotTold) {
		for _, k := range tested {
			out.Axes[k].Drift = noDrift("the firings do not tell drift and shrinkage apart")
		}
		return nil
	}
	if err != nil {
		return err
	}
	span := math.Max(days(out.First, out.Last), 1)
	for i, c := range columns {
		if c.drift {
			d := trend.drift(i, span)
			d.Latest = line.shrink[c.axis] + trend.beta[i]/2 // half the span after the middle
			d.Found = d.P < DriftLevel/float64(len(tested))
			out.Axes[c.axis].Drift = d
		}
	}
	return nil
}

// drift judges the slope at the unknown i, which is per span of days.
func (m *model) drift(i int, span float64) Drift {
	var d Drift
	d.StandardError, d.Freedom = m.certainty(i)
	d.T = m.beta[i] / d.StandardError
	d.P = 2 * distuv.StudentsT{Sigma: 1, Nu: d.Freedom}.Survival(math.Abs(d.T))
	const month = 30
	d.Per30Days, d.StandardError = m.beta[i]/span*month, d.StandardError/span*month
	return d
}

// driftless says why an axis cannot be judged; empty when it can.
func (m *model) driftless(axis int) string {
	firings, dated := 0, map[string]bool{}
	for _, g := range m.groups {
		bears := false
		for i := range g.rows {
			bears = bears || g.rows[i].share()[axis] >= bearingShare
		}
		if !bears {
			continue
		}
		if g.date.IsZero() {
			return "a firing has no date"
		}
		firings++
		dated[g.date.Format("2006-01-02")] = true
	}
	if firings < driftFirings || len(dated) < driftDays {
		return "it takes four firings on three days or more to see one"
	}
	return ""
}
