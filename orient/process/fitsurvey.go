package process

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"gonum.org/v1/gonum/mat"
)

// survey is the readings sorted by firing, and what they can tell.
type survey struct {
	readings []Reading
	batches  []batch
	start    [3]float64
	known    [3]bool
	why      [3]string
	shrink   [3]float64 // the latest estimate, at which rows are made
}

// batch is one firing: its readings by index.
type batch struct {
	firing  string
	date    time.Time
	indices []int
}

// The share of an axis in a reading above which it bears on the axis, and below
// which it is as good as straight across it (4 degrees). Judgement.
const (
	bearingShare = 0.2
	strayShare   = 0.005
)

// share gives how much of a reading each axis makes up, in squares: they sum to
// one.
func (r *row) share() (out [3]float64) {
	sum := dot(r.x, r.x)
	for k, x := range r.x {
		out[k] = x * x / sum
	}
	return out
}

// newSurvey sorts out what can be used; the rest is noted in f.
func newSurvey(readings []Reading, start [3]float64, f *ShrinkageFit) *survey {
	s := &survey{readings: readings, start: start}
	for k, v := range s.start {
		if !(v > 0 && v < 0.5) {
			s.start[k] = usualStart
		}
	}
	s.shrink = s.start
	var usable []int
	for i, r := range readings {
		if r.LeftOut {
			continue
		}
		if err := r.Check(); err != nil {
			f.Skipped = append(f.Skipped, Skipped{i, fmt.Sprintf("%s: %v", r.label(), err)})
			continue
		}
		usable = append(usable, i)
	}
	usable = s.tell(usable, f)
	f.Readings = len(usable)
	s.batches = batches(readings, usable)
	return s
}

// label names a reading in messages.
func (r Reading) label() string {
	name := r.Name
	if name == "" {
		name = "a reading"
	}
	return fmt.Sprintf("%s of firing %s", name, r.Firing)
}

// batches sorts readings by firing, and firings by date, then name. Within a
// firing they are sorted too, so that the order given does not matter even in the
// last digit.
func batches(readings []Reading, usable []int) []batch {
	byFiring := map[string]*batch{}
	var order []string
	for _, i := range usable {
		r := &readings[i]
		b, ok := byFiring[r.Firing]
		if !ok {
			b = &batch{firing: r.Firing, date: r.Date}
			byFiring[r.Firing] = b
			order = append(order, r.Firing)
		}
		if !r.Date.IsZero() && (b.date.IsZero() || r.Date.Before(b.date)) {
			b.date = r.Date
		}
		b.indices = append(b.indices, i)
	}
	out := make([]batch, 0, len(order))
	for _, firing := range order {
		b := byFiring[firing]
		slices.SortFunc(b.indices, func(i, j int) int {
			p, q := &readings[i], &readings[j]
			return cmp.Or(cmp.Compare(p.Name, q.Name), cmp.Compare(p.GreenMM, q.GreenMM), cmp.Compare(p.SinteredMM, q.SinteredMM), cmp.Compare(i, j))
		})
		out = append(out, *b)
	}
	slices.SortFunc(out, func(a, b batch) int { return cmp.Or(a.date.Compare(b.date), cmp.Compare(a.firing, b.firing)) })
	return out
}

// tell finds which axes the readings tell, and drops those that hang on the
// others.
func (s *survey) tell(usable []int, f *ShrinkageFit) []int {
	s.known = [3]bool{true, true, true}
	for {
		rows := make([]row, len(usable))
		for i, index := range usable {
			rows[i] = s.readings[index].line(s.start)
		}
		why := untold(rows, s.known)
		if len(why) == 0 {
			return usable
		}
		for k, text := range why {
			s.known[k], s.why[k] = false, text
		}
		usable = slices.DeleteFunc(usable, func(index int) bool {
			r := s.readings[index].line(s.start)
			for k, share := range r.share() {
				if !s.known[k] && share > strayShare {
					f.Skipped = append(f.Skipped, Skipped{index, s.readings[index].label() + " runs along an axis that is not known"})
					return true
				}
			}
			return false
		})
	}
}

// untold gives the axes of those known that rows do not tell, with the reason.
// Columns that nearly depend on each other show as a small eigenvalue of their
// correlation; its eigenvector names them (Belsley, Kuh and Welsch, Regression
// Diagnostics, 1980, on the condition index; the limit of 100 is judgement).
func untold(rows []row, known [3]bool) map[int]string {
	out := map[int]string{}
	var moments three
	var reached [3]bool
	for i := range rows {
		moments.addOuter(rows[i].x, 1)
		for k, share := range rows[i].share() {
			reached[k] = reached[k] || share >= bearingShare
		}
	}
	var axes []int
	for k := range 3 {
		if known[k] && !reached[k] {
			out[k] = "no dimension along it was measured both green and sintered"
		} else if known[k] {
			axes = append(axes, k)
		}
	}
	for _, together := range tangled(&moments, axes) {
		var names []string
		for _, k := range together {
			names = append(names, string("XYZ"[k]))
		}
		for _, k := range together {
			out[k] = fmt.Sprintf("the readings do not tell %s apart; measure one straight along each", strings.Join(names, " and "))
		}
	}
	return out
}

