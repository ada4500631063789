package process

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"maps"
	"math"
	"slices"
)

// Outlier is a reading, or an axis of a whole firing, that lies too far from what
// all others say.
type Outlier struct {
	Firing string
	// Index is the reading in the list given, and Name its name; -1 and empty when
	// the whole firing lies off along Axis (0, 1, 2 for X, Y, Z).
	Index int
	Name  string
	Axis  int
	// Off is how far it lies from what the others predict, as a fraction of
	// shrinkage.
	Off float64
	// T is the externally studentised residual, with Freedom degrees of freedom;
	// Limit is the value that it exceeds.
	T, Freedom, Limit float64
}

// OutlierLevel is how often any outlier is named where there is none (common
// practice; half of it for single readings, half for whole firings).
const OutlierLevel = 0.05

// Outliers are looked for among a tenth of the readings, and ten at most: beyond,
// it is the process that varies, not a slip. Judgement.
const (
	outlierShare = 0.1
	mostOutliers = 10
)

// Text names the outlier in a sentence.
func (o Outlier) Text() string {
	what := fmt.Sprintf("%s of firing %s", o.Name, o.Firing)
	if o.Index < 0 {
		what = fmt.Sprintf("firing %s as a whole along %s", o.Firing, string("XYZ"[o.Axis]))
	} else if o.Name == "" {
		what = "a reading of firing " + o.Firing
	}
	return fmt.Sprintf("%s is off by %+.2f points of shrinkage (studentised residual %.1f, limit %.1f)", what, 100*o.Off, o.T, o.Limit)
}

// suspect is a candidate with its residual by the variances at hand.
type suspect struct {
	Outlier
	residual float64 // standardised
}

// outliers takes away the reading or firing that lies furthest, one after the
// other, and tests each against what is then left: the residual over its own error
// with the variances found without it, against Student's t at a level shared among
// all candidates (externally studentised residual with Bonferroni's bound: Cook and
// Weisberg, Residuals and Influence in Regression, 1982, section 2.2; for one
// reading or mean per firing it is Grubbs's test, Technometrics 11 (1969) 1). Taking
// away first and deciding backwards keeps outliers from hiding each other, after
// Rosner, Technometrics 25 (1983) 165. The model full is used up.
func (s *survey) outliers(ctx context.Context, full *model) ([]Outlier, error) {
	trial := *s
	without := map[int]bool{}
	var tried []suspect
	named := 0
	now := full
	most := min(mostOutliers, max(1, int(outlierShare*float64(full.rowCount()))))
	for range most {
		top, ok := now.furthest()
		if !ok {
			break
		}
		for _, i := range now.rowsOf(top) {
			without[i] = true
		}
		next, err := trial.fit(ctx, now.columns, without)
		if errors.Is(err, errNotTold) {
			break // the rest hangs on it
		}
		if err != nil {
			return nil, err
		}
		tested := now.test(top, next)
		tried = append(tried, tested)
		if tested.beyond() {
			named = len(tried)
		}
		now = next
	}
	return trial.confirm(ctx, full.columns, trial.joined(tried[:named]))
}

// beyond tells whether the candidate is past its limit.
func (o Outlier) beyond() bool { return math.Abs(o.T) > o.Limit }

// joined makes one of the readings of a firing that were all found off the same
// way along an axis: it is the firing that was off.
func (s *survey) joined(found []suspect) []suspect {
	m := s.model(s.columns(nil), nil)
	var out []suspect
	taken := map[string]bool{}
	for _, f := range found {
		same := 0
		for _, other := range found {
			if other.Index >= 0 && other.Firing == f.Firing && other.Axis == f.Axis && other.Off*f.Off > 0 {
				same++
			}
		}
		if f.Index < 0 || same < 2 || same < len(m.rowsOf(f.wholeFiring())) {
			out = append(out, f)
			continue
		}
		key := fmt.Sprint(f.Firing, f.Axis)
		if !taken[key] {
			out = append(out, f.wholeFiring())
		}
		taken[key] = true
	}
	return out
}

// wholeFiring is the candidate of the firing along the axis.
func (s suspect) wholeFiring() suspect {
	return suspect{Outlier: Outlier{Firing: s.Firing, Index: -1, Axis: s.Axis}}
}

