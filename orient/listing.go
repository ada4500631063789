package orient

import "slices"

// listed picks what is worth showing, in the order of the rank: what did not come
// from the search, and of that up to n ways that differ in kind. Ways that stand by
// themselves while they are printed go before those that need supports and a raft for
// it, of which only those that nothing else outdoes and that come near the first are
// worth a thought. At most one
// way that fails is among them, unless all fail; what falls over is shown where there
// is nothing else. The candidates must be ranked.
func listed(all []Candidate, n int) []Candidate {
	l := listing{all: all, most: n, taken: make([]bool, len(all))}
	good := slices.ContainsFunc(all, func(c Candidate) bool { return c.verdict.grade() <= gradeDoubtful })
	l.take(n, func(c *Candidate) bool { return c.Rank == 1 })
	l.take(n, func(c *Candidate) bool { return c.verdict.grade() <= gradeDoubtful && c.stands() })
	l.take(n, func(c *Candidate) bool { return c.verdict.grade() <= gradeDoubtful && l.worth(c) })
	failing := n
	if good {
		failing = 1
	}
	l.take(failing, func(c *Candidate) bool { return c.verdict.grade() == gradeFails && c.stands() })
	if !good || l.failing() == 0 {
		l.take(failing, func(c *Candidate) bool { return c.verdict.grade() == gradeFails && l.worth(c) })
	}
	if !slices.ContainsFunc(all, func(c Candidate) bool { return c.verdict.grade() < gradeFalls }) {
		l.take(n, func(*Candidate) bool { return true }) // by the estimate; the furnace solved may save one
	}
	var out []Candidate
	for i, c := range all {
		if c.Origin != FromSearch || l.taken[i] {
			out = append(out, c)
		}
	}
	for i := range out {
		out[i].Rank = i + 1
	}
	return out
}

// listing is a choice among ranked candidates.
type listing struct {
	all         []Candidate
	taken       []bool
	count, most int
}

// take takes up to n more of the search that are wanted and differ from those taken.
func (l *listing) take(n int, wanted func(*Candidate) bool) {
	for i := range l.all {
		c := &l.all[i]
		if n == 0 || l.count == l.most {
			return
		}
		if c.Origin != FromSearch || l.taken[i] || !wanted(c) || l.near(c) {
			continue
		}
		l.taken[i] = true
		l.count++
		n--
	}
}

// nearFirst is how much more than the first a leaning way may weigh and still be worth
// a thought (judgement).
const nearFirst = 0.1

// worth reports whether a leaning way is worth a thought.
func (l *listing) worth(c *Candidate) bool {
	return c.OnFront && c.merit() <= l.all[0].merit()+nearFirst
}

// failing counts those taken that fail.
func (l *listing) failing() int {
	n := 0
	for i := range l.all {
		if l.taken[i] && l.all[i].verdict.grade() >= gradeFails {
			n++
		}
	}
	return n
}

// otherKindDeg is how far apart build directions have to be for two ways to differ in
// kind, degrees (judgement); two flats to stand on differ as soon as they are two.
const otherKindDeg = 20

// near reports whether one that is taken is of the same kind.
func (l *listing) near(c *Candidate) bool {
	for i := range l.all {
		o := &l.all[i]
		if !l.taken[i] || c.stands() && o.stands() {
			continue
		}
		if angleBetween(c.Pose.Up(), o.Pose.Up()) < otherKindDeg {
			return true
		}
	}
	return false
}
