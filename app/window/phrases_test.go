package window

import (
	"strings"
	"testing"

	"kilnpoise/app/window/kit"
	"kilnpoise/orient"
)

func TestNames(t *testing.T) {
	for _, tc := range []struct {
		name, title, does string
		origin            orient.Origin
	}{
		{"upright, heavy end down", "Upright, heavy end down", "Stand it upright, heavy end down", orient.FromSearch},
		{"on edge, -Y up", "On edge, −Y up", "Set it on edge, −Y up", orient.FromSearch},
		{"flat, flat side up", "Flat, flat side up", "Lay it flat, flat side up", orient.FromSearch},
		{"on its side, +X up", "On its side, +X up", "Lay it on its side, +X up", orient.Given},
		{"standing, +X up", "Standing, +X up", "Stand it, +X up", orient.FromSearch},
		{"leaning 35 deg, A +35.0, B -12.4 deg", "Leaning 35°, A +35.0, B −12.4°", "Lean it 35°", orient.Given},
		{"flat, +Z up", "Flat, +Z up", "Leave it as loaded, flat, +Z up", orient.AsLoaded},
	} {
		t.Run(tc.name, func(t *testing.T) {
			c := &orient.Candidate{Name: tc.name, Origin: tc.origin}
			if got := plainSpaces(cardTitle(c)); got != tc.title {
				t.Errorf("cardTitle = %q, want %q", got, tc.title)
			}
			if got := plainSpaces(instruction(c)); got != tc.does {
				t.Errorf("instruction = %q, want %q", got, tc.does)
			}
		})
	}
}

func plainSpaces(s string) string { return strings.ReplaceAll(s, kit.NBSP, " ") }

func TestVerdictSentence(t *testing.T) {
	c, loaded := turned(1, "flat, -Y up", 90), turned(2, "flat, +Z up", 0)
	loaded.Origin = orient.AsLoaded
	c.Measures = orient.Measures{TipAngleDeg: 20, SagLowMM: 0.07, SagHighMM: 0.8}
	for _, tc := range []struct {
		name         string
		mine, theirs float64
		against      *orient.Candidate
		want         string
	}{
		{"less", 17, 100, &loaded, "Lay it flat, −Y up: 83 % less support than as loaded, sag 0.07–0.80 mm (estimate)."},
		{"more", 150, 100, &loaded, "Lay it flat, −Y up: 50 % more support than as loaded, sag 0.07–0.80 mm (estimate)."},
		{"much more", 4000, 100, &loaded, "Lay it flat, −Y up: 4.00 cm³ of support, as loaded 0.10 cm³, sag 0.07–0.80 mm (estimate)."},
		{"none", 0, 5000, &loaded, "Lay it flat, −Y up: no support, where as loaded it needs 5.00 cm³, sag 0.07–0.80 mm (estimate)."},
		{"none either way", 0, 0, &loaded, "Lay it flat, −Y up: no support, sag 0.07–0.80 mm (estimate)."},
		{"nothing to hold against", 5000, 0, nil, "Lay it flat, −Y up: 5.00 cm³ of support, sag 0.07–0.80 mm (estimate)."},
		{"none as loaded", 5000, 0, &loaded, "Lay it flat, −Y up: 5.00 cm³ of support, sag 0.07–0.80 mm (estimate)."},
	} {
		t.Run(tc.name, func(t *testing.T) {
			c.Measures.SupportVolumeMM3, loaded.Measures.SupportVolumeMM3 = tc.mine, tc.theirs
			if got := plainSpaces(verdictSentence(&c, tc.against)); got != tc.want {
				t.Errorf("got  %q\nwant %q", got, tc.want)
			}
		})
	}
}

func TestTypeset(t *testing.T) {
	got := plainSpaces(kit.Typeset("rests on 40 mm2, tips at 20 deg, from -Y, plate 250 x 210, 12 mm3, 3 % more"))
	if want := "rests on 40 mm², tips at 20°, from −Y, plate 250 × 210, 12 mm³, 3 % more"; got != want {
		t.Errorf("typeset = %q, want %q", got, want)
	}
}

func TestCardFace(t *testing.T) {
	c := turned(3, "ZXY, +Z up", 0)
	c.Origin = orient.Given
	c.Measures = orient.Measures{TipAngleDeg: 20, SupportVolumeMM3: 1240, SagLowMM: 0.1, SagHighMM: 2, PrintTimeS: 6*3600 + 300}
	c.Gates = []orient.Gate{{Name: orient.GatePrinter, Passed: true}, {Name: orient.GateStands}, {Name: orient.GateSag}}
	f := faceOf(&c)
	if f.rank != "3" || f.tag != "your own" || f.fault != "tips over +1" {
		t.Errorf("face = %+v", f)
	}
	c.Gates[1].State, c.Gates[2].State = orient.Passed, orient.Doubtful
	c.Gates[1].Passed = true
	if f := faceOf(&c); f.fault != "perhaps sags too much" || !f.doubt {
		t.Errorf("in doubt: fault %q, doubt %v", f.fault, f.doubt)
	}
	want := [][2]string{{"support", "1.24 cm³"}, {"sag (est.)", "0.1–2.0 mm"}, {"print (est.)", "6 h 5 min"}}
	for i, w := range want {
		if got := [2]string{f.facts[i][0], plainSpaces(f.facts[i][1])}; got != w {
			t.Errorf("fact %d = %q, want %q", i, got, w)
		}
	}
}

// The verdict has room for two faults; what is in doubt is told where nothing fails.
func TestVerdictFaults(t *testing.T) {
	gate := func(name string, s orient.State) orient.Gate { return orient.Gate{Name: name, State: s} }
	thick, sag := gate(orient.GateDebinding, orient.Failed), gate(orient.GateSag, orient.Doubtful)
	for want, gates := range map[string][]orient.Gate{
		"":                      {gate(orient.GateStands, orient.Passed)},
		"wall too thick":        {sag, thick},
		"perhaps sags too much": {sag},
		"too big to print, too big to fire and 1 more": {gate(orient.GatePrinter, orient.Failed), gate(orient.GateFurnace, orient.Failed), thick, sag},
	} {
		if got := verdictFaults(&orient.Candidate{Gates: gates}); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}

// The verdict has no room for the angles that tell like ways apart.
func TestVerdictLeavesAnglesToTheCard(t *testing.T) {
	c := orient.Candidate{Name: "on its side, heavy side up, A +180 B -58 C -180 deg"}
	if got := instruction(&c); got != "Lay it on its side, heavy side up" {
		t.Errorf("it begins with %q", got)
	}
	if got := cardTitle(&c); !strings.HasSuffix(got, "A +180 B −58 C −180°") {
		t.Errorf("the card reads %q", got)
	}
	c.Name = "leaning 31 deg, heavy side down"
	if got := instruction(&c); got != "Lean it 31°, heavy side down" {
		t.Errorf("a lean begins with %q", got)
	}
}
