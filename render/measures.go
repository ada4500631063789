package render

import (
	"fmt"
	"math"
	"regexp"
	"slices"
	"strings"

	"kilnpoise/orient"
	"kilnpoise/orient/process"
)

// measureRow is one line of the table of measures.
type measureRow struct {
	label, unit string
	// better is -1 where less is better, 1 where more is, 0 where neither.
	better int
	value  func(*orient.Candidate) float64
	text   func(*orient.Candidate) string
}

// number makes a row of plain numbers.
func number(label, unit string, better, digits int, value func(*orient.Measures) float64) measureRow {
	return measureRow{label, unit, better,
		func(c *orient.Candidate) float64 { return value(&c.Measures) },
		func(c *orient.Candidate) string { return digitsOf(value(&c.Measures), digits) }}
}

// measureRows are the measures on the sheet, in the order of the design: print,
// then stand, then furnace.
func measureRows(cs []*orient.Candidate) []measureRow {
	rows := []measureRow{
		number("Overhang area", "mm²", -1, 0, func(m *orient.Measures) float64 { return m.OverhangAreaMM2 }),
		number("Support volume, envelope", "mm³", -1, 0, func(m *orient.Measures) float64 { return m.SupportVolumeMM3 }),
		number("  standing on the part", "mm³", -1, 0, func(m *orient.Measures) float64 { return m.SupportOnPartMM3 }),
		number("  out of reach", "mm³", -1, 0, func(m *orient.Measures) float64 { return m.OutOfReachMM3 }),
		number("Support contact", "mm²", -1, 0, func(m *orient.Measures) float64 { return m.SupportContactMM2 }),
		number("Support mass (estimate)", "g", -1, 1, func(m *orient.Measures) float64 { return m.SupportMassG }),
		number("Height, green", "mm", -1, 1, func(m *orient.Measures) float64 { return m.HeightMM }),
		number("Layers", "", -1, 0, func(m *orient.Measures) float64 { return float64(m.Layers) }),
		number("Print time (estimate)", "h", -1, 1, func(m *orient.Measures) float64 { return m.PrintTimeS / 3600 }),
		number("Step height, layer steps alone", "mm", -1, 3, func(m *orient.Measures) float64 { return m.StepHeightMM }),
		number("Dimension spread (estimate)", "mm", -1, 2, func(m *orient.Measures) float64 { return m.DimensionSpreadMM }),
		number("Footprint", "mm²", 1, 0, func(m *orient.Measures) float64 { return m.FootprintMM2 }),
		number("Tip angle", "°", 1, 1, func(m *orient.Measures) float64 { return m.TipAngleDeg }),
		{"In the furnace: laid", "", 0, tipInFurnace, laidWord},
		{"  tip angle", "°", 1, tipInFurnace, func(c *orient.Candidate) string { return digitsOf(c.Lies().TipAngleDeg, 1) }},
		{"  setter travel", "mm", -1, travelRank, travelWord},
		{"  gravity sag (estimate)", "mm", -1, sagRank, func(c *orient.Candidate) string { return sagWord(c.Lies()) }},
		{"  likely range", "mm", 0, sagRank, func(c *orient.Candidate) string { return sagRange(c.Lies()) }},
	}
	if slices.ContainsFunc(cs, func(c *orient.Candidate) bool { return c.Lies().Propped > 0 }) {
		rows = append(rows, measureRow{"  with nothing under it", "mm", 0, sagRank, bareWord})
	}
	return rows
}

func tipInFurnace(c *orient.Candidate) float64 { return c.Lies().TipAngleDeg }

// laidWord says on which face a candidate is laid in the furnace.
func laidWord(c *orient.Candidate) string { return strings.TrimPrefix(c.LaidAs(), "laid ") }

// travelRank orders travel: what has no foot to slide on comes last.
func travelRank(c *orient.Candidate) float64 {
	if !c.Lies().Stands() {
		return math.Inf(1)
	}
	return c.Lies().TravelMM
}

// travelWord is the travel as shown; none is told of what stands on nothing.
func travelWord(c *orient.Candidate) string {
	if !c.Lies().Stands() {
		return "–"
	}
	return digitsOf(c.Lies().TravelMM, 2)
}

// sagRank orders sag: what collapses or topples comes after every number of
// millimetres.
func sagRank(c *orient.Candidate) float64 {
	if !c.Lies().KeepsItsShape() {
		return math.Inf(1)
	}
	return c.Lies().SagMM
}

