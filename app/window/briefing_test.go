package window

import (
	"context"
	"path/filepath"
	"testing"

	"kilnpoise/app/window/kit"
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
	if b.brief.weights.Text != weighing(want) {
		t.Errorf("weighing = %q, want %q", b.brief.weights.Text, weighing(want))
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
	b.brief.editor.delete()
	if b.desk.brief.Material.Shrinkage[2] != 0.20 || b.records.Materials.Edited(kept.ID) {
		t.Errorf("back to %v", b.desk.brief.Material.Shrinkage)
	}
}

func TestRecordAtFaultIsNotMeasured(t *testing.T) {
	b, asked := recorded(t)
	b.takeFigure("line_width_mm", "", 0.1) // below the layer height: the record says no
	if b.brief.trouble.Text == "" {
		t.Error("nothing says what is wrong")
	}
	b.q.drain()
	if b.advising.running() || len(*asked) != 0 {
		t.Error("a record at fault is measured with")
	}
	b.takeFigure("line_width_mm", "", 0.5)
	old := b.desk.advice
	b.until("the advice", func() bool { return b.desk.advice != old && !b.advising.running() })
	if b.brief.trouble.Text != "" {
		t.Errorf("the fault stays: %q", b.brief.trouble.Text)
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

// A record whose figures are changed gets a name that is true to them, and where
// its ID states them, an ID of its own; the built-in one stays.
func TestChangedRecordsGetNamesOfTheirOwn(t *testing.T) {
	b, _ := recorded(t)
	b.editRecord(printerRecord)
	e := b.brief.editor
	change := func(key, axis string, v float64) {
		for _, f := range e.record.figures {
			if f.Key == key && f.Axis == axis {
				e.change(f, v)
			}
		}
	}
	change("height_mm", "", 180)
	if got := b.desk.brief.Printer.Name; got != "plate 250 x 210, height 180, changed" || e.name.Text != got {
		t.Errorf("changed for the part, the printer is %q on the desk and %q in the editor", got, e.name.Text)
	}
	if got := b.brief.selects[printerRecord].Selected; got != kit.Typeset("plate 250 x 210, height 180, changed") {
		t.Errorf("the brief shows %q", got)
	}
	e.save()
	p := b.desk.brief.Printer
	if p.Name != "plate 250 x 210, height 180, own" || p.ID == "plate-250x210" || b.prefs.recordIDs()[printerRecord] != p.ID {
		t.Errorf("kept as %q under %q", p.Name, p.ID)
	}
	if old, err := b.records.Printers.Get("plate-250x210"); err != nil || old.HeightMM != 210 || b.records.Printers.Edited(old.ID) {
		t.Errorf("the built-in printer has %g (%v)", old.HeightMM, err)
	}
	e.name.SetText("bench machine")
	e.save()
	if got := b.desk.brief.Printer; got.Name != "bench machine" || got.ID != p.ID {
		t.Errorf("renamed to %q under %q", got.Name, got.ID)
	}
}

// A record is copied, begun anew, and deleted; the part goes on with the usual one.
func TestRecordsAreCopiedMadeAndDeleted(t *testing.T) {
	b, _ := recorded(t)
	b.editRecord(furnaceRecord)
	e := b.brief.editor
	was := len(b.records.Furnaces.List())
	e.record.copy()
	if got := e.name.Text; got != "setter 200 x 160, height 150, copy" {
		t.Errorf("a copy is offered as %q", got)
	}
	e.save()
	first := b.desk.brief.Furnace
	if got := len(b.records.Furnaces.List()); got != was+1 || !b.records.Furnaces.Edited(first.ID) {
		t.Errorf("%d records after the copy, %q in use", got, first.ID)
	}
	e.record.make()
	e.save()
	if len(b.records.Furnaces.List()) != was+1 || b.desk.brief.Furnace.ID != first.ID {
		t.Error("a record without a name was kept")
	}
	e.name.SetText("pit furnace")
	for _, f := range e.record.figures {
		if f.Key == "height_mm" {
			e.change(f, 90)
		}
	}
	if b.desk.brief.Furnace.HeightMM != 150 {
		t.Error("a record that is not kept yet counts for the part")
	}
	e.save()
	if got := b.desk.brief.Furnace; got.ID != "pit-furnace" || got.HeightMM != 90 || b.recordChanged(furnaceRecord) {
		t.Errorf("kept %q with %g", got.ID, got.HeightMM)
	}
	e.delete()
	if got := b.desk.brief.Furnace; got.ID != "setter-200x160" || len(b.records.Furnaces.List()) != was+1 || b.prefs.recordIDs()[furnaceRecord] != got.ID {
		t.Errorf("after deleting, %q is in use", got.ID)
	}
	if !e.remove.Disabled() {
		t.Error("a built-in record can be deleted")
	}
}
