package window

import (
	"context"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"fyne.io/fyne/v2"
	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/app/book"
	"kilnpoise/app/window/kit"
)

// bookOf opens the firing book of a window with nothing on its desk.
func bookOf(t *testing.T) (*bench, *bookWindow) {
	t.Helper()
	return opened(t, newBench(t, &scripted{}, 1280, 770))
}

// bookOfPart opens the firing book beside an advised part.
func bookOfPart(t *testing.T) (*bench, *bookWindow) {
	t.Helper()
	return opened(t, advised(t, "tee.stl", tee()))
}

func opened(t *testing.T, b *bench) (*bench, *bookWindow) {
	t.Helper()
	b.bookPath = filepath.Join(t.TempDir(), "shop", "firings.db")
	b.openFiringBook()
	t.Cleanup(func() { b.firings.end() })
	b.idle(b.firings)
	return b, b.firings
}

// idle waits until nothing is being done with the book.
func (b *bench) idle(k *bookWindow) {
	b.t.Helper()
	b.until("the book", func() bool { return !k.busy() })
}

// readGreen and readFired enter what the first three lengths, along X, Y and Z of
// the print, measured.
func readGreen(k *bookWindow) {
	for _, row := range k.form.readings[:3] {
		if row.wanted.Text == "" {
			row.name.SetText("side " + row.direction.Selected[:1])
			row.wanted.SetText("40")
		}
		row.green.SetText(row.greenWanted.Text)
	}
}

func readFired(t *testing.T, k *bookWindow, shrinkage [3]float64) {
	t.Helper()
	for i, row := range k.form.readings[:3] {
		green, err := row.green.Number()
		if err != nil || green == 0 {
			t.Fatalf("length %d measured %g green (%v)", i, green, err)
		}
		row.sintered.SetText(kit.PlainNumber(math.Round(green*(1-shrinkage[i])*1e4) / 1e4))
	}
}

// enter puts a whole firing into the book.
func (b *bench) enter(k *bookWindow, day string, shrinkage [3]float64) {
	b.t.Helper()
	k.enterNew()
	k.form.date.SetText(day)
	readGreen(k)
	readFired(b.t, k, shrinkage)
	k.keepForm()
	b.idle(k)
	if k.page.entering {
		b.t.Fatalf("the firing of %s is not kept: %s %s", day, k.form.report.Text, k.board.Text("trouble"))
	}
}

func TestBookFitsTwoFirings(t *testing.T) {
	b, k := bookOfPart(t)
	if k.results.take.Disabled() == false || len(k.firings) != 0 {
		t.Errorf("an empty book has %d firings, and its figures could be taken over", len(k.firings))
	}
	b.enter(k, "2026-03-02", [3]float64{0.171, 0.169, 0.201})
	b.enter(k, "2026-03-09", [3]float64{0.173, 0.171, 0.203})
	if len(k.firings) != 2 || !k.fit.fitted {
		t.Fatalf("%d firings, fitted %v", len(k.firings), k.fit.fitted)
	}
	for i, want := range []float64{0.172, 0.170, 0.202} {
		a := k.fit.shrink.Axes[i]
		if math.Abs(a.Shrinkage-want) > 2e-4 {
			t.Errorf("axis %d shrinks by %.4f, want %.4f", i, a.Shrinkage, want)
		}
		if !(a.Low < want && want < a.High) {
			t.Errorf("axis %d: the interval is %.4f to %.4f", i, a.Low, a.High)
		}
	}
	if got := k.list.rows.lines[0].title; !strings.HasPrefix(plainSpaces(got), "2. 2026-03-09, tee") {
		t.Errorf("the list begins with %q, want the newest", got)
	}
	k.win.Canvas().Capture() // lays out, which tells the charts their width
	b.until("the charts", func() bool { return k.results.charts[0].drawn != nil && k.results.charts[2].drawn != nil })
}

