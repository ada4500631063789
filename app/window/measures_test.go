package window

import (
	"math"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/app/window/kit"
	"kilnpoise/mesh"
	"kilnpoise/orient"
)

// turned makes a candidate that differs from others by its pose.
func turned(rank int, name string, deg float64) orient.Candidate {
	return orient.Candidate{
		Rank: rank, Name: name, Origin: orient.FromSearch,
		Pose: orient.Pose{
			Rotation: mesh.RotationAbout(r3.Vec{X: 1}, deg*math.Pi/180),
			Oversize: r3.Vec{X: 1.190476, Y: 1.190476, Z: 1.25},
		},
	}
}

func TestCompare(t *testing.T) {
	value := func(v float64) *orient.Candidate {
		return &orient.Candidate{Measures: orient.Measures{SupportVolumeMM3: v}}
	}
	row := measureRow{value: of(func(m *orient.Measures) float64 { return m.SupportVolumeMM3 }, 1), sameWithin: 1}
	high := row
	high.higherIsBetter = true
	neutral := row
	neutral.neutral = true
	for _, tc := range []struct {
		name        string
		row         measureRow
		this, other float64
		want        verdict
	}{
		{"more is worse", row, 10, 20, verdict{worse, true}},
		{"less is better", row, 20, 10, verdict{better, false}},
		{"more is better", high, 10, 20, verdict{better, true}},
		{"less is worse", high, 20, 10, verdict{worse, false}},
		{"within the noise", row, 10, 10.9, verdict{judgement: same}},
		{"within two in a hundred", row, 1000, 1019, verdict{judgement: same}},
		{"a collapse is worse", row, 10, math.Inf(1), verdict{worse, true}},
		{"two collapses", row, math.Inf(1), math.Inf(1), verdict{judgement: same}},
		{"unknown", row, 10, math.NaN(), verdict{}},
		{"not judged", neutral, 10, 20, verdict{}},
	} {
		t.Run(tc.name, func(t *testing.T) {
			if got := tc.row.compare(value(tc.this), value(tc.other)); got != tc.want {
				t.Errorf("compare(%v, %v) = %+v, want %+v", tc.this, tc.other, got, tc.want)
			}
		})
	}
}

func TestRowSharesDecimals(t *testing.T) {
	a, b := turned(1, "", 0), turned(2, "", 90)
	a.Measures.SupportVolumeMM3, b.Measures.SupportVolumeMM3 = 2048, 109800
	lines := tableLines(&a, []comparison{{"other", &b}})
	if got := lines[1]; got.label != "support" || got.this != "2.05" || got.others[0].text != "109.80" {
		t.Errorf("support line = %+v", got)
	}
	if got := lines[1].others[0].verdict; got != (verdict{worse, true}) {
		t.Errorf("verdict = %+v", got)
	}
}

func TestRowsThatAreLeftOut(t *testing.T) {
	a := turned(1, "", 0)
	has := func(label string) bool {
		for _, l := range tableLines(&a, nil) {
			if l.label == label {
				return true
			}
		}
		return false
	}
	if has("out of reach") {
		t.Error("a measure that is zero for all is shown")
	}
	a.Measures.OutOfReachMM3 = 12
	if !has("out of reach") {
		t.Error("support out of reach is not shown")
	}
}

func TestSagWords(t *testing.T) {
	c := &orient.Candidate{}
	for _, tc := range []struct {
		name string
		m    orient.Measures
		want string
	}{
		{"range", orient.Measures{TipAngleDeg: 20, SagLowMM: 0.07, SagHighMM: 0.8}, "sag 0.07–0.80 mm"},
		{"coarser where large", orient.Measures{TipAngleDeg: 20, SagLowMM: 0.12, SagHighMM: 5.5}, "sag 0.1–5.5 mm"},
		{"none", orient.Measures{TipAngleDeg: 20, SagHighMM: 0.001}, "no sag to speak of"},
		{"collapse", orient.Measures{TipAngleDeg: 20, SagHighMM: 90, SagCollapses: true}, "collapses in the furnace"},
		{"topples", orient.Measures{SagHighMM: 0.3}, "topples in the furnace"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			c.Measures = tc.m
			if got := strings.ReplaceAll(sagText(c), kit.NBSP, " "); got != tc.want {
				t.Errorf("got %q, want %q", got, tc.want)
			}
		})
	}
}

