package window

import (
	"testing"

	"kilnpoise/orient"
)

func TestWeighing(t *testing.T) {
	got := plainSpaces(weighing(orient.Priorities{orient.LessSupport: 3, orient.LessSag: 1}))
	want := "Of the whole weight: less cutting of supports 75 %, less sag 25 %. A failed gate outweighs them all."
	if got != want {
		t.Errorf("weighing = %q, want %q", got, want)
	}
	if got, want := weighing(orient.Priorities{}), weighing(orient.DefaultPriorities()); got != want {
		t.Errorf("no weight at all reads %q, want the usual %q", got, want)
	}
}

func TestLeading(t *testing.T) {
	for _, tc := range []struct {
		p    orient.Priorities
		want string
	}{
		{orient.Priorities{orient.LessSag: 5, orient.LessSupport: 4}, "less sag"},
		{orient.Priorities{orient.LessSag: 5, orient.LessSupport: 5}, "less cutting of supports and less sag"},
		{orient.Priorities{2, 2, 2, 2, 2}, "5 things alike"},
	} {
		if got := leading(tc.p); got != tc.want {
			t.Errorf("leading(%v) = %q, want %q", tc.p, got, tc.want)
		}
	}
}

func TestFirstPlace(t *testing.T) {
	share := func(shares ...float64) []orient.Candidate {
		var all []orient.Candidate
		for i, s := range shares {
			all = append(all, orient.Candidate{Rank: i + 1, FirstShare: s})
		}
		return all
	}
	for _, tc := range []struct {
		name string
		all  []orient.Candidate
		want string
	}{
		{"alone", share(1), ""},
		{"firm", share(1, 0, 0), "No. 1 comes first in 100 % of all ways to weigh them, and no other in any to speak of."},
		{"not firm", share(0.55, 0.05, 0.4), "No. 1 comes first in 55 % of all ways to weigh them, no. 3 in 40 %."},
	} {
		t.Run(tc.name, func(t *testing.T) {
			if got := plainSpaces(firstPlace(tc.all)); got != tc.want {
				t.Errorf("got %q, want %q", got, tc.want)
			}
		})
	}
}
