package window

import (
	"encoding/json"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"

	"kilnpoise/app/window/kit"
	"kilnpoise/mesh"
	"kilnpoise/mesh/meshtest"
	"kilnpoise/orient"
	"kilnpoise/orient/orienttest"
)

// From one advice, every number that stands in two places is the same: the table,
// the cards, the verdict and the reasons on the screen repeat advice.json.
func TestWindowRepeatsTheAdvice(t *testing.T) {
	parts := map[string]*mesh.Mesh{
		"spool": meshtest.Ring(meshtest.Loop{{6, 0}, {18, 0}, {18, 5}, {10, 5}, {10, 31}, {18, 31}, {18, 36}, {6, 36}}, 32),
		"table": meshtest.Boxes([]meshtest.Box{meshtest.At(0, 0, 30, 60, 50, 5), meshtest.At(0, 0, 0, 6, 6, 30), meshtest.At(54, 0, 0, 6, 6, 30),
			meshtest.At(0, 44, 0, 6, 6, 30), meshtest.At(54, 44, 0, 6, 6, 30)}),
	}
	for name, m := range parts {
		if testing.Short() && name != "table" {
			continue
		}
		t.Run(name, func(t *testing.T) {
			a := orienttest.WholeAdvice(t, name, m)
			known, err := orienttest.FiguresOf(a)
			if err != nil {
				t.Fatal(err)
			}
			for i := range a.Candidates {
				c := &a.Candidates[i]
				linesRepeat(t, a, i)
				for _, said := range wordsOn(a, c) {
					if strange := known.Strange(said); len(strange) > 0 {
						t.Errorf("no. %d: the window says %q, and %q is not in advice.json", c.Rank, said, strange)
					}
				}
			}
		})
	}
}

// wordsOn gives what the window says of a candidate.
func wordsOn(a *orient.Advice, c *orient.Candidate) []string {
	words := []string{verdictSentence(c, a.AsLoaded()), sagText(c), verdictFaults(c), doubtsText(c)}
	for _, g := range c.Gates {
		words = append(words, gateSentence(g))
	}
	for _, f := range faceOf(c).facts {
		words = append(words, f[1])
	}
	for _, r := range slices.Concat(c.Reasons, layingDown(c, a.LayingAdvice(c))) {
		words = append(words, kit.Typeset(r))
	}
	return words
}

// lineKeys tells where in advice.json the lines of the table come from, and what
// one of their units is there; a line of two numbers has two keys.
func lineKeys() map[string]struct {
	keys []string
	by   float64
} {
	type from = struct {
		keys []string
		by   float64
	}
	return map[string]from{
		"support": {[]string{"support_volume_mm3"}, 1000}, "on the part": {[]string{"support_on_part_mm3"}, 1000},
		"out of reach": {[]string{"out_of_reach_support_mm3"}, 1000}, "contact": {[]string{"support_contact_mm2"}, 100},
		"overhang": {[]string{"overhang_area_mm2"}, 100}, "layer steps": {[]string{"step_height_mm"}, 1},
		"scar, keep clean": {[]string{"marked_scar_mm2"}, 100}, "steps, smooth": {[]string{"marked_step_height_mm"}, 1},
		"height": {[]string{"height_mm"}, 1}, "layers": {[]string{"layers"}, 1}, "footprint": {[]string{"footprint_mm2"}, 100},
		"sag (est.)": {[]string{"sag_low_mm", "sag_high_mm"}, 1}, "shape error": {[]string{"sag_shape_error_mm"}, 1},
		"grid error (est.)": {[]string{"sag_grid_error_mm"}, 1}, "tip angle": {[]string{"tip_angle_deg"}, 1},
		"size spread": {[]string{"dimension_spread_mm"}, 1}, "setter travel": {[]string{"setter_travel_mm"}, 1},
		"lean (est.)": {[]string{"lean_growth"}, 1}, "foot gain (est.)": {[]string{"elephant_foot_mm"}, 1},
		"debinding (est.)": {[]string{"debinding_low_h", "debinding_high_h"}, 1},
	}
}

// linesRepeat compares the table with advice.json, line by line.
func linesRepeat(t *testing.T, a *orient.Advice, i int) {
	t.Helper()
	c, report := &a.Candidates[i], orient.NewReport(a).Candidates[i]
	printed, laid := fieldsOf(t, report.Measures), fieldsOf(t, report.RestingPose)
	measures := printed
	for _, line := range tableLines(c, []comparison{{"as loaded", a.AsLoaded()}}) {
		switch {
		case line.group && line.label == "In the furnace": // as it is laid there
			measures = maps.Clone(printed)
			maps.Copy(measures, laid)
			continue
		case line.group || line.label == "print time (est.)": // a clock; the card has it in words
			continue
		case line.label == "laid on":
			if words := report.RestingPose.Laid; !strings.Contains(words, strings.ReplaceAll(line.this, "−", "-")) && !strings.Contains(words, "another face") {
				t.Errorf("no. %d: it is laid on %q, advice.json says %q", c.Rank, line.this, words)
			}
			continue
		}
		from, ok := lineKeys()[line.label]
		if !ok {
			t.Errorf("where in advice.json does the line %q come from?", line.label)
			continue
		}
		if line.this == "collapses" || line.this == "topples" || line.this == kit.Dash {
			continue
		}
		numbers := strings.Split(line.this, "–")
		for i, n := range numbers {
			want := measures[from.keys[len(from.keys)-len(numbers)+i]] / from.by
			plain := strings.NewReplacer(kit.NBSP, "", " ", "", "\u202f", "").Replace(n)
			shown, err := strconv.ParseFloat(plain, 64)
			_, decimals, _ := strings.Cut(plain, ".")
			if err != nil || math.Abs(shown-want) > 0.5*math.Pow10(-len(decimals))*(1+1e-6)+1e-12 {
				t.Errorf("no. %d: the line %q says %q, advice.json %g", c.Rank, line.label, line.this, want)
			}
		}
	}
}

// fieldsOf gives the numbers of a part of advice.json by their keys.
func fieldsOf(t *testing.T, v any) map[string]float64 {
	t.Helper()
	text, err := json.Marshal(v)
	if err != nil {
		t.Fatal(err)
	}
	var all map[string]any
	if err := json.Unmarshal(text, &all); err != nil {
		t.Fatal(err)
	}
	out := map[string]float64{}
	for k, v := range all {
		if n, ok := v.(float64); ok {
			out[k] = n
		}
	}
	return out
}
