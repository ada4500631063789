package render

import (
	"math"
	"testing"

	"kilnpoise/orient"
	"kilnpoise/orient/process"
)

func TestDigitsOf(t *testing.T) {
	for _, c := range []struct {
		v      float64
		digits int
		want   string
	}{
		{1234.56, 0, "1235"}, {12345.6, 1, "12 345.6"}, {1234567, 0, "1 234 567"}, {-98765, 0, "-98 765"},
		{-0.001, 2, "0.00"}, {math.NaN(), 1, "–"}, {math.Inf(1), 1, "–"},
	} {
		if got := digitsOf(c.v, c.digits); got != c.want {
			t.Errorf("digitsOf(%g, %d) = %q, want %q", c.v, c.digits, got, c.want)
		}
	}
}

func TestBestOfTheRow(t *testing.T) {
	cs := make([]*orient.Candidate, 3)
	for i := range cs {
		c := sampleCandidate(i+1, orient.FromSearch, "Z")
		cs[i] = &c
	}
	cs[0].Measures.SagCollapses = true // the lowest number, but no number at all
	cs[0].Measures.SagMM = 0
	for _, r := range measureRows(cs) {
		var want [3]bool
		switch r.label {
		case "  gravity sag (estimate)":
			want = [3]bool{false, false, true}
		case "Footprint", "Tip angle", "  tip angle", "Overhang area", "Height, green":
			want = [3]bool{true, false, false}
		case "Dimension spread (estimate)", "  setter travel", "  out of reach", "  likely range": // alike, or no better and worse
		default:
			continue
		}
		got := r.best(cs)
		for i := range want {
			if got[i] != want[i] {
				t.Errorf("%s: best = %v, want %v", r.label, got, want)
				break
			}
		}
	}
}

func TestCollapseGivesNoMillimetres(t *testing.T) {
	for want, l := range map[string]*orient.Lying{
		"collapses": {TipAngleDeg: 20, SagMM: 6, SagLowMM: 2, SagHighMM: 24, SagCollapses: true},
		"topples":   {SagMM: 0.1, SagLowMM: 0.05, SagHighMM: 0.4},
	} {
		if sagWord(l) != want || sagRange(l) != "–" {
			t.Errorf("sag %q, range %q: of what %s no millimetres may be given", sagWord(l), sagRange(l), want)
		}
	}
}

func TestSheetCandidates(t *testing.T) {
	a := &orient.Advice{}
	for i := range 6 {
		origin := orient.FromSearch
		if i == 5 {
			origin = orient.AsLoaded
		}
		a.Candidates = append(a.Candidates, sampleCandidate(i+1, origin, "Z"))
	}
	for _, c := range []struct {
		chosen int
		want   []int
	}{{0, []int{1, 6, 2, 3}}, {3, []int{4, 6, 1, 2}}, {5, []int{6, 1, 2, 3}}} {
		got := SheetCandidates(a, &a.Candidates[c.chosen])
		for i, w := range c.want {
			if len(got) != len(c.want) || got[i].Rank != w {
				t.Errorf("chosen %d: place %d of %d holds %d, want ranks %v", c.chosen+1, i, len(got), got[i].Rank, c.want)
				break
			}
		}
	}
}

func TestTrustInWords(t *testing.T) {
	for tag, want := range map[process.Tag]string{
		"P": "published", "D + J": "derived, judgement", "C / P": "common practice, published", "S": "this shop",
		"": "source not recorded", "X": "X",
	} {
		if got := trust(tag); got != want {
			t.Errorf("trust(%q) = %q, want %q", tag, got, want)
		}
	}
}

func TestTradeWritesUnits(t *testing.T) {
	in, want := "1250 mm3 under 310 mm2, 42.9 x 42.9 mm, tips at 31 deg.", "1250\u00a0mm³ under 310\u00a0mm², 42.9 × 42.9\u00a0mm, tips at 31°."
	if got := trade(in); got != want {
		t.Errorf("trade = %q, want %q", got, want)
	}
}
