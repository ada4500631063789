package orient

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
)

// explain writes the reasons of every candidate: against the as-loaded
// orientation and against the runner-up (for the first, the second; for the
// others, the first).
func explain(a *Advice) {
	a.judgeDimensions()
	loaded := a.AsLoaded()
	for i := range a.Candidates {
		c := &a.Candidates[i]
		c.Reasons = c.Reasons[:0:0]
		c.Reasons = append(c.Reasons, failingGates(c)...)
		c.Reasons = append(c.Reasons, standing(c))
		if doubt := c.Measures.unsettled(); doubt != "" {
			c.Reasons = append(c.Reasons, doubt)
		}
		if c.Resting != nil && c.Resting.Chosen > 0 {
			c.Reasons = append(c.Reasons, c.Resting.Reason)
		}
		for _, d := range c.Dimensions {
			c.Reasons = append(c.Reasons, d.String())
		}
		if c.Rank == 1 && c.FirstShare > 0 && len(a.Candidates) > 1 {
			c.Reasons = append(c.Reasons, fmt.Sprintf("First in %.0f %% of all weightings of the priorities.", 100*c.FirstShare))
		}
		if loaded != nil && loaded != c {
			c.Reasons = append(c.Reasons, against(c, loaded, "as loaded")...)
		}
		if rival := a.Rival(c); rival != nil && rival != loaded {
			c.Reasons = append(c.Reasons, against(c, rival, fmt.Sprintf("no. %d", rival.Rank))...)
		}
	}
}

// Rival gives the candidate that c is compared with besides the as-loaded one:
// the second for the first, the first for all others; nil where c stands alone.
func (a *Advice) Rival(c *Candidate) *Candidate {
	for i := range a.Candidates {
		if o := &a.Candidates[i]; o.Rank != c.Rank {
			return o
		}
	}
	return nil
}

// failingGates gives the reasons of the gates that c does not pass.
func failingGates(c *Candidate) []string {
	var out []string
	for _, g := range c.Gates {
		switch g.State {
		case Failed:
			out = append(out, fmt.Sprintf("Fails the gate \"%s\": %s", g.Name, lowerFirst(g.Reason)))
		case Doubtful:
			out = append(out, fmt.Sprintf("In doubt at the gate \"%s\": %s", g.Name, lowerFirst(g.Reason)))
		}
	}
	return out
}

// standing says what the candidate is by itself.
func standing(c *Candidate) string {
	m := &c.Measures
	if m.SupportVolumeMM3 < 0.5 {
		return fmt.Sprintf("Needs no support; rests on %s and tips at %.0f deg.", area(m.FootprintMM2), m.TipAngleDeg)
	}
	return fmt.Sprintf("Needs %s of support under %s of overhang; rests on %s and tips at %.0f deg.",
		volume(m.SupportVolumeMM3), area(m.OverhangAreaMM2), area(m.FootprintMM2), m.TipAngleDeg)
}

// quantity is one measure as reasons speak of it. Less is better for all.
type quantity struct {
	priority Priority
	value    func(*Measures) float64
	// noise is the difference that is not worth a sentence.
	noise float64
	// less and more read on after a percentage, or after a number where a
	// percentage of nothing would be meant.
	less, more string
	unit       func(float64) string
	// sag is true for the one that is not told in millimetres past a collapse.
	sag bool
}

// quantities lists what reasons are made of.
func quantities() []quantity {
	return []quantity{
		{LessSupport, func(m *Measures) float64 { return m.SupportVolumeMM3 }, 5, "less support", "more support", volume, false},
		{LessSupport, func(m *Measures) float64 { return m.SupportContactMM2 }, 5, "less face scarred by support", "more face scarred by support", area, false},
		{LessSupport, func(m *Measures) float64 { return m.MarkedScarMM2 }, 1, "less scar on faces to keep clean", "more scar on faces to keep clean", area, false},
		{SmootherFaces, func(m *Measures) float64 { return m.MarkedStepMM }, 0.003, "lower steps on the smooth faces", "higher steps on the smooth faces", length3, false},
		{LessSag, func(m *Measures) float64 { return 1 - m.FootShare }, 0.02, "less of the preferred foot off the plate", "more of the preferred foot off the plate", percent, false},
		{StrongerAlongLoad, func(m *Measures) float64 { return 1 - m.LoadStrength }, 0.02, "less strength lost along the load (estimate)", "more strength lost along the load (estimate)", percent, false},
		{LessSag, func(m *Measures) float64 { return m.SagMM }, 0.02, "less sag (estimate)", "more sag (estimate)", length2, true},
		{ShorterPrint, func(m *Measures) float64 { return m.PrintTimeS }, 300, "shorter print (estimate)", "longer print (estimate)", hours, false},
		{ShorterPrint, func(m *Measures) float64 { return m.HeightMM }, 2, "lower", "taller", length1, false},
		{SmootherFaces, func(m *Measures) float64 { return m.StepHeightMM }, 0.003, "lower layer steps", "higher layer steps", length3, false},
		{TruerDimensions, func(m *Measures) float64 { return m.DimensionSpreadMM }, 0.01, "less spread of dimensions", "more spread of dimensions", length2, false},
		{LessSag, func(m *Measures) float64 { return m.SetterTravelMM }, 0.5, "less travel on the setter", "more travel on the setter", length1, false},
	}
}

