// Package orienttest holds what is said of an advice, on sheet, screen and in
// sentences, against the numbers that the advice has.
package orienttest

import (
	"encoding/json"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"kilnpoise/orient"
	"kilnpoise/orient/support"
)

// Figures are the numbers of an advice by their unit.
type Figures struct {
	of map[string][]float64
	// shares are the numbers that may stand before a per cent sign.
	shares []float64
}

// FiguresOf gathers the numbers of advice.json and of the records, cutter and all,
// by the units that stand in their names, and the differences in per cent between
// the candidates, as reasons tell them.
func FiguresOf(a *orient.Advice) (*Figures, error) {
	f := &Figures{of: map[string][]float64{}}
	b := &a.Brief
	report := orient.NewReport(a)
	for _, v := range []any{report, b.Material, b.Printer, b.Furnace, cutterOf(b)} {
		if err := f.add(v); err != nil {
			return nil, err
		}
	}
	if err := f.compare(report.Candidates); err != nil {
		return nil, err
	}
	for _, v := range f.of[""] {
		f.shares = append(f.shares, 100*v)
	}
	return f, nil
}

// add gathers the numbers of v as JSON has them.
func (f *Figures) add(v any) error {
	tree, err := treeOf(v)
	if err != nil {
		return err
	}
	f.walk("", tree)
	return nil
}

func treeOf(v any) (any, error) {
	text, err := json.Marshal(v)
	if err != nil {
		return nil, err
	}
	var tree any
	return tree, json.Unmarshal(text, &tree)
}

// walk gathers the numbers under a name.
func (f *Figures) walk(name string, tree any) {
	switch v := tree.(type) {
	case map[string]any:
		for k, inner := range v {
			f.walk(k, inner)
		}
	case []any:
		for _, inner := range v {
			f.walk(name, inner)
		}
	case float64:
		u := unitIn(name)
		f.of[u] = append(f.of[u], v)
		if strings.HasPrefix(name, "lean_growth") { // told as what it adds
			f.shares = append(f.shares, 100*(v-1))
		}
	case string:
		switch name {
		case "Value": // of a print setting
			f.Allow(v)
		case "name": // of a pose: its angles share one unit
			for _, n := range oneNumber().FindAllString(v, -1) {
				f.Allow(n + " deg")
			}
		}
	}
}

// unitIn gives the unit that a name ends in, like support_volume_mm3 or HeightMM.
func unitIn(name string) string {
	m := unitAtEnd().FindStringSubmatch(name)
	if m == nil {
		return ""
	}
	return strings.ToLower(strings.TrimPrefix(m[1], "_"))
}

func unitAtEnd() *regexp.Regexp {
	return regexp.MustCompile(`(_(?:mm3|mm2|mm|deg|g|h|s|m|percent)|(?:MM3|MM2|MM|Deg|G|H|S|Percent))$`)
}

// compare adds the differences of each measure between any two candidates, in per
// cent of the second.
func (f *Figures) compare(all []orient.CandidateReport) error {
	values := map[string][]float64{}
	for i := range all {
		for prefix, of := range map[string]any{"": all[i].Measures, "resting ": all[i].RestingPose} {
			tree, err := treeOf(of)
			if err != nil {
				return err
			}
			for k, v := range tree.(map[string]any) {
				if n, ok := v.(float64); ok {
					values[prefix+k] = append(values[prefix+k], n)
				}
			}
		}
	}
	for _, same := range values {
		for _, a := range same {
			for _, b := range same {
				if b != 0 {
					f.shares = append(f.shares, 100*math.Abs(a-b)/math.Abs(b))
				}
			}
		}
	}
	return nil
}

// Allow takes the numbers of a text as known: those of sentences that belong to
// no advice, like the general cautions.
func (f *Figures) Allow(text string) {
	for _, n := range numbersIn(text) {
		if n.unit == "%" {
			f.shares = append(f.shares, n.value)
			continue
		}
		for _, m := range meanings(n.unit) {
			f.of[m.unit] = append(f.of[m.unit], n.value*m.by)
		}
	}
}

