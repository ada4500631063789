package orient

import (
	"strings"
	"testing"
)

func TestPlacesHaveNoMinusBeforeNought(t *testing.T) {
	if got := (Triple{-0.3, 12.6, -4.5}).about(); got != "X 0, Y 13, Z -5" {
		t.Errorf("it reads %q", got)
	}
}

// How surely two ways stand is told where it differs, and from both sides.
func TestStandingIsComparedInWords(t *testing.T) {
	way := func(s State, tip float64) *Candidate {
		c := &Candidate{Gates: make([]Gate, gateCount)}
		c.Gates[gateStands].State = s
		c.Measures.TipAngleDeg = tip
		return c
	}
	for _, tt := range []struct {
		here, there *Candidate
		want        string
	}{
		{way(Passed, 40), way(Passed, 30), ""},
		{way(Failed, 2), way(Failed, 7), ""},
		{way(Passed, 45), way(Passed, 12), "It stands more surely than no. 2: it tips at 45 deg against 12 deg."},
		{way(Passed, 12), way(Passed, 45), "It stands less surely than no. 2: it tips at 12 deg against 45 deg."},
		{way(Passed, 45), way(Doubtful, 12), "Unlike no. 2 it is sure to stand."},
		{way(Doubtful, 45), way(Failed, 0), "Unlike no. 2 it stands."},
		{way(Doubtful, 45), way(Passed, 40), "Unlike no. 2 it is not sure to stand."},
		{way(Failed, 0), way(Passed, 40), "Unlike no. 2 it does not stand."},
	} {
		if got := standingAgainst(tt.here, tt.there, "no. 2"); got != tt.want {
			t.Errorf("%v at %v against %v at %v: %q, want %q", tt.here.Gates[gateStands].State, tt.here.Measures.TipAngleDeg,
				tt.there.Gates[gateStands].State, tt.there.Measures.TipAngleDeg, got, tt.want)
		}
	}
}

// What falls over has no cure of its own for its sag: standing comes first.
func TestWhatFallsHasNoCureForSag(t *testing.T) {
	b := testBrief(t)
	c := &Candidate{}
	if cure := b.cure(gateSag, c, Failed); cure != "" {
		t.Errorf("the cure is %q", cure)
	}
	c.Measures.TipAngleDeg = 40
	if cure := b.cure(gateSag, c, Failed); !strings.Contains(cure, "stiffen") {
		t.Errorf("of a part that stands it is %q", cure)
	}
}
