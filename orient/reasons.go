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
		if a.Brief.isCoupon() && c.Origin == AsLoaded {
			c.Reasons = append(c.Reasons, couponReason)
		}
		c.Reasons = append(c.Reasons, failingGates(c)...)
		c.Reasons = append(c.Reasons, standing(c))
		if doubt := c.Measures.unsettled(); doubt != "" {
			c.Reasons = append(c.Reasons, doubt)
		}
		if c.Plan != nil {
			c.Reasons = append(c.Reasons, c.Plan.Doubts()...)
		}
		if c.Resting != nil && c.Resting.Chosen > 0 {
			c.Reasons = append(c.Reasons, c.Resting.Reason)
		}
		for _, d := range c.Dimensions {
			c.Reasons = append(c.Reasons, d.String())
		}
		if c.Rank == 1 && c.FirstShare > 0 && len(a.Candidates) > 1 {
			c.Reasons = append(c.Reasons, firstReason(a.Candidates, c))
		}
		if loaded != nil && loaded != c {
			c.Reasons = append(c.Reasons, against(c, loaded, "as loaded")...)
		}
		if rival := a.Rival(c); rival != nil && rival != loaded {
			c.Reasons = append(c.Reasons, against(c, rival, fmt.Sprintf("no. %d", rival.Rank))...)
		}
	}
}