// Strange gives the numbers with a unit in a text that the advice does not have, to
// the decimals shown.
func (f *Figures) Strange(text string) []string {
	var out []string
	for _, n := range numbersIn(text) {
		if !f.have(n) {
			out = append(out, n.text)
		}
	}
	return out
}

func (f *Figures) have(n number) bool {
	close := func(v, by float64) bool { return math.Abs(math.Abs(v)-math.Abs(n.value)*by) <= n.half*by*(1+1e-6)+1e-9 }
	if n.unit == "%" {
		return slices.ContainsFunc(f.shares, func(v float64) bool { return close(v, 1) }) ||
			slices.ContainsFunc(f.of["percent"], func(v float64) bool { return close(v, 1) })
	}
	for _, m := range meanings(n.unit) {
		if slices.ContainsFunc(f.of[m.unit], func(v float64) bool { return close(v, m.by) }) {
			return true
		}
	}
	return false
}

// meaning is a unit of JSON, and how much of it the unit on paper is.
type meaning struct {
	unit string
	by   float64
}

func meanings(unit string) []meaning {
	return map[string][]meaning{
		"mm": {{"mm", 1}}, "mm2": {{"mm2", 1}}, "cm2": {{"mm2", 100}}, "mm3": {{"mm3", 1}}, "cm3": {{"mm3", 1000}},
		"deg": {{"deg", 1}}, "g": {{"g", 1}}, "kg": {{"g", 1000}}, "m": {{"m", 1}, {"mm", 1000}},
		"h": {{"h", 1}, {"s", 3600}}, "min": {{"s", 60}}, "s": {{"s", 1}},
	}[unit]
}

// number is one in a text, with how far it may be off by its decimals.
type number struct {
	text        string
	value, half float64
	unit        string
}

// numbersIn finds the numbers that have a unit; of "12 x 34 x 5 mm" and "1 to 2 mm"
// all have it.
func numbersIn(text string) []number {
	text = strings.NewReplacer("\u00a0", " ", "\u202f", " ", "−", "-", "²", "2", "³", "3", "°", " deg").Replace(text)
	text = hoursAndMinutes().ReplaceAllStringFunc(text, func(s string) string {
		m := hoursAndMinutes().FindStringSubmatch(s)
		hours, _ := strconv.Atoi(m[1]) // digits only
		minutes, _ := strconv.Atoi(m[2])
		return strconv.Itoa(60*hours+minutes) + " min"
	})
	var out []number
	for _, m := range quantities().FindAllStringSubmatch(text, -1) {
		unit := m[2]
		for _, digits := range oneNumber().FindAllString(m[1], -1) {
			plain := strings.ReplaceAll(digits, " ", "")
			value, err := strconv.ParseFloat(plain, 64)
			if err != nil {
				continue
			}
			_, decimals, _ := strings.Cut(plain, ".")
			out = append(out, number{text: digits + " " + unit, value: value, half: 0.5 * math.Pow10(-len(decimals)), unit: unit})
		}
	}
	return out
}

const numeral = `-?(?:\d{1,3}(?: \d{3})+|\d+)(?:\.\d+)?`

func oneNumber() *regexp.Regexp { return regexp.MustCompile(numeral) }

func hoursAndMinutes() *regexp.Regexp { return regexp.MustCompile(`(\d+) h (\d+) min`) }

func quantities() *regexp.Regexp {
	return regexp.MustCompile(`(` + numeral + `(?:\s?(?:x|×|to|–|and|or|against|/|,)\s?` + numeral + `)*)\s?(mm3|mm2|mm|cm3|cm2|deg|kg|g|h|min|m|s|%)(?:[^\w³²]|$)`)
}

func cutterOf(b *orient.Brief) support.Cutter {
	if b.Cutter == (support.Cutter{}) {
		return orient.DefaultCutter()
	}
	return b.Cutter
}