// sagWord is the sag as shown: past the small-sag limit no millimetres, and none of
// what topples.
func sagWord(l *orient.Lying) string {
	switch {
	case !l.Stands():
		return "topples"
	case l.SagCollapses:
		return "collapses"
	}
	return digitsOf(l.SagMM, 2)
}

// bareWord is the sag with nothing under it of what is fired on props.
func bareWord(c *orient.Candidate) string {
	if l := c.Lies(); l.Propped > 0 {
		return sagWord(l.Bare())
	}
	return "–"
}

// sagRange is the range of the sag.
func sagRange(l *orient.Lying) string {
	if !l.KeepsItsShape() {
		return "–"
	}
	return digitsOf(l.SagLowMM, 2) + " to " + digitsOf(l.SagHighMM, 2)
}

// digitsOf writes v with a space between thousands; a dash for what is no
// number.
func digitsOf(v float64, digits int) string {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return "–"
	}
	s := fmt.Sprintf("%.*f", digits, v)
	if strings.Trim(s, "-0.") == "" {
		s = strings.TrimPrefix(s, "-")
	}
	whole, rest, found := strings.Cut(s, ".")
	if len(strings.TrimPrefix(whole, "-")) > 4 {
		for at := len(whole) - 3; at > 0 && whole[at-1] != '-'; at -= 3 {
			whole = whole[:at] + " " + whole[at:]
		}
	}
	if found {
		return whole + "." + rest
	}
	return whole
}

// best tells for each candidate whether it is the best of the row; nobody is
// where all are shown alike.
func (r *measureRow) best(cs []*orient.Candidate) []bool {
	out := make([]bool, len(cs))
	if r.better == 0 || len(cs) < 2 {
		return out
	}
	top, differ := math.Inf(-1), false
	for _, c := range cs {
		top = max(top, float64(r.better)*r.value(c))
		differ = differ || r.text(c) != r.text(cs[0])
	}
	var word string
	for _, c := range cs {
		if float64(r.better)*r.value(c) == top {
			word = r.text(c)
		}
	}
	for i, c := range cs {
		out[i] = differ && r.text(c) == word
	}
	return out
}

// SheetCandidates gives the candidates that the sheet sets side by side: the
// chosen one, the one as loaded, and the best others, four at most. Their ranks
// are the keys of SheetPictures.Others.
func SheetCandidates(a *orient.Advice, chosen *orient.Candidate) []*orient.Candidate {
	const most = 4
	out := []*orient.Candidate{chosen}
	if loaded := a.AsLoaded(); loaded != nil && loaded.Rank != chosen.Rank {
		out = append(out, loaded)
	}
	for i := range a.Candidates {
		c := &a.Candidates[i]
		if len(out) < most && c.Rank != chosen.Rank && c.Origin != orient.AsLoaded {
			out = append(out, c)
		}
	}
	return out
}

// trust gives the tags of a figure in words.
func trust(t process.Tag) string {
	words := map[process.Tag]string{
		process.Published: "published", process.Handbook: "handbook", process.Derived: "derived",
		process.Common: "common practice", process.Memory: "from memory",
		process.Judgement: "judgement", process.Shop: "this shop",
	}
	var out []string
	for _, part := range strings.FieldsFunc(string(t), func(r rune) bool { return r == '+' || r == ',' || r == '/' }) {
		part = strings.TrimSpace(part)
		if w, ok := words[process.Tag(part)]; ok {
			part = w
		}
		if part != "" {
			out = append(out, part)
		}
	}
	if len(out) == 0 {
		return "source not recorded"
	}
	return strings.Join(out, ", ")
}

// trustIn gives the trust of one figure of the material record in words.
func trustIn(m *process.Material, item string) string {
	for _, s := range m.Sources {
		if s.Item == item {
			return trust(s.Tag)
		}
	}
	return trust("")
}

// trade writes units as print shows them, and keeps them on the line of their
// number: the sentences of the engine are plain ASCII.
func trade(s string) string {
	return strings.NewReplacer("mm2", "mm²", "mm3", "mm³", "cm2", "cm²", "cm3", "cm³", " deg", "°", " x ", " × ").
		Replace(numberAndUnit().ReplaceAllString(s, "$1\u00a0$2"))
}

// numberAndUnit finds a number with the unit after it.
func numberAndUnit() *regexp.Regexp { return regexp.MustCompile(`(\d) (%|mm|cm|h\b|g\b|m\b)`) }
