package process

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
)

var takenOn = time.Date(2026, 3, 2, 0, 0, 0, 0, time.UTC)

// What is proposed is what changes, in the order of the record, and the record
// takes it with tag, date and note; the one given stays as it was.
func TestProposalShowsWhatChanges(t *testing.T) {
	f := fitted(t, usualShop().fire(rand.New(rand.NewPCG(51, 52))), FitOptions{})
	m := steel(t)
	before := materialKind().clone(m)
	p := f.Propose(m, takenOn, " lot 7 ")
	if diff := cmp.Diff(before, m); diff != "" {
		t.Errorf("the record given was changed: %s", diff)
	}
	var keys []string
	for _, c := range p.Changes {
		keys = append(keys, c.Key+c.Axis)
		if c.Old == c.New || c.Label == "" || c.OldSource.Tag == "" {
			t.Errorf("change %+v", c)
		}
	}
	if got := strings.Join(keys, " "); got != "shrinkageX shrinkageY shrinkageZ shrinkage_spreadX shrinkage_spreadY shrinkage_spreadZ" {
		t.Errorf("changes %s", got)
	}
	for k, a := range f.Axes {
		near(t, "shrinkage", p.Record.Shrinkage[k], a.Shrinkage, proposalStep/2+1e-12)
		near(t, "spread", p.Record.ShrinkageSpread[k], a.Spread, proposalStep/2+1e-12)
		near(t, "oversize", p.OversizeNew[k], 1/(1-p.Record.Shrinkage[k]), 1e-12)
	}
	source, _ := sourceOf(p.Record.Sources, "shrinkage")
	if source.Tag != Shop || !strings.HasPrefix(source.Text, "firing book, 2026-03-02: 6 firings and 48 readings, 2026-01-01 to 2026-02-05; X 1") || !strings.HasSuffix(source.Text, "; lot 7") {
		t.Errorf("source %+v", source)
	}
	if err := p.Record.Validate(); err != nil {
		t.Error(err)
	}
}

// Saved, the record keeps the source given, and is read back the same.
func TestProposalIsKept(t *testing.T) {
	lib, again := openUser(t)
	f := fitted(t, usualShop().fire(rand.New(rand.NewPCG(51, 52))), FitOptions{Plain: true})
	p := f.Propose(steel(t), takenOn, "")
	if err := lib.Materials.Save(p.Record); err != nil {
		t.Fatal(err)
	}
	got, err := again().Materials.Get("316l")
	if err != nil {
		t.Fatal(err)
	}
	want, _ := sourceOf(p.Record.Sources, "shrinkage_spread")
	if source, _ := sourceOf(got.Sources, "shrinkage_spread"); source != want || got.Shrinkage != p.Record.Shrinkage {
		t.Errorf("kept %v, %+v", got.Shrinkage, source)
	}
	if more := f.Propose(got, takenOn, ""); len(more.Changes) != 0 {
		t.Errorf("taken over once, it still changes %v", more.Changes)
	}
}

// Axes that were not measured keep their figures and their source.
func TestProposalLeavesUnknownAxes(t *testing.T) {
	f := fitted(t, alongX([][]float64{{0.17}, {0.171}}), FitOptions{})
	m := steel(t)
	p := f.Propose(m, takenOn, "")
	if p.Record.Shrinkage != [3]float64{0.1705, 0.16, 0.20} || p.Record.ShrinkageSpread != m.ShrinkageSpread || len(p.Changes) != 1 {
		t.Errorf("proposed %v, %v: %+v", p.Record.Shrinkage, p.Record.ShrinkageSpread, p.Changes)
	}
	old, _ := sourceOf(m.Sources, "shrinkage")
	source, _ := sourceOf(p.Record.Sources, "shrinkage")
	if source.Tag != "S + C" || !strings.Contains(source.Text, "Y and Z as before (C: ") {
		t.Errorf("source %+v after %+v", source, old)
	}
	// again and again, the text stays of one length
	for range 5 {
		source, _ = sourceOf(f.Propose(p.Record, takenOn, "").Record.Sources, "shrinkage")
	}
	if source.Tag != "S + C" || len(source.Text) > 400 {
		t.Errorf("in the end %+v", source)
	}
	text := strings.Join(p.Remarks, "\n")
	for _, want := range []string{"it takes 3 firings", "Y stays as it is", "Z stays as it is"} {
		if !strings.Contains(text, want) {
			t.Errorf("remarks %q, want %q", text, want)
		}
	}
	if s, _ := sourceOf(p.Record.Sources, "shrinkage_spread"); s.Tag != Judgement {
		t.Errorf("source of the spread %+v", s)
	}
}

func TestProposalRemarks(t *testing.T) {
	m := steel(t)
	dense := fitted(t, alongX([][]float64{{0.25}, {0.251}, {0.2505}}), FitOptions{})
	if text := strings.Join(dense.Propose(m, takenOn, "").Remarks, "\n"); !strings.Contains(text, "of full density") {
		t.Errorf("remarks %q", text)
	}
	quiet := dense
	quiet.Axes[0].Spread = 0
	if text := strings.Join(quiet.Propose(m, takenOn, "").Remarks, "\n"); !strings.Contains(text, "the error of the instrument explains") {
		t.Errorf("remarks %q", text)
	}
	near(t, "rounding", rounded(0.16234999), 0.1623, 0)
	if !math.IsNaN(rounded(math.NaN())) {
		t.Error("NaN is rounded to a number")
	}
}