// What is fired on props says so wherever its sag is told.
func TestSagOnProps(t *testing.T) {
	for want, l := range map[string]orient.Lying{
		"sag 0.04–0.43 mm on 2 props":         {TipAngleDeg: 20, SagLowMM: 0.04, SagHighMM: 0.43, Propped: 2},
		"no sag to speak of on 1 prop":        {TipAngleDeg: 20, SagHighMM: 0.001, Propped: 1},
		"collapses in the furnace on 3 props": {TipAngleDeg: 20, SagCollapses: true, Propped: 3},
	} {
		if got := strings.ReplaceAll(lyingSagText(&l), kit.NBSP, " "); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}

func TestComparisons(t *testing.T) {
	all := []orient.Candidate{turned(1, "a", 0), turned(2, "b", 90), turned(3, "c", 180), turned(4, "d", 270)}
	all[2].Origin = orient.AsLoaded
	titles := func(i int) string {
		var out []string
		for _, c := range comparisons(&all[i], all) {
			out = append(out, c.title+" "+c.candidate.Name)
		}
		return strings.Join(out, ", ")
	}
	for i, want := range []string{
		"as loaded c, runner-up b",
		"as loaded c, first choice a",
		"first choice a",
		"as loaded c, first choice a",
	} {
		if got := titles(i); got != want {
			t.Errorf("candidate %d is held against %q, want %q", i+1, got, want)
		}
	}
	all[0].Origin, all[2].Origin = orient.AsLoaded, orient.FromSearch
	if got, want := titles(1), "as loaded a, best found c"; got != want {
		t.Errorf("where the first is as loaded: %q, want %q", got, want)
	}
}

// What stands on no foot has no travel, no growth of a lean and no shape error that
// could be better or worse.
func TestWhatFallsOverIsNotJudged(t *testing.T) {
	falls := &orient.Candidate{Measures: orient.Measures{LeanGrowth: 1000, SagShapeErrorMM: 0.2}}
	stands := &orient.Candidate{Measures: orient.Measures{TipAngleDeg: 30, LeanGrowth: 1000, SagShapeErrorMM: 0.4, SetterTravelMM: 3}}
	for _, r := range furnaceRows() {
		switch r.label {
		case "shape error", "setter travel", "lean (est.)":
			if v := r.compare(stands, falls); v.judgement != unjudged {
				t.Errorf("%s is judged %q", r.label, v.word())
			}
			if text := r.cell(falls, 2); text != "–" {
				t.Errorf("%s reads %q", r.label, text)
			}
			if text := r.cell(stands, 2); strings.Contains(text, "1000") {
				t.Errorf("%s reads %q", r.label, text)
			}
		}
	}
}

// What the solver will put right is told apart until it has.
func TestEstimatesAreGreyUntilSolved(t *testing.T) {
	for _, c := range []struct {
		method string
		want   bool
	}{{orient.SagByBeam, true}, {orient.SagBySolver, false}} {
		this := turned(1, "flat, +Z up", 0)
		this.Measures.SagMethod = c.method
		if got := faceOf(&this).pending; got != c.want {
			t.Errorf("%s: the card is pending: %v", c.method, got)
		}
		for _, l := range tableLines(&this, nil) {
			if l.label == "sag (est.)" && l.pending != c.want || l.label == "support" && l.pending {
				t.Errorf("%s: %s is pending: %v", c.method, l.label, l.pending)
			}
		}
	}
}
