package handover_test

import (
	"context"
	"encoding/json"
	"math"
	"os"
	"os/exec"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"kilnpoise/app/handover"
	"kilnpoise/mesh"
	"kilnpoise/mesh/meshtest"
	"kilnpoise/orient"
	"kilnpoise/orient/orienttest"
	"kilnpoise/render"
)

// toldParts differ in what there is to tell: supports, another pose in the
// furnace, a lean in doubt, a misfit, a thick wall, a closed cavity, props.
func toldParts() map[string]*mesh.Mesh {
	return map[string]*mesh.Mesh{
		"spool":          meshtest.Ring(meshtest.Loop{{6, 0}, {18, 0}, {18, 5}, {10, 5}, {10, 31}, {18, 31}, {18, 36}, {6, 36}}, 32),
		"stemmed flange": meshtest.Lathe([][2]float64{{0, 0}, {4.5, 0}, {4.5, 24}, {20, 24}, {20, 30}, {0, 30}}, 32),
		"slender tube":   meshtest.Ring(meshtest.Rectangle(7, 0, 3, 80), 48),
		"long plate":     meshtest.Block(180, 60, 8),
		"closed box":     meshtest.Boxes([]meshtest.Box{meshtest.At(0, 0, 0, 36, 36, 36)}, meshtest.At(8, 8, 8, 20, 20, 20)),
		"cross":          meshtest.Boxes([]meshtest.Box{meshtest.At(-5, -5, 0, 10, 10, 24), meshtest.At(-22, -4, 10, 44, 8, 4), meshtest.At(-4, -22, 11, 8, 44, 4)}),
		"ribbed tray":    meshtest.Boxes([]meshtest.Box{meshtest.At(0, 0, 0, 60, 40, 4), meshtest.At(0, 0, 4, 60, 4, 10), meshtest.At(20, 10, 4, 20, 20, 14)}),
	}
}

// From one advice, every number that stands in two places is the same: the sheet,
// for the first choice and for another one, repeats advice.json.
func TestSheetRepeatsTheAdvice(t *testing.T) {
	if testing.Short() {
		t.Skip("short: whole advices, that hand nothing to goroutines of their own")
	}
	for name, m := range toldParts() {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			a := orienttest.WholeAdvice(t, name, m)
			for _, i := range []int{0, len(a.Candidates) - 1} {
				sheetRepeats(t, a, &a.Candidates[i])
			}
		})
	}
}

func sheetRepeats(t *testing.T, a *orient.Advice, chosen *orient.Candidate) {
	t.Helper()
	o := handover.Order{Advice: a, Candidate: chosen, Folder: t.TempDir(), Name: "told"}
	path, err := o.WriteSheet(context.Background(), render.A4, time.Date(2026, 3, 14, 9, 0, 0, 0, time.UTC), "")
	if err != nil {
		t.Fatal(err)
	}
	text := pdfText(t, path)
	known, err := orienttest.FiguresOf(a)
	if err != nil {
		t.Fatal(err)
	}
	known.Allow("burns in air from 4 to 75 %")
	for _, line := range strings.Split(onlySaid().ReplaceAllString(text, ""), "\n") {
		for _, cell := range cells(line) {
			if strange := known.Strange(cell); len(strange) > 0 {
				t.Errorf("no. %d: the sheet says %q, and %q is not in advice.json", chosen.Rank, cell, strange)
			}
		}
	}
	tableRepeats(t, a, chosen, text)
	gatesRepeat(t, chosen, text)
}

// gatesRepeat wants each gate on the sheet in its state, and what is not passed in
// the banner of the first page.
func gatesRepeat(t *testing.T, chosen *orient.Candidate, text string) {
	t.Helper()
	words := map[orient.State]string{orient.Passed: "passed", orient.Doubtful: "in doubt", orient.Failed: "FAILS"}
	opens := map[orient.State]string{}
	for _, g := range chosen.Gates {
		name := strings.ToUpper(g.Name[:1]) + g.Name[1:]
		if !regexp.MustCompile(`(?m)^\s*` + words[g.State] + `\s+` + regexp.QuoteMeta(name) + `\.`).MatchString(text) {
			t.Errorf("no. %d: the sheet does not say %q of %q", chosen.Rank, words[g.State], g.Name)
		}
		if opens[g.State] == "" {
			opens[g.State] = g.Fault()
		}
	}
	page, _, _ := strings.Cut(text, "\f")
	for state, begin := range map[orient.State]string{orient.Failed: "Fails: ", orient.Doubtful: "In doubt: "} {
		if want := begin + opens[state]; (opens[state] != "") != strings.Contains(page, begin) || !strings.Contains(page, want) && opens[state] != "" {
			t.Errorf("no. %d: page 1 does not open with %q", chosen.Rank, want)
		}
	}
}

// onlySaid finds what stands in words alone and in no field: a direction round and up,
// which is a vector there.
func onlySaid() *regexp.Regexp { return regexp.MustCompile(`-?\d+°\s(?:round|up)`) }

// source is where in advice.json a line of the sheet's table comes from, and by how
// much that is multiplied.
type source struct {
	key   string
	by    float64
	fired bool // of resting_pose
}

