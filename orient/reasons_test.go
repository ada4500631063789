package orient

import (
	"strings"
	"testing"
)

// What means nothing for a way is not held against another: neither travel without
// a foot nor the sag of what falls over.
func TestOnlyWhatMeansSomethingIsCompared(t *testing.T) {
	sound := Candidate{Rank: 1, Terms: make([]Term, len(AllPriorities())), Measures: Measures{FootprintMM2: 500, TipAngleDeg: 30, SetterTravelMM: 4, SagMM: 0.4, SupportVolumeMM3: 800, OverhangAreaMM2: 90, HeightMM: 20}}
	falls := sound
	falls.Rank = 2
	falls.Measures.FootprintMM2, falls.Measures.TipAngleDeg, falls.Measures.SetterTravelMM, falls.Measures.SagMM = 0, 0, 0, 0.1
	for _, c := range []*Candidate{&sound, &falls} {
		other := &falls
		if c == &falls {
			other = &sound
		}
		if text := strings.Join(against(c, other, "the other"), " "); strings.Contains(text, "travel") || strings.Contains(text, "sag") {
			t.Errorf("no. %d: %s", c.Rank, text)
		}
	}
	if got := standing(&falls); got != "Needs 800 mm3 of support under 90 mm2 of overhang; rests on no face and tips over by itself." {
		t.Error(got)
	}
	moved := sound
	moved.Measures.SetterTravelMM, moved.Measures.SagMM = 9, 1.5
	if text := strings.Join(against(&sound, &moved, "the other"), " "); !strings.Contains(text, "travel") || !strings.Contains(text, "sag") {
		t.Errorf("what does mean something is not told: %s", text)
	}
}

// A sentence keeps to one unit of a kind.
func TestSentencesKeepToOneUnit(t *testing.T) {
	big := Candidate{Rank: 1, Terms: make([]Term, len(AllPriorities())), Measures: Measures{FootprintMM2: 500, TipAngleDeg: 30, SupportVolumeMM3: 25000, SupportContactMM2: 900, OverhangAreaMM2: 1200}}
	small := big
	small.Measures.SupportVolumeMM3, small.Measures.SupportContactMM2 = 400, 80
	for _, text := range append(against(&small, &big, "the other"), standing(&big), standing(&small)) {
		for _, pair := range [][2]string{{"mm3", "cm3"}, {"mm2", "cm2"}, {"mm2", "cm3"}, {"cm2", "mm3"}} {
			if strings.Contains(text, pair[0]) && strings.Contains(text, pair[1]) {
				t.Errorf("%s and %s in one sentence: %s", pair[0], pair[1], text)
			}
		}
	}
}

// Being first says why where nothing else comes into question.
func TestFirstSaysThatItIsTheOnlyOne(t *testing.T) {
	passes, fails := []Gate{{Name: GateStands, State: Passed, Passed: true}}, []Gate{{Name: GateStands, State: Failed}}
	for _, c := range []struct {
		share  float64
		second []Gate
		want   string
	}{
		{1, fails, "First whatever the priorities: no other way listed passes all gates."},
		{1, passes, "First in all weightings of the priorities."},
		{0.62, passes, "First in 62 % of all weightings of the priorities."},
	} {
		all := []Candidate{{Rank: 1, FirstShare: c.share, Gates: passes}, {Rank: 2, Gates: c.second}}
		if got := firstReason(all, &all[0]); got != c.want {
			t.Errorf("%q, want %q", got, c.want)
		}
	}
}

// A percentage is told where it means something; nothing is called none.
func TestDifferencesInWords(t *testing.T) {
	support := quantities()[0]
	for _, tt := range []struct {
		here, there float64
		want        string
	}{
		{1250, 7400, "83 % less support (1250 mm3 against 7400 mm3)"},
		{7400, 5000, "48 % more support (7400 mm3 against 5000 mm3)"},
		{7400, 1250, "more support (7400 mm3 against 1250 mm3)"},
		{0, 7400, "less support (none against 7400 mm3)"},
		{7400, 0.2, "more support (7400 mm3 against none)"},
		{30, 250000, "less support (none against 250.0 cm3)"},
		{330, 145000, "less support (0.3 cm3 against 145.0 cm3)"},
	} {
		d := difference{q: support, here: tt.here, there: tt.there, units: units{max(tt.here, tt.there) >= 10000}}
		if got := d.String(); got != tt.want {
			t.Errorf("%q, want %q", got, tt.want)
		}
	}
	m := Measures{SupportVolumeMM3: 14300, OverhangAreaMM2: 1360, FootprintMM2: 2, TipAngleDeg: 12}
	if got := standing(&Candidate{Measures: m}); !strings.Contains(got, "rests on an edge or a point and tips at 12 deg.") {
		t.Errorf("%q", got)
	}
}
