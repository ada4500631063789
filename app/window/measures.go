package window

import (
	"math"
	"slices"
	"strings"

	"kilnpoise/app/window/kit"
	"kilnpoise/orient"
)

// measureRow is one line of the table of measures: how a measure is named, read
// and compared.
type measureRow struct {
	label, unit string
	// value is what is compared; NaN where the measure is not known.
	value func(*orient.Candidate) float64
	// text writes the value; nil writes value with decimals that suit the row.
	text func(*orient.Candidate) string
	// higherIsBetter turns the comparison round.
	higherIsBetter bool
	// sameWithin is the difference that counts as none, in the unit of value.
	sameWithin float64
	// neutral rows are told, not judged.
	neutral bool
	// solved rows change when the furnace is solved.
	solved bool
	// onlyIfAny leaves the row out where it is zero for every candidate shown.
	onlyIfAny bool
}

// measureGroup is the rows that belong to one machine.
type measureGroup struct {
	title string
	rows  []measureRow
}

func of(read func(*orient.Measures) float64, scale float64) func(*orient.Candidate) float64 {
	return func(c *orient.Candidate) float64 { return read(&c.Measures) * scale }
}

// measureGroups lists what is told about a candidate, by machine and weight.
func measureGroups() []measureGroup {
	return []measureGroup{
		{"On the printer", printerRows()},
		{"In the furnace", furnaceRows()},
	}
}

func printerRows() []measureRow {
	type m = orient.Measures
	return []measureRow{
		{label: "support", unit: "cm³", value: of(func(m *m) float64 { return m.SupportVolumeMM3 }, 1e-3), sameWithin: 0.005},
		{label: "on the part", unit: "cm³", value: of(func(m *m) float64 { return m.SupportOnPartMM3 }, 1e-3), sameWithin: 0.005, onlyIfAny: true},
		{label: "out of reach", unit: "cm³", value: of(func(m *m) float64 { return m.OutOfReachMM3 }, 1e-3), sameWithin: 0.0005, onlyIfAny: true},
		{label: "contact", unit: "cm²", value: of(func(m *m) float64 { return m.SupportContactMM2 }, 1e-2), sameWithin: 0.005},
		{label: "overhang", unit: "cm²", value: of(func(m *m) float64 { return m.OverhangAreaMM2 }, 1e-2), sameWithin: 0.005},
		{label: "layer steps", unit: "mm", value: of(func(m *m) float64 { return m.StepHeightMM }, 1), sameWithin: 0.002,
			text: decimals(func(m *m) float64 { return m.StepHeightMM }, 3)},
		{label: "scar, keep clean", unit: "cm²", value: of(func(m *m) float64 { return m.MarkedScarMM2 }, 1e-2), sameWithin: 0.005, onlyIfAny: true},
		{label: "steps, smooth", unit: "mm", value: of(func(m *m) float64 { return m.MarkedStepMM }, 1), sameWithin: 0.002, onlyIfAny: true,
			text: decimals(func(m *m) float64 { return m.MarkedStepMM }, 3)},
		{label: "foot off plate", unit: "%", value: of(func(m *m) float64 { return 1 - m.FootShare }, 100), sameWithin: 1, onlyIfAny: true,
			text: decimals(func(m *m) float64 { return 100 * (1 - m.FootShare) }, 0)},
		{label: "load lost (est.)", unit: "%", value: of(func(m *m) float64 { return 1 - m.LoadStrength }, 100), sameWithin: 1, onlyIfAny: true,
			text: decimals(func(m *m) float64 { return 100 * (1 - m.LoadStrength) }, 0)},
		{label: "height", unit: "mm", value: of(func(m *m) float64 { return m.HeightMM }, 1), neutral: true},
		{label: "layers", unit: "", value: of(func(m *m) float64 { return float64(m.Layers) }, 1), neutral: true,
			text: decimals(func(m *m) float64 { return float64(m.Layers) }, 0)},
		{label: "print time (est.)", unit: "h:min", value: of(func(m *m) float64 { return m.PrintTimeS }, 1), sameWithin: 60,
			text: func(c *orient.Candidate) string { return kit.Clock(c.Measures.PrintTimeS) }},
		{label: "footprint", unit: "cm²", value: of(func(m *m) float64 { return m.FootprintMM2 }, 1e-2), higherIsBetter: true, sameWithin: 0.005},
		{label: "tip angle", unit: "°", value: of(func(m *m) float64 { return m.TipAngleDeg }, 1), higherIsBetter: true, sameWithin: 0.5},
	}
}