// worthTelling is the relative difference below which nothing is said.
const worthTelling = 0.05

// against gives up to two sentences: what c gains over o and what it gives up.
func against(c, o *Candidate, name string) []string {
	var gains, losses []difference
	var out []string
	if here, there := c.Measures.SagCollapses, o.Measures.SagCollapses; here != there {
		if here {
			out = append(out, fmt.Sprintf("Unlike %s it collapses in the furnace (estimate).", name))
		} else {
			out = append(out, fmt.Sprintf("Unlike %s it does not collapse in the furnace (estimate).", name))
		}
	}
	for _, q := range quantities() {
		if q.sag && (c.Measures.SagCollapses || o.Measures.SagCollapses) {
			continue // past small displacements millimetres mean nothing
		}
		d := difference{q: q, here: q.value(&c.Measures), there: q.value(&o.Measures), weight: c.Terms[q.priority].Weight}
		if math.Abs(d.here-d.there) < q.noise || d.relative() < worthTelling {
			continue
		}
		if d.here < d.there {
			gains = append(gains, d)
		} else {
			losses = append(losses, d)
		}
	}
	if len(gains) > 0 {
		out = append(out, fmt.Sprintf("Against %s it gains: %s.", name, list(gains)))
	}
	if len(losses) > 0 {
		out = append(out, fmt.Sprintf("Against %s it gives up: %s.", name, list(losses)))
	}
	if len(out) == 0 {
		out = append(out, fmt.Sprintf("Against %s it makes no difference worth telling.", name))
	}
	return out
}

// difference is one measure of two candidates.
type difference struct {
	q           quantity
	here, there float64
	weight      float64
}

// relative gives the change as a share of the larger value.
func (d difference) relative() float64 {
	return math.Abs(d.here-d.there) / max(math.Abs(d.here), math.Abs(d.there))
}

// String reads like "83 % less support (1250 against 7400 mm3)".
func (d difference) String() string {
	word := d.q.less
	if d.here > d.there {
		word = d.q.more
	}
	pair := fmt.Sprintf("(%s against %s)", d.q.unit(d.here), d.q.unit(d.there))
	switch share := math.Abs(d.here-d.there) / d.there; {
	case math.IsInf(share, 0) || math.IsNaN(share) || share > 9.995:
		return word + " " + pair
	default:
		return fmt.Sprintf("%.0f %% %s %s", 100*share, word, pair)
	}
}

// list writes the differences, the weightiest first, at most four.
func list(ds []difference) string {
	slices.SortStableFunc(ds, func(a, b difference) int {
		return cmp.Compare(b.weight*b.relative(), a.weight*a.relative())
	})
	words := make([]string, 0, 4)
	for _, d := range ds[:min(len(ds), 4)] {
		words = append(words, d.String())
	}
	return strings.Join(words, "; ")
}

func volume(v float64) string {
	if v >= 10000 {
		return fmt.Sprintf("%.1f cm3", v/1000)
	}
	return fmt.Sprintf("%.0f mm3", v)
}

func percent(v float64) string { return fmt.Sprintf("%.0f %%", 100*v) }
func area(v float64) string    { return fmt.Sprintf("%.0f mm2", v) }
func hours(v float64) string   { return fmt.Sprintf("%.1f h", v/3600) }
func length1(v float64) string { return fmt.Sprintf("%.1f mm", v) }
func length2(v float64) string { return fmt.Sprintf("%.2f mm", v) }
func length3(v float64) string { return fmt.Sprintf("%.3f mm", v) }

// lowerFirst lets a sentence follow a colon.
func lowerFirst(s string) string {
	if s == "" {
		return s
	}
	return strings.ToLower(s[:1]) + s[1:]
}