// confirm tests each of those found against all that are not, once more, and keeps
// those past their limit, the furthest first.
func (s *survey) confirm(ctx context.Context, columns []column, found []suspect) ([]Outlier, error) {
	all := s.model(columns, nil)
	gone := map[int]bool{}
	for _, f := range found {
		for _, i := range all.rowsOf(f) {
			gone[i] = true
		}
	}
	rest, err := s.fit(ctx, columns, gone)
	if err != nil {
		return nil, err
	}
	var out []Outlier
	for _, f := range found {
		others := maps.Clone(gone)
		for _, i := range all.rowsOf(f) {
			delete(others, i)
		}
		o := s.model(columns, others).test(f, rest).Outlier
		if !o.beyond() {
			continue
		}
		if o.Index >= 0 {
			o.Name = s.readings[o.Index].Name
		}
		out = append(out, o)
	}
	slices.SortStableFunc(out, func(a, b Outlier) int { return cmp.Compare(math.Abs(b.T), math.Abs(a.T)) })
	return out, nil
}

func (m *model) rowCount() int {
	n := 0
	for _, g := range m.groups {
		n += len(g.rows)
	}
	return n
}

// candidates goes through all readings, and through the axes of whole firings
// that are measured more than once: P y over the root of its variance is the
// residual of each from what all others say, over its error.
func (m *model) candidates(visit func(s suspect)) {
	for _, g := range m.groups {
		m.eachRow(g, func(i int, py, pii float64) {
			if pii > 0 {
				visit(suspect{Outlier{Firing: g.firing, Index: g.rows[i].index, Axis: g.rows[i].leading(), Off: py / pii}, py / math.Sqrt(pii)})
			}
		})
		tug := m.tug(g)
		for k := range 3 {
			if v := g.leverage[k][k]; g.led(k) > 1 && v > fullLeverage*g.held[k][k] {
				visit(suspect{Outlier{Firing: g.firing, Index: -1, Axis: k, Off: tug[k] / v}, tug[k] / math.Sqrt(v)})
			}
		}
	}
}

// leading is the axis that a row bears on most.
func (r *row) leading() int {
	share, out := r.share(), 0
	for k, v := range share {
		if v > share[out] {
			out = k
		}
	}
	return out
}

// led counts the rows that bear on an axis most.
func (g *group) led(axis int) int {
	n := 0
	for i := range g.rows {
		if g.rows[i].leading() == axis {
			n++
		}
	}
	return n
}

// furthest is the candidate with the largest residual.
func (m *model) furthest() (top suspect, ok bool) {
	m.candidates(func(s suspect) {
		if !ok || math.Abs(s.residual) > math.Abs(top.residual) {
			top, ok = s, true
		}
	})
	return top, ok
}

// rowsOf lists the readings that make up a candidate.
func (m *model) rowsOf(s suspect) []int {
	if s.Index >= 0 {
		return []int{s.Index}
	}
	var out []int
	for _, g := range m.groups {
		for i := range g.rows {
			if g.firing == s.Firing && g.rows[i].leading() == s.Axis {
				out = append(out, g.rows[i].index)
			}
		}
	}
	return out
}

// test judges a candidate of m by the variances of rest, the fit without it.
func (m *model) test(top suspect, rest *model) suspect {
	m.between, m.within = rest.between, rest.within
	out := top
	if !m.sweep() {
		return out
	}
	count := 0
	m.candidates(func(s suspect) {
		if (s.Index < 0) == (top.Index < 0) {
			count++
		}
		if s.Index == top.Index && s.Firing == top.Firing && (s.Index >= 0 || s.Axis == top.Axis) {
			out.Off, out.T = s.Off, s.residual
		}
	})
	out.Freedom = rest.outlierFreedom(top)
	level := OutlierLevel / 2 / float64(count)
	out.Limit = studentQuantile(1-level, out.Freedom)
	return out
}

// outlierFreedom is that of the variance that a candidate is held against: among
// the readings of firings when it has fellows of its axis in its own, among firings
// otherwise. Where the instrument makes up most of the variance it is known better
// than that, and the test errs towards naming too little.
func (m *model) outlierFreedom(s suspect) float64 {
	c := m.count(s.Axis)
	fellows := 0
	for _, g := range m.groups {
		if g.firing == s.Firing {
			fellows = g.led(s.Axis)
		}
	}
	freedom := c.firings - 1
	if s.Index >= 0 && fellows > 0 && c.readings-c.firings > 0 {
		freedom = c.readings - c.firings
	}
	return math.Max(freedom, 1)
}