func furnaceRows() []measureRow {
	type m = orient.Measures
	return []measureRow{
		{label: "laid on", value: laidOtherwise, text: laidCell, neutral: true, onlyIfAny: true},
		{label: "sag (est.)", unit: "mm", value: sagValue, text: sagCell, sameWithin: 0.005, solved: true},
		{label: "without props", unit: "mm", value: barePropped, text: bareCell, neutral: true, onlyIfAny: true, solved: true},
		{label: "shape error", unit: "mm", value: shaped(func(l *orient.Lying) float64 { return l.SagShapeErrorMM }), sameWithin: 0.005, onlyIfAny: true, solved: true},
		{label: "grid error (est.)", unit: "mm", value: lying(func(l *orient.Lying) float64 { return max(l.SagGridErrorMM, 0) }), neutral: true, onlyIfAny: true,
			text: gridErrorCell},
		{label: "tip angle", unit: "°", value: lying(func(l *orient.Lying) float64 { return l.TipAngleDeg }), higherIsBetter: true, sameWithin: 0.5},
		{label: "footprint", unit: "cm²", value: lying(func(l *orient.Lying) float64 { return l.FootprintMM2 / 100 }), higherIsBetter: true, sameWithin: 0.005},
		{label: "size spread", unit: "mm", value: of(func(m *m) float64 { return m.DimensionSpreadMM }, 1), sameWithin: 0.005},
		{label: "setter travel", unit: "mm", value: shaped(func(l *orient.Lying) float64 { return l.TravelMM }), sameWithin: 0.005},
		{label: "lean (est.)", unit: "×", value: shaped(func(l *orient.Lying) float64 { return min(l.Lean.Growth, mostGrowth) }), sameWithin: 0.01, text: growthCell},
		{label: "foot gain (est.)", unit: "mm", value: shaped(func(l *orient.Lying) float64 { return l.ElephantFootMM }), sameWithin: 0.005},
		{label: "debinding (est.)", unit: "h", value: of(func(m *m) float64 { return m.DebindingHighH }, 1), sameWithin: 0.05,
			text: func(c *orient.Candidate) string {
				return kit.Span(c.Measures.DebindingLowH, c.Measures.DebindingHighH, 1)
			}},
	}
}

// laidOtherwise is 1 for what is to be laid on another face than it was printed on.
func laidOtherwise(c *orient.Candidate) float64 {
	if c.RestsOtherwise() {
		return 1
	}
	return 0
}

// laidCell says on what a candidate is laid.
func laidCell(c *orient.Candidate) string {
	return kit.Minus(strings.NewReplacer("laid on ", "", "its ", "", "another", "other").Replace(c.LaidAs()))
}

// lying reads how a candidate lies in the furnace, in the pose to take.
func lying(read func(*orient.Lying) float64) func(*orient.Candidate) float64 {
	return func(c *orient.Candidate) float64 { return read(c.Lies()) }
}

// shaped reads what means something only where the part stands on a foot and keeps its
// shape.
func shaped(read func(*orient.Lying) float64) func(*orient.Candidate) float64 {
	return func(c *orient.Candidate) float64 {
		if !c.Lies().KeepsItsShape() {
			return math.NaN()
		}
		return read(c.Lies())
	}
}

// mostGrowth is the growth of a lean past which the number means nothing.
const mostGrowth = 100

// growthCell writes by what factor a lean grows.
func growthCell(c *orient.Candidate) string {
	switch l := c.Lies(); {
	case !l.Stands():
		return kit.Dash
	case l.Lean.Growth >= mostGrowth:
		return "over 100"
	default:
		return kit.Fixed(l.Lean.Growth, 2)
	}
}

func decimals(read func(*orient.Measures) float64, n int) func(*orient.Candidate) string {
	return func(c *orient.Candidate) string { return kit.Fixed(read(&c.Measures), n) }
}

// gridErrorCell writes the error of the solver's grid, where two grids tell it.
func gridErrorCell(c *orient.Candidate) string {
	l := c.Lies()
	if l.SagGridErrorMM < 0 || !l.KeepsItsShape() {
		return kit.Dash
	}
	return kit.Fixed(l.SagGridErrorMM, 3)
}