func (s source) of(t *testing.T, r *orient.CandidateReport) float64 {
	t.Helper()
	if s.fired && s.key == "sag_mm" && r.RestingPose.PlannedSag != nil { // what decides
		return r.RestingPose.SagPlannedMM
	}
	if s.fired {
		return s.by * numberIn(t, r.RestingPose, s.key)
	}
	return s.by * numberIn(t, r.Measures, s.key)
}

func tableLines() map[string]source {
	printed := func(key string) source { return source{key, 1, false} }
	fired := func(key string) source { return source{key, 1, true} }
	return map[string]source{
		"Overhang area": printed("overhang_area_mm2"), "Support volume, envelope": printed("support_volume_mm3"),
		"standing on the part": printed("support_on_part_mm3"), "out of reach": printed("out_of_reach_support_mm3"),
		"Support contact": printed("support_contact_mm2"), "Support mass (estimate)": printed("support_mass_g"),
		"Height, green": printed("height_mm"), "Layers": printed("layers"), "Print time (estimate)": {"print_time_s", 1.0 / 3600, false},
		"Step height, layer steps alone": printed("step_height_mm"), "Dimension spread (estimate)": printed("dimension_spread_mm"),
		"Footprint": printed("footprint_mm2"), "Tip angle": printed("tip_angle_deg"),
		"tip angle": fired("tip_angle_deg"), "setter travel": fired("setter_travel_mm"), "gravity sag (estimate)": fired("sag_mm"),
	}
}

// tableRepeats compares the table with advice.json, column by column.
func tableRepeats(t *testing.T, a *orient.Advice, chosen *orient.Candidate, text string) {
	t.Helper()
	reports := orient.NewReport(a).Candidates
	for label, from := range tableLines() {
		line := regexp.MustCompile(`(?m)^\s*` + regexp.QuoteMeta(label) + `\s{2,}(.*)$`).FindStringSubmatch(text)
		if line == nil {
			t.Errorf("the sheet has no line %q", label)
			continue
		}
		shown := cells(line[1])
		columns := render.SheetCandidates(a, chosen)
		if len(shown) < len(columns) {
			t.Errorf("%s: %q has fewer than %d columns", label, shown, len(columns))
			continue
		}
		for i, cell := range shown[len(shown)-len(columns):] {
			r := &reports[columns[i].Rank-1]
			if want := from.of(t, r); !inWords(r, from, cell) && !repeats(cell, want) {
				t.Errorf("%s of no. %d: the sheet says %s, advice.json %g", label, r.Rank, cell, want)
			}
		}
	}
}

// inWords reports whether the sheet rightly tells a measure in words or a dash alone:
// the sag of what collapses or topples, the travel of what stands on nothing.
func inWords(r *orient.CandidateReport, from source, cell string) bool {
	topples := r.RestingPose.TipAngleDeg <= 0
	switch {
	case !from.fired || from.key == "tip_angle_deg":
		return false
	case from.key == "sag_mm":
		collapses := r.RestingPose.SagCollapses
		if r.RestingPose.PlannedSag != nil {
			collapses = r.RestingPose.SagPlannedCollapse
		}
		return topples && cell == "topples" || !topples && collapses && cell == "collapses"
	}
	return topples && cell == "–"
}

// repeats reports whether a number on paper is v to the decimals shown.
func repeats(cell string, v float64) bool {
	plain := strings.NewReplacer(" ", "", "\u00a0", "", "\u202f", "").Replace(cell)
	shown, err := strconv.ParseFloat(plain, 64)
	_, decimals, _ := strings.Cut(plain, ".")
	return err == nil && math.Abs(shown-v) <= 0.5*math.Pow10(-len(decimals))*(1+1e-6)+1e-12
}

// numberIn reads a number by its key as JSON has it.
func numberIn(t *testing.T, of any, key string) float64 {
	t.Helper()
	text, err := json.Marshal(of)
	if err != nil {
		t.Fatal(err)
	}
	var all map[string]any
	if err := json.Unmarshal(text, &all); err != nil {
		t.Fatal(err)
	}
	v, ok := all[key].(float64)
	if !ok {
		t.Fatalf("advice.json has no %s", key)
	}
	return v
}

// cells divides a line where columns part.
func cells(line string) []string {
	return regexp.MustCompile(`\s{2,}`).Split(strings.TrimSpace(line), -1)
}

// pdfText gives the text of a sheet, its columns side by side. Where the tool for
// it is not installed it skips, unless KILNPOISE_REQUIRE_ALL says that nothing may
// be left out.
func pdfText(t *testing.T, path string) string {
	t.Helper()
	if _, err := exec.LookPath("pdftotext"); err != nil {
		if os.Getenv("KILNPOISE_REQUIRE_ALL") != "" {
			t.Fatal("pdftotext is not installed (package poppler-utils)")
		}
		t.Skip("pdftotext is not installed (package poppler-utils)")
	}
	out, err := exec.Command("pdftotext", "-layout", path, "-").CombinedOutput()
	if err != nil {
		t.Fatalf("pdftotext: %v: %s", err, out)
	}
	return string(out)
}
