package window

import (
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/orient"
	"kilnpoise/orient/furnace"
	"kilnpoise/orient/support"
)

func TestPlanTotals(t *testing.T) {
	p := &support.Plan{MassG: 9.26, Limits: support.Limits{Cutter: support.Cutter{DiameterMM: 3, LengthMM: 70}}}
	for count, want := range map[int]string{0: "70 mm.", 1: "One small place", 4: "4 small places"} {
		p.Small.Count = count
		got := plainSpaces(planTotals(p))
		if !strings.Contains(got, want) || !strings.Contains(got, "9.3 g (estimate)") {
			t.Errorf("%d small places: %q, want it to hold %q", count, got, want)
		}
	}
}

// The pose comes before the advice on the setter; a candidate that was not looked
// at says nothing.
func TestLayingDown(t *testing.T) {
	c := &orient.Candidate{}
	if got := layingDown(c, []string{"On sand."}); len(got) != 1 {
		t.Errorf("%q", got)
	}
	c.Resting = &orient.Resting{Reason: "Fire it as printed."}
	if got := layingDown(c, []string{"On sand."}); len(got) != 2 || got[0] != "Fire it as printed." {
		t.Errorf("%q", got)
	}
	c.Resting = &orient.Resting{Reason: "Lay it down.", Chosen: 1, Poses: []furnace.Pose{{AsPrinted: true}, {Down: r3.Vec{Y: -1}}}}
	if got := layingDown(c, []string{"On sand."}); len(got) != 2 || got[0] != "Laid on its −Y face, not as printed." {
		t.Errorf("%q", got)
	}
	if got := layingDown(&orient.Candidate{}, nil); len(got) != 0 {
		t.Errorf("%q", got)
	}
}

// Where the best takes more support than as loaded, the verdict says what is wrong
// with leaving it so.
func TestVerdictOfARescue(t *testing.T) {
	c, loaded := turned(1, "flat, -Y up", 90), turned(2, "as loaded", 0)
	loaded.Origin = orient.AsLoaded
	loaded.Gates = []orient.Gate{{Name: orient.GateStands}}
	c.Measures = orient.Measures{TipAngleDeg: 20, SagLowMM: 0.07, SagHighMM: 0.8, SupportVolumeMM3: 9000}
	loaded.Measures.SupportVolumeMM3 = 3000
	want := "Lay it flat, −Y up: all gates passed (as loaded: tips over), 9.00 cm³ of support, sag 0.07–0.80 mm (estimate)."
	if got := plainSpaces(verdictSentence(&c, &loaded)); got != want {
		t.Errorf("got  %q\nwant %q", got, want)
	}
}