// tangled gives the sets of axes whose columns nearly depend on each other.
func tangled(moments *three, axes []int) [][]int {
	const leastEigenvalue, leastPart = 1e-4, 0.05
	if len(axes) == 0 {
		return nil
	}
	correlation := mat.NewSymDense(len(axes), nil)
	for i, k := range axes {
		for j, l := range axes[i:] {
			correlation.SetSym(i, i+j, moments[k][l]/math.Sqrt(moments[k][k]*moments[l][l]))
		}
	}
	var e mat.EigenSym
	if !e.Factorize(correlation, true) {
		return nil
	}
	var v mat.Dense
	e.VectorsTo(&v)
	var out [][]int
	for c, value := range e.Values(nil) {
		if value > leastEigenvalue {
			continue
		}
		var together []int
		for i, k := range axes {
			if math.Abs(v.At(i, c)) > leastPart {
				together = append(together, k)
			}
		}
		out = append(out, together)
	}
	return out
}

func (s *survey) anyKnown() bool { return len(s.batches) > 0 && s.known != [3]bool{} }

// columns are the unknowns: the known axes, and the drift of those that have it.
func (s *survey) columns(drift []int) []column {
	var out []column
	for k, known := range s.known {
		if known {
			out = append(out, column{axis: k})
		}
	}
	for _, k := range drift {
		out = append(out, column{axis: k, drift: true})
	}
	return out
}

// dates gives the first and the last date.
func (s *survey) dates() (first, last time.Time) {
	for _, b := range s.batches {
		if b.date.IsZero() {
			continue
		}
		if first.IsZero() {
			first = b.date
		}
		last = b.date
	}
	return first, last
}

// model makes the model about the latest shrinkage of all readings but those
// left out.
func (s *survey) model(columns []column, without map[int]bool) *model {
	m := &model{columns: columns}
	first, last := s.dates()
	span := math.Max(days(first, last), 1)
	for _, b := range s.batches {
		g := &group{firing: b.firing, date: b.date, when: days(first, b.date)/span - 0.5}
		for _, i := range b.indices {
			if without[i] {
				continue
			}
			r := s.readings[i].line(s.shrink)
			r.index = i
			for k, known := range s.known {
				if !known {
					r.x[k] = 0
				}
			}
			g.rows = append(g.rows, r)
		}
		if len(g.rows) > 0 {
			m.groups = append(m.groups, g)
		}
	}
	m.free = m.estimable()
	return m
}

func days(from, to time.Time) float64 { return to.Sub(from).Hours() / 24 }

// estimable tells which variances the readings can give: between firings where
// two or more bear on the axis, within where one of them measured it twice.
func (m *model) estimable() (free [6]bool) {
	const twice = 0.5 // readings more than firings, to say so
	for k := range 3 {
		c := m.count(k)
		free[k] = c.firings > 1
		free[3+k] = c.weight-c.firings >= twice
	}
	return free
}

// tally is what bears on an axis.
type tally struct {
	firings, readings float64
	weight            float64 // readings by their share, at least one a firing
	instrument        float64 // mean variance by the instrument, by share
}

func (m *model) count(axis int) (c tally) {
	var shares float64
	for _, g := range m.groups {
		var here, weight float64
		for i := range g.rows {
			share := g.rows[i].share()[axis]
			c.instrument += share * g.rows[i].instrument
			shares += share
			if share >= bearingShare {
				here++
				weight += share
			}
		}
		if here > 0 {
			c.firings++
			c.readings += here
			c.weight += math.Max(weight, 1)
		}
	}
	c.instrument /= math.Max(shares, math.SmallestNonzeroFloat64)
	return c
}

// fit solves by Gauss-Newton: rows about the latest estimate, variances, estimate,
// until it stands. The variances hardly depend on where the rows are made linear,
// so they are left alone after the first rounds.
func (s *survey) fit(ctx context.Context, columns []column, without map[int]bool) (*model, error) {
	const most, varying, still = 20, 2, 1e-9
	var last *model
	for round := range most {
		m := s.model(columns, without)
		if last == nil {
			m.guess()
		} else {
			m.between, m.within = last.between, last.within
		}
		told := round < varying && m.estimate(ctx) || round >= varying && m.sweep()
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		if !told || !m.solve() {
			return nil, errNotTold
		}
		last = m
		var moved float64
		for i, c := range m.columns {
			if !c.drift {
				s.shrink[c.axis] = math.Min(math.Max(s.shrink[c.axis]+m.beta[i], 2*leastSeen), mostSeen)
				moved = math.Max(moved, math.Abs(m.beta[i]))
			}
		}
		if !(moved > still) {
			break
		}
	}
	return last, nil
}

// guess begins the search for the variances: what is seen, half of it each.
func (m *model) guess() {
	seen := m.seen()
	for k := range 3 {
		m.between[k], m.within[k] = seen/2, seen/2
	}
}
