package window

import (
	"context"
	"path/filepath"
	"testing"

	"kilnpoise/orient"
)

// recorded counts the revisions that the window asks for.
func recorded(t *testing.T) (*bench, *[]orient.Brief) {
	var asked []orient.Brief
	e := &scripted{}
	b := newBench(t, e, 1280, 770)
	b.begin(stlFile(t, "tee.stl", tee()))
	b.waitAdvised()
	e.revise = func(ctx context.Context, a *orient.Advice, br orient.Brief, r func(orient.Progress)) (*orient.Advice, error) {
		asked = append(asked, br)
		return e.workshop.Revise(ctx, a, e.short(br), r)
	}
	return b, &asked
}

func TestPrioritiesReRankOnceTheSliderRests(t *testing.T) {
	b, asked := recorded(t)
	for _, w := range []float64{1, 2, 3} {
		b.brief.sliders.sliders[orient.ShorterPrint].SetValue(w)
	}
	if b.advising.running() {
		t.Error("the work began while the slider still moved")
	}
	old := b.desk.advice
	b.until("the ranking anew", func() bool { return b.desk.advice != old && !b.advising.running() })
	if len(*asked) != 1 || (*asked)[0].Priorities[orient.ShorterPrint] != 3 {
		t.Errorf("asked for %d revisions, the last with %v", len(*asked), (*asked)[len(*asked)-1].Priorities)
	}
	if got := b.prefs.priorities()[orient.ShorterPrint]; got != 3 {
		t.Errorf("kept weight = %v", got)
	}
	want := orient.DefaultPriorities()
	want[orient.ShorterPrint] = 3
	if b.brief.weights.text != weighing(want) {
		t.Errorf("weighing = %q, want %q", b.brief.weights.text, weighing(want))
	}
}

func TestFigureIsMeasuredAnewAndKeptOnRequest(t *testing.T) {
	b, asked := recorded(t)
	b.takeFigure("shrinkage", "Z", 0.18)
	old := b.desk.advice
	b.until("the advice anew", func() bool { return b.desk.advice != old && !b.advising.running() })
	if got := (*asked)[0].Material.Shrinkage[2]; got != 0.18 {
		t.Errorf("measured with %v", got)
	}
	if !b.recordChanged(materialRecord) {
		t.Error("the change is not told")
	}
	b.editRecord(materialRecord)
	b.brief.editor.save()
	kept, err := b.records.Materials.Get(b.desk.brief.Material.ID)
	if err != nil || kept.Shrinkage[2] != 0.18 {
		t.Fatalf("kept %v, %v", kept.Shrinkage, err)
	}
	if b.recordChanged(materialRecord) || !b.records.Materials.Edited(kept.ID) {
		t.Error("the record is not the user's own now")
	}
	b.brief.editor.reset()
	if b.desk.brief.Material.Shrinkage[2] != 0.20 || b.records.Materials.Edited(kept.ID) {
		t.Errorf("back to %v", b.desk.brief.Material.Shrinkage)
	}
}

func TestRecordAtFaultIsNotMeasured(t *testing.T) {
	b, asked := recorded(t)
	b.takeFigure("line_width_mm", "", 0.1) // below the layer height: the record says no
	if b.brief.trouble.text == "" {
		t.Error("nothing says what is wrong")
	}
	b.q.drain()
	if b.advising.running() || len(*asked) != 0 {
		t.Error("a record at fault is measured with")
	}
	b.takeFigure("line_width_mm", "", 0.5)
	old := b.desk.advice
	b.until("the advice", func() bool { return b.desk.advice != old && !b.advising.running() })
	if b.brief.trouble.text != "" {
		t.Errorf("the fault stays: %q", b.brief.trouble.text)
	}
}

func TestAnotherRecordIsTaken(t *testing.T) {
	b, asked := recorded(t)
	for i, p := range b.records.Printers.List() {
		if p.ID != b.desk.brief.Printer.ID {
			b.brief.selects[printerRecord].SetSelectedIndex(i)
			break
		}
	}
	old := b.desk.advice
	b.until("the advice", func() bool { return b.desk.advice != old && !b.advising.running() })
	if got := (*asked)[0].Printer.ID; got == "plate-250x210" || got != b.prefs.recordIDs()[printerRecord] {
		t.Errorf("asked with printer %q, kept %q", got, b.prefs.recordIDs()[printerRecord])
	}
}

func TestRecordsGoToTheUsersFolder(t *testing.T) {
	b, _ := recorded(t)
	b.takeFigure("overhang_limit_deg", "", 40)
	b.editRecord(materialRecord)
	b.brief.editor.save()
	// The folder of the test's library is the only place that was given.
	if !b.records.Materials.Edited("316l") {
		t.Error("no copy of the user's own")
	}
	if got := filepath.Base(b.desk.brief.Material.ID); got != "316l" {
		t.Errorf("ID = %q", got)
	}
}