// sagValue orders sags; a collapse is worse than any number, and so is toppling.
func sagValue(c *orient.Candidate) float64 {
	if !c.Lies().KeepsItsShape() {
		return math.Inf(1)
	}
	return c.Lies().SagMM
}

func sagCell(c *orient.Candidate) string {
	if fault := lyingFault(c.Lies()); fault != "" {
		return fault
	}
	return sagRange(c.Lies())
}

// barePropped is the sag with nothing under it of a candidate that is fired on props, 0 of
// others.
func barePropped(c *orient.Candidate) float64 {
	if l := c.Lies(); l.Propped > 0 {
		return l.Bare().SagMM
	}
	return 0
}

// bareCell writes it.
func bareCell(c *orient.Candidate) string {
	l := c.Lies()
	if l.Propped == 0 {
		return kit.Dash
	}
	if fault := lyingFault(l.Bare()); fault != "" {
		return fault
	}
	return sagRange(l.Bare())
}

// lyingFault says what happens to what has no sag to tell, "" where it has.
func lyingFault(l *orient.Lying) string {
	switch {
	case !l.Stands():
		return "topples"
	case l.SagCollapses:
		return "collapses"
	}
	return ""
}

// sagRange writes low to high in millimetres, finer where sag is small.
func sagRange(l *orient.Lying) string {
	n := 1
	if l.SagHighMM < 1 {
		n = 2
	}
	return kit.Span(l.SagLowMM, l.SagHighMM, n)
}

// sagText writes the sag for a sentence, and on which face where that is not the one
// it was printed on.
func sagText(c *orient.Candidate) string {
	text := lyingSagText(c.Lies())
	if c.RestsOtherwise() {
		text += " " + kit.Minus(c.LaidAs())
	}
	return text
}

// lyingSagText writes the sag of a part that lies so, and on how many props.
func lyingSagText(l *orient.Lying) string {
	text := ""
	switch fault := lyingFault(l); {
	case fault != "":
		text = fault + " in the furnace"
	case l.SagHighMM < 0.005:
		text = "no sag to speak of"
	default:
		text = "sag " + sagRange(l) + kit.NBSP + "mm"
	}
	if l.Propped > 0 {
		text += " on " + kit.Plural(l.Propped, "prop")
	}
	return text
}

// cell writes the value of one candidate with that many decimals.
func (r *measureRow) cell(c *orient.Candidate, decimals int) string {
	if r.text != nil {
		return r.text(c)
	}
	if math.IsNaN(r.value(c)) {
		return kit.Dash
	}
	return kit.Fixed(r.value(c), decimals)
}

// decimals gives how many decimals the numbers of a row share: enough that the
// smallest still tells something, without making the largest too long.
func (r *measureRow) decimals(cs []*orient.Candidate) int {
	least, most := math.Inf(1), 0.0
	for _, c := range cs {
		v := math.Abs(r.value(c))
		if v > 0 && !math.IsInf(v, 0) {
			least, most = min(least, v), max(most, v)
		}
	}
	n := kit.DecimalsFor(least)
	if most >= 999.5 {
		n = min(n, 1)
	}
	return n
}

// judgement says how one value compares with another.
type judgement int

const (
	unjudged judgement = iota
	same
	better
	worse
)

// verdict is a judgement with the direction of the number.
type verdict struct {
	judgement judgement
	// higher is true where the number itself is larger.
	higher bool
}

// sameShare is the relative difference that no print repeats to (judgement).
const sameShare = 0.02

// compare says how candidate c stands against this one.
func (r *measureRow) compare(this, c *orient.Candidate) verdict {
	a, b := r.value(this), r.value(c)
	if r.neutral || math.IsNaN(a) || math.IsNaN(b) {
		return verdict{}
	}
	if a == b || math.Abs(a-b) <= max(r.sameWithin, sameShare*max(math.Abs(a), math.Abs(b))) && !math.IsInf(a-b, 0) {
		return verdict{judgement: same}
	}
	higher := b > a
	if higher == r.higherIsBetter {
		return verdict{better, higher}
	}
	return verdict{worse, higher}
}

// word gives the judgement in a word.
func (v verdict) word() string {
	return [...]string{"", "same", "better", "worse"}[v.judgement]
}

// any reports whether the row has a value that is not zero.
func (r *measureRow) any(cs []*orient.Candidate) bool {
	return slices.ContainsFunc(cs, func(c *orient.Candidate) bool { return r.value(c) != 0 })
}
