package window

import (
	"math"
	"path/filepath"
	"strings"
	"testing"

	"fyne.io/fyne/v2"

	"kilnpoise/orient/process"
)

// bookOf opens the firing book of an advised part.
func bookOf(t *testing.T) (*bench, *bookWindow) {
	t.Helper()
	b := advised(t, "tee.stl", tee())
	b.bookPath = filepath.Join(t.TempDir(), "shop", "firings.db")
	b.openFiringBook()
	b.idle(b.firings)
	return b, b.firings
}

// idle waits until the book has been read.
func (b *bench) idle(k *bookWindow) {
	b.t.Helper()
	b.until("the book", func() bool { return !k.working.running() })
}

// enter fills in a firing of the three outer sizes, and keeps it.
func (b *bench) enter(k *bookWindow, day string, shrinkage [3]float64) {
	b.t.Helper()
	k.enterNew()
	k.form.date.SetText(day)
	for i, row := range k.form.rows[:3] {
		nominal := numberOr(row.nominal)
		row.green.SetText(plainNumber(nominal / (1 - 0.16)))
		row.sintered.SetText(plainNumber(nominal / (1 - 0.16) * (1 - shrinkage[i])))
	}
	k.form.keepIt()
	b.idle(k)
}

func TestFiringsGiveTheShrinkage(t *testing.T) {
	b, k := bookOf(t)
	if k.view.fitted || !strings.Contains(k.view.why, "Nothing can be fitted yet") {
		t.Errorf("an empty book says %q", k.view.why)
	}
	b.enter(k, "2026-03-02", [3]float64{0.171, 0.169, 0.201})
	b.enter(k, "2026-03-09", [3]float64{0.173, 0.171, 0.203})
	b.enter(k, "2026-03-16", [3]float64{0.172, 0.170, 0.202})
	if len(k.view.firings) != 3 || !k.view.fitted {
		t.Fatalf("%d firings, fitted %v: %s", len(k.view.firings), k.view.fitted, b.board.Text("book"))
	}
	for i, want := range []float64{0.172, 0.170, 0.202} {
		if got := k.view.fit.Axes[i].Shrinkage; math.Abs(got-want) > 3e-4 {
			t.Errorf("axis %d shrinks by %.4f, want %.4f", i, got, want)
		}
	}
	was := b.desk.brief.Material.Shrinkage
	k.take()
	b.idle(k)
	now := b.desk.brief.Material
	if now.Shrinkage == was || math.Abs(now.Shrinkage[0]-0.172) > 3e-4 {
		t.Errorf("the brief has %v, had %v", now.Shrinkage, was)
	}
	kept, err := b.records.Materials.Get(now.ID)
	if err != nil || kept.Shrinkage != now.Shrinkage {
		t.Errorf("the record has %v (%v)", kept.Shrinkage, err)
	}
	shop := false
	for _, s := range kept.Sources {
		shop = shop || s.Item == "shrinkage" && s.Tag == process.Shop
	}
	if !shop {
		t.Errorf("the record does not say that the figure is the shop's own: %+v", kept.Sources)
	}
	if label, _ := b.keeping.history.CanUndo(); label != "take the shrinkage from the firing book" {
		t.Errorf("undo offers %q", label)
	}
}

// A part is entered green, and completed a week later.
func TestAFiringIsCompletedLater(t *testing.T) {
	b, k := bookOf(t)
	k.enterNew()
	if got := k.form.part.Text; got != "tee" {
		t.Errorf("the part is called %q, want that on the desk", got)
	}
	k.form.rows[0].green.SetText("38.1")
	k.form.keepIt()
	b.idle(k)
	if state := firingState(&k.view.firings[0]); !strings.Contains(state, "1 to be completed") {
		t.Errorf("half a firing is told as %q", state)
	}
	k.change(0)
	if got := k.form.rows[0].green.Text; got != "38.1" {
		t.Errorf("opened again, the green length is %q", got)
	}
	k.form.rows[0].sintered.SetText("32.0")
	k.form.keepIt()
	b.idle(k)
	if !k.view.fitted || len(k.view.firings) != 1 {
		t.Errorf("completed: fitted %v, %d firings", k.view.fitted, len(k.view.firings))
	}
}

func TestATakenOutFiringIsPutBack(t *testing.T) {
	b, k := bookOf(t)
	b.enter(k, "2026-03-02", [3]float64{0.17, 0.17, 0.2})
	k.remove(0)
	b.idle(k)
	if len(k.view.firings) != 0 {
		t.Fatal("the firing is still there")
	}
	b.until("the offer", func() bool { return len(k.board.notices) > 0 && len(k.board.notices[0].actions) > 0 })
	k.board.notices[0].actions[0].do()
	b.idle(k)
	if len(k.view.firings) != 1 {
		t.Error("the firing is not put back")
	}
}

func TestTablesGoOutAndIn(t *testing.T) {
	b, k := bookOf(t)
	b.enter(k, "2026-03-02", [3]float64{0.17, 0.17, 0.2})
	path := filepath.Join(t.TempDir(), "firings.csv")
	k.exportTo(path)
	b.idle(k)
	k.remove(0)
	b.idle(k)
	k.importFrom(path)
	b.idle(k)
	if len(k.view.firings) != 1 || len(k.view.firings[0].Readings) != 3 {
		t.Errorf("read back are %+v: %s", k.view.firings, k.board.Text("book"))
	}
	k.importFrom(filepath.Join(t.TempDir(), "missing.csv"))
	b.idle(k)
	if text := k.board.Text("book"); !strings.Contains(text, "cannot be read") {
		t.Errorf("a missing table says %q", text)
	}
}

func TestAWrongDayIsSaid(t *testing.T) {
	_, k := bookOf(t)
	k.enterNew()
	k.form.date.SetText("2nd of March")
	k.form.keepIt()
	if !k.page.entering || !strings.Contains(k.form.fault.text, "year, month, day") {
		t.Errorf("the form says %q", k.form.fault.text)
	}
}

func TestNothingOfTheBookIsCutOff(t *testing.T) {
	b, k := bookOf(t)
	b.enter(k, "2026-03-02", [3]float64{0.171, 0.169, 0.201})
	b.enter(k, "2026-03-09", [3]float64{0.173, 0.171, 0.203})
	for _, size := range []fyne.Size{fyne.NewSize(bookWidth, bookHeight), fyne.NewSize(900, 640)} {
		k.win.Resize(size)
		for _, text := range cutOff(k.win) {
			t.Errorf("%v, results: cut off: %s", size, text)
		}
		k.change(0)
		for _, text := range cutOff(k.win) {
			t.Errorf("%v, entry: cut off: %s", size, text)
		}
		k.escape()
		if k.page.entering {
			t.Error("Esc does not leave the entry")
		}
	}
}