// A part is entered green on Monday, and completed a week later.
func TestBookCompletesAFiringLater(t *testing.T) {
	b, k := bookOfPart(t)
	k.enterNew()
	if got := k.form.part.Text; got != "tee" {
		t.Errorf("the part is called %q, want that on the desk", got)
	}
	readGreen(k)
	k.form.greenMass.SetText("41,2")
	k.keepForm()
	b.idle(k)
	f := k.firings[0]
	if state, complete := firingState(&f); complete || !strings.Contains(state, "3 still to be completed") {
		t.Errorf("half a firing is told as %q", state)
	}
	if f.GreenMassG != 41.2 || f.PartSHA256 != b.desk.part.SHA256 || f.GreenVolumeMM3 < b.desk.part.Mesh.Volume() {
		t.Errorf("kept: %+v", f)
	}
	if k.fit.fitted {
		t.Error("green lengths alone give a fit")
	}
	k.hide()
	b.openFiringBook()
	b.idle(k)
	k.change(f.ID)
	readFired(t, k, [3]float64{0.17, 0.17, 0.2})
	k.form.mass.SetText("36.9")
	k.keepForm()
	b.idle(k)
	completed(t, k)
	actionOf(t, k.board, "book", "Take it back")()
	b.idle(k)
	if got := k.firings[0]; got.SinteredMassG != 0 || got.Readings[0].SinteredMM != 0 {
		t.Errorf("after taking the change back: %+v", got)
	}
}

// completed looks at the one firing that was completed.
func completed(t *testing.T, k *bookWindow) {
	t.Helper()
	if !k.fit.fitted || len(k.firings) != 1 || k.firings[0].Revision != 2 {
		t.Fatalf("completed: fitted %v, firings %+v", k.fit.fitted, k.firings)
	}
	if !math.IsNaN(k.fit.shrink.Axes[0].High) {
		t.Error("one firing gives an interval")
	}
	if len(k.fit.density) != 1 || math.Abs(k.fit.density[0].check.MassLoss-(1-36.9/41.2)) > 1e-9 {
		t.Errorf("density check: %+v", k.fit.density)
	}
}

// actionOf finds what a button of a notice does.
func actionOf(t *testing.T, board *noticeBoard, key, label string) func() {
	t.Helper()
	for _, n := range board.notices {
		for _, a := range n.actions {
			if n.key == key && a.label == label {
				return a.do
			}
		}
	}
	t.Fatalf("no notice %q offers %q: %+v", key, label, board.notices)
	return nil
}

func TestBookPutsAFiringBack(t *testing.T) {
	b, k := bookOf(t)
	b.enter(k, "2026-03-02", [3]float64{0.17, 0.17, 0.2})
	was := k.firings[0]
	k.list.rows.TypedKey(&fyne.KeyEvent{Name: fyne.KeyDelete})
	b.idle(k)
	if len(k.firings) != 0 {
		t.Fatal("the firing is still there")
	}
	actionOf(t, k.board, "book", "Put it back")()
	b.idle(k)
	if len(k.firings) != 1 || k.firings[0].ID != was.ID || len(k.firings[0].Readings) != len(was.Readings) {
		t.Errorf("put back are %+v", k.firings)
	}
}