// firstReason says how firmly the first is the first, and why where nothing else
// comes into question.
func firstReason(all []Candidate, first *Candidate) string {
	only := first.Passes() && !slices.ContainsFunc(all, func(o Candidate) bool { return o.Rank != first.Rank && o.Passes() })
	switch {
	case only:
		return "First whatever the priorities: no other way listed passes all gates."
	case first.FirstShare >= 0.995:
		return "First in all weightings of the priorities."
	default:
		return fmt.Sprintf("First in %.0f %% of all weightings of the priorities.", 100*first.FirstShare)
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

// failingGates gives the reasons of the gates that c does not pass, those that it fails
// first.
func failingGates(c *Candidate) []string {
	var out []string
	for _, g := range c.GatesIn(Failed) {
		out = append(out, fmt.Sprintf("Fails the gate \"%s\": %s", g.Name, g.told()))
	}
	for _, g := range c.GatesIn(Doubtful) {
		out = append(out, fmt.Sprintf("In doubt at the gate \"%s\": %s", g.Name, g.told()))
	}
	return out
}

// told gives the reason within a sentence, and what to do.
func (g Gate) told() string { return strings.TrimSpace(lowerFirst(g.Reason) + " " + g.Cure) }

// standing says what the candidate is by itself.
func standing(c *Candidate) string {
	m := &c.Measures
	u := unitsFor(m)
	foot := "rests on no face"
	switch area := u.area(m.FootprintMM2); {
	case m.FootprintMM2 < leastFootMM2:
	case isNought(area):
		foot = "rests on an edge or a point"
	default:
		foot = "rests on " + area
	}
	tips := fmt.Sprintf("tips at %.0f deg", m.TipAngleDeg)
	if m.TipAngleDeg <= 0 {
		tips = "tips over by itself"
	}
	needs := "Needs no support"
	if m.SupportVolumeMM3 >= 0.5 {
		needs = fmt.Sprintf("Needs %s of support under %s of overhang", u.volume(m.SupportVolumeMM3), u.area(m.OverhangAreaMM2))
	}
	return needs + "; " + foot + " and " + tips + "."
}

// leastFootMM2 is what counts as a face to rest on at all.
const leastFootMM2 = 0.5

// units are those of the numbers that stand together in sentences: one for volumes
// and one for areas.
type units struct{ centimetres bool }

// unitsFor suits the candidates that are spoken of.
func unitsFor(ms ...*Measures) units {
	return units{slices.ContainsFunc(ms, func(m *Measures) bool { return m.SupportVolumeMM3 >= 10000 })}
}

func (u units) volume(v float64) string {
	if u.centimetres {
		return fmt.Sprintf("%.1f cm3", v/1000)
	}
	return fmt.Sprintf("%.0f mm3", v)
}

func (u units) area(v float64) string {
	if u.centimetres {
		return fmt.Sprintf("%.1f cm2", v/100)
	}
	return fmt.Sprintf("%.0f mm2", v)
}

// quantity is one measure as reasons speak of it. Less is better for all.
type quantity struct {
	priority Priority
	value    func(*Candidate) float64
	// noise is the difference that is not worth a sentence.
	noise float64
	// less and more read on after a percentage, or after a number where a
	// percentage of nothing would be meant.
	less, more string
	unit       func(units, float64) string
	// tells is false for a candidate of which the measure says nothing; nil where it
	// always does.
	tells func(*Candidate) bool
}

// quantities lists what reasons are made of. What happens in the furnace is that of
// the pose to be laid down in.
func quantities() []quantity {
	type m = Measures
	of := func(read func(*m) float64) func(*Candidate) float64 {
		return func(c *Candidate) float64 { return read(&c.Measures) }
	}
	sag := func(c *Candidate) float64 { return c.Lies().SagMM }
	travel := func(c *Candidate) float64 { return c.Lies().TravelMM }
	return []quantity{
		{LessSupport, of(func(m *m) float64 { return m.SupportVolumeMM3 }), 5, "less support", "more support", units.volume, nil},
		{LessSupport, of(func(m *m) float64 { return m.SupportContactMM2 }), 5, "less face scarred by support", "more face scarred by support", units.area, nil},
		{LessSupport, of(func(m *m) float64 { return m.MarkedScarMM2 }), 1, "less scar on faces to keep clean", "more scar on faces to keep clean", units.area, nil},
		{SmootherFaces, of(func(m *m) float64 { return m.MarkedStepMM }), 0.003, "lower steps on the smooth faces", "higher steps on the smooth faces", length3, nil},
		{LessSag, of(func(m *m) float64 { return 1 - m.FootShare }), 0.02, "less of the preferred foot off the plate", "more of the preferred foot off the plate", percent, nil},
		{StrongerAlongLoad, of(func(m *m) float64 { return 1 - m.LoadStrength }), 0.02, "less strength lost along the load (estimate)", "more strength lost along the load (estimate)", percent, nil},
		{LessSag, sag, 0.02, "less sag (estimate)", "more sag (estimate)", length2, (*Candidate).keepsItsShape},
		{ShorterPrint, of(func(m *m) float64 { return m.PrintTimeS }), 300, "shorter print (estimate)", "longer print (estimate)", hours, nil},
		{ShorterPrint, of(func(m *m) float64 { return m.HeightMM }), 2, "lower", "taller", length1, nil},
		{SmootherFaces, of(func(m *m) float64 { return m.StepHeightMM }), 0.003, "lower layer steps", "higher layer steps", length3, nil},
		{TruerDimensions, of(func(m *m) float64 { return m.DimensionSpreadMM }), 0.01, "less spread of dimensions", "more spread of dimensions", length2, nil},
		{LessSag, travel, 0.5, "less travel on the setter", "more travel on the setter", length1, (*Candidate).standsOnAFoot},
	}
}

// keepsItsShape reports whether a number for the sag in the furnace means anything.
func (c *Candidate) keepsItsShape() bool { return c.Lies().KeepsItsShape() }

// standsOnAFoot reports whether there is a foot that travels on the setter.
func (c *Candidate) standsOnAFoot() bool {
	l := c.Lies()
	return l.Stands() && l.FootprintMM2 >= leastFootMM2
}

// worthTelling is the relative difference below which nothing is said.
const worthTelling = 0.05

// against gives up to two sentences: what c gains over o and what it gives up.
func against(c, o *Candidate, name string) []string {
	var gains, losses []difference
	var out []string
	if here, there := c.Lies().SagCollapses, o.Lies().SagCollapses; here != there {
		if here {
			out = append(out, fmt.Sprintf("Unlike %s it collapses in the furnace (estimate).", name))
		} else {
			out = append(out, fmt.Sprintf("Unlike %s it does not collapse in the furnace (estimate).", name))
		}
	}
	if s := standingAgainst(c, o, name); s != "" {
		out = append(out, s)
	}
	for _, q := range quantities() {
		if q.tells != nil && !(q.tells(c) && q.tells(o)) {
			continue
		}
		d := difference{q: q, units: unitsFor(&c.Measures, &o.Measures), here: q.value(c), there: q.value(o), weight: c.Terms[q.priority].Weight}
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

// standingAgainst says that one of two stands more surely, "" where both do alike.
func standingAgainst(c, o *Candidate, name string) string {
	if len(c.Gates) <= gateStands || len(o.Gates) <= gateStands {
		return "" // not judged yet
	}
	here, there := c.Gates[gateStands].State, o.Gates[gateStands].State
	switch {
	case here == there:
	case here == Failed:
		return fmt.Sprintf("Unlike %s it does not stand.", name)
	case there == Failed:
		return fmt.Sprintf("Unlike %s it stands.", name)
	case here == Passed:
		return fmt.Sprintf("Unlike %s it is sure to stand.", name)
	default:
		return fmt.Sprintf("Unlike %s it is not sure to stand.", name)
	}
	if a, b := c.Lies().TipAngleDeg, o.Lies().TipAngleDeg; here == Passed && min(a, b) < early && max(a, b) > 1.5*min(a, b) {
		word := "more"
		if a < b {
			word = "less"
		}
		return fmt.Sprintf("It stands %s surely than %s: it tips at %.0f deg against %.0f deg.", word, name, a, b)
	}
	return ""
}

// early is the tip angle, in degrees, above which nobody asks how surely a part stands
// (judgement).
const early = 20

// difference is one measure of two candidates.
type difference struct {
	q           quantity
	units       units
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
	word, estimate := strings.CutSuffix(word, " (estimate)")
	here, there := d.q.unit(d.units, d.here), d.q.unit(d.units, d.there)
	pairOf := func(here, there string) string {
		if estimate {
			return fmt.Sprintf("(estimate: %s against %s)", here, there)
		}
		return fmt.Sprintf("(%s against %s)", here, there)
	}
	pair := pairOf(here, there)
	share := math.Abs(d.here-d.there) / d.there
	switch {
	case isNought(here):
		pair = pairOf(noughtWord(here), there)
	case isNought(there):
		pair = pairOf(here, noughtWord(there))
	case share <= mostTold && (d.here > d.there || share < nearlyAll):
		return fmt.Sprintf("%.0f %% %s %s", 100*share, word, pair)
	}
	return word + " " + pair
}

// What is nearly all less, or many times more, is no percentage that means anything:
// it is seen from the numbers.
const nearlyAll, mostTold = 0.995, 2

// noughtWord is what reads as nothing in words: there is none of an area or a volume,
// lengths are never quite nothing.
func noughtWord(text string) string {
	if strings.HasSuffix(text, " mm") {
		return "next to none"
	}
	return "none"
}

// isNought reports whether a quantity with its unit reads as nothing.
func isNought(text string) bool {
	number, _, _ := strings.Cut(text, " ")
	return strings.Trim(number, "0.") == ""
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

func percent(_ units, v float64) string { return fmt.Sprintf("%.0f %%", 100*v) }
func hours(_ units, v float64) string   { return fmt.Sprintf("%.1f h", v/3600) }
func length1(_ units, v float64) string { return fmt.Sprintf("%.1f mm", v) }
func length2(_ units, v float64) string { return fmt.Sprintf("%.2f mm", v) }
func length3(_ units, v float64) string { return fmt.Sprintf("%.3f mm", v) }

// lowerFirst lets a sentence follow a colon.
func lowerFirst(s string) string {
	if s == "" {
		return s
	}
	return strings.ToLower(s[:1]) + s[1:]
}

// upperFirst begins a sentence.
func upperFirst(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}