func TestBookTablesGoOutAndIn(t *testing.T) {
	b, k := bookOf(t)
	b.enter(k, "2026-03-02", [3]float64{0.17, 0.17, 0.2})
	was := k.firings[0]
	path := filepath.Join(t.TempDir(), "firings.csv")
	k.exportTo(path, false)
	b.idle(k)
	if !exists(path) {
		t.Fatalf("no table: %s", k.board.Text("trouble"))
	}
	k.importFrom(path)
	b.idle(k)
	if text := plainSpaces(k.board.Text("book")); len(k.firings) != 1 || text != "0 firings read in, 1 already in the book passed over." {
		t.Errorf("read in again: %d firings, %q", len(k.firings), text)
	}
	k.remove(was.ID)
	b.idle(k)
	k.importFrom(path)
	b.idle(k)
	if len(k.firings) != 1 || k.firings[0].Key != was.Key || k.firings[0].Readings[2] != was.Readings[2] {
		t.Errorf("read back are %+v, want %+v", k.firings, was)
	}
	bad := filepath.Join(t.TempDir(), "bad.csv")
	if err := os.WriteFile(bad, []byte("date,material\nyesterday,316l\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	for _, path := range []string{bad, filepath.Join(t.TempDir(), "missing.csv")} {
		k.importFrom(path)
		b.idle(k)
		if text := k.board.Text("trouble"); !strings.Contains(text, "read") || len(k.firings) != 1 {
			t.Errorf("%s says %q", filepath.Base(path), text)
		}
	}
}

// fired is a firing of March with some lengths of 40 mm, along the axes in turn.
func fired(k *bookWindow, day, lengths int, shrinkage func(axis int) float64) book.Firing {
	f := book.Firing{Date: time.Date(2026, 3, day, 0, 0, 0, 0, time.UTC), Material: k.material, Furnace: k.furnace}
	for i := range lengths {
		r := plannedLength(fmt.Sprintf("side %d", i+1), r3.Vec{}, unitAxis(i%3), 40)
		r.GreenMM, r.SinteredMM = 48, math.Round(4800*(1-shrinkage(i%3)))/100
		f.Readings = append(f.Readings, r)
	}
	return f
}

// add puts firings into the book without the form.
func (b *bench) add(k *bookWindow, firings []book.Firing) {
	b.t.Helper()
	k.write("", func(ctx context.Context, in *book.Book) error {
		_, err := in.AddAll(ctx, firings)
		return err
	}, func(err error) {
		if err != nil {
			b.t.Error(err)
		}
		k.reload()
	})
	b.idle(k)
}

// An outlier is named with the way to it, drawn as one, and left out when the user
// says so.
func TestBookNamesOutliers(t *testing.T) {
	b, k := bookOf(t)
	var firings []book.Firing
	for i := range 8 {
		d := 0.0004 * float64(i%3-1)
		s := [3]float64{0.172 + d, 0.170 - d, 0.202 + d}
		if i == 5 {
			s[0] = 0.21
		}
		firings = append(firings, fired(k, 2+3*i, 3, func(axis int) float64 { return s[axis] }))
	}
	b.add(k, firings)
	if len(k.fit.shrink.Outliers) != 1 {
		t.Fatalf("outliers: %+v", k.fit.shrink.Outliers)
	}
	id := k.fit.firingOf(k.fit.shrink.Outliers[0])
	if id != 6 {
		t.Errorf("the outlier is in firing %d, want 6", id)
	}
	f, of := k.fit.axisChart(0)
	for i, p := range f.Points {
		if p.Outlier != (k.fit.owners[of[i]] == 6) {
			t.Errorf("point %d of firing %d: outlier %v", i, k.fit.owners[of[i]], p.Outlier)
		}
	}
	k.change(id)
	k.form.readings[0].leave.OnTapped()
	k.keepForm()
	b.idle(k)
	if len(k.fit.shrink.Outliers) != 0 || math.Abs(k.fit.shrink.Axes[0].Shrinkage-0.172) > 3e-4 {
		t.Errorf("left out, X shrinks by %.4f, outliers %+v", k.fit.shrink.Axes[0].Shrinkage, k.fit.shrink.Outliers)
	}
	if f, _ := k.fit.axisChart(0); !f.Points[5].LeftOut {
		t.Errorf("the point left out is not drawn as one: %+v", f.Points)
	}
}

// complainCutOff fails where a text of the book is not seen whole.
func complainCutOff(t *testing.T, k *bookWindow, state string) {
	t.Helper()
	leadsOn := []string{`"Take over into my record…" is shortened`, `"Take the sag over…" is shortened`, `"Reading the book …" is shortened`,
		`"Working out what follows …" is shortened`}
	for _, text := range cutOff(k.win) {
		known := false
		for _, l := range leadsOn {
			known = known || text == l
		}
		if !known {
			t.Errorf("%v, %s: cut off: %s", k.win.Canvas().Size(), state, text)
		}
	}
}

func TestBookCutsNothingOff(t *testing.T) {
	b, k := bookOf(t)
	for _, size := range []fyne.Size{fyne.NewSize(bookWidth, bookHeight), fyne.NewSize(900, 640)} {
		k.win.Resize(size)
		complainCutOff(t, k, "empty or few")
		b.enter(k, "2026-03-02", [3]float64{0.171, 0.169, 0.201})
		b.enter(k, "2026-03-09", [3]float64{0.173, 0.171, 0.203})
		complainCutOff(t, k, "results")
		k.beginTaking()
		complainCutOff(t, k, "taking over")
		k.endTaking()
		k.change(k.firings[0].ID)
		k.form.moreSags()
		row := k.form.readings[0]
		row.sintered.SetText("99")
		complainCutOff(t, k, "entry")
		k.leaveForm()
		complainCutOff(t, k, "entry with a question")
		k.closeForm()
		k.remove(k.firings[0].ID)
		b.idle(k)
		complainCutOff(t, k, "removed")
	}
	k.win.Resize(fyne.NewSize(500, 300))
	if len(cutOff(k.win)) == 0 {
		t.Error("nothing is cut off in far too small a window: the check sees nothing")
	}
}
