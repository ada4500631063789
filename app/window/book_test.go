package window

import (
	"context"
	"database/sql"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/test"
	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/app/book"
	"kilnpoise/assets"
	"kilnpoise/mesh"
	"kilnpoise/orient"
	"kilnpoise/orient/furnace"
	"kilnpoise/orient/mark"
	"kilnpoise/orient/process"
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
		row.sintered.SetText(plainNumber(math.Round(green*(1-shrinkage[i])*1e4) / 1e4))
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
		b.t.Fatalf("the firing of %s is not kept: %s %s", day, k.form.report.text, k.board.Text("trouble"))
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
	if !k.fit.fitted || len(k.firings) != 1 || k.firings[0].Revision != 2 {
		t.Fatalf("completed: fitted %v, firings %+v", k.fit.fitted, k.firings)
	}
	if k.fit.shrink.Axes[0].High == k.fit.shrink.Axes[0].High {
		t.Error("one firing gives an interval")
	}
	if len(k.fit.density) != 1 || math.Abs(k.fit.density[0].check.MassLoss-(1-36.9/41.2)) > 1e-9 {
		t.Errorf("density check: %+v", k.fit.density)
	}
	takeBack := actionOf(t, k.board, "book", "Take it back")
	takeBack()
	b.idle(k)
	if got := k.firings[0]; got.SinteredMassG != 0 || got.Readings[0].SinteredMM != 0 {
		t.Errorf("after taking the change back: %+v", got)
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

func TestBookTakesOverIntoTheRecord(t *testing.T) {
	b, k := bookOfPart(t)
	for i, day := range []string{"2026-03-02", "2026-03-09", "2026-03-16"} {
		d := float64(i-1) * 0.001
		b.enter(k, day, [3]float64{0.172 + d, 0.170 - d, 0.202 + d})
	}
	was := b.desk.brief.Material
	b.desk.brief.Material.BridgeSpanMM = was.BridgeSpanMM + 1 // for this part alone
	test.Tap(k.results.take)
	if !k.page.taking || len(k.taking.what.rows) < 6 {
		t.Fatalf("the figures are not shown: %+v", k.taking.what)
	}
	row := k.taking.what.rows[0]
	if plainSpaces(typeset(row.old)) != fmt.Sprintf("%.2f %%", 100*was.Shrinkage[0]) || plainSpaces(typeset(row.now)) != "17.20 %" {
		t.Errorf("side by side stand %+v", row)
	}
	if got, _ := b.records.Materials.Get(was.ID); got.Shrinkage != was.Shrinkage {
		t.Error("the record was changed before it was confirmed")
	}
	k.taking.note.SetText("new bricks")
	test.Tap(k.taking.keep)
	b.idle(k)
	now := b.desk.brief.Material
	if math.Abs(now.Shrinkage[0]-0.172) > 1e-4 || now.BridgeSpanMM != was.BridgeSpanMM+1 {
		t.Errorf("the brief has %v, and a bridge of %g", now.Shrinkage, now.BridgeSpanMM)
	}
	kept, err := b.records.Materials.Get(now.ID)
	if err != nil || kept.Shrinkage != now.Shrinkage || kept.BridgeSpanMM != was.BridgeSpanMM {
		t.Errorf("the record has %v and a bridge of %g (%v)", kept.Shrinkage, kept.BridgeSpanMM, err)
	}
	isOfShop(t, &kept, "new bricks")
	if label, _ := b.keeping.history.CanUndo(); label != "take the shrinkage from the firing book" {
		t.Errorf("undo offers %q", label)
	}
	b.until("the advice with it", func() bool { return b.desk.advice.Brief.Material.Shrinkage == now.Shrinkage })
}

// isOfShop fails where the record does not say that its shrinkage is the shop's own,
// with the note.
func isOfShop(t *testing.T, m *process.Material, note string) {
	t.Helper()
	for _, s := range m.Sources {
		if s.Item == "shrinkage" && s.Tag == process.Shop && strings.Contains(s.Text, note) {
			return
		}
	}
	t.Errorf("the record does not say where the figure is from: %+v", m.Sources)
}

// The desk keeps its material when the book is of another.
func TestBookOfAnotherMaterialLeavesTheDesk(t *testing.T) {
	b, k := bookOf(t)
	desk := b.desk.brief.Material
	var other process.Material
	for _, m := range b.records.Materials.List() {
		if m.ID != desk.ID {
			other = m
		}
	}
	k.list.material.SetSelectedIndex(k.materials.index(other.ID))
	b.idle(k)
	b.enter(k, "2026-03-02", [3]float64{0.151, 0.152, 0.153})
	if k.firings[0].Material != other.ID {
		t.Fatalf("the firing is of %s", k.firings[0].Material)
	}
	k.beginTaking()
	k.taking.doKeep()
	b.idle(k)
	kept, _ := b.records.Materials.Get(other.ID)
	if math.Abs(kept.Shrinkage[0]-0.151) > 1e-4 || b.desk.brief.Material.Shrinkage != desk.Shrinkage || b.desk.brief.Material.ID != desk.ID {
		t.Errorf("the record has %v; the desk has %s with %v", kept.Shrinkage, b.desk.brief.Material.ID, b.desk.brief.Material.Shrinkage)
	}
}

func TestBookTablesGoOutAndIn(t *testing.T) {
	b, k := bookOf(t)
	b.enter(k, "2026-03-02", [3]float64{0.17, 0.17, 0.2})
	was := k.firings[0]
	path := filepath.Join(t.TempDir(), "firings")
	k.exportTo(path, false)
	b.idle(k)
	if !exists(path + ".csv") {
		t.Fatalf("no table: %s", k.board.Text("trouble"))
	}
	k.importFrom(path + ".csv")
	b.idle(k)
	if text := plainSpaces(k.board.Text("book")); len(k.firings) != 1 || text != "0 firings read in, 1 already in the book passed over." {
		t.Errorf("read in again: %d firings, %q", len(k.firings), text)
	}
	k.remove(was.ID)
	b.idle(k)
	k.importFrom(path + ".csv")
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

// What cannot be read is said and never taken for nothing.
func TestBookSaysWhatItCannotRead(t *testing.T) {
	b, k := bookOf(t)
	k.enterNew()
	readGreen(k)
	for _, tt := range []struct {
		name  string
		entry *bookEntry
		text  string
		want  string
	}{
		{"date", k.form.date, "2nd of March", "is no date"},
		{"mass", k.form.greenMass, "4l", "green mass is not a number"},
		{"length", k.form.readings[0].sintered, "3o.1", "is not a number"},
		{"swapped", k.form.readings[0].sintered, "99", "swapped"},
		{"far", k.form.readings[1].sintered, "1", "shrinkage of"},
	} {
		was := tt.entry.Text
		tt.entry.SetText(tt.text)
		k.keepForm()
		b.idle(k)
		if !k.page.entering || !strings.Contains(k.form.report.text, tt.want) {
			t.Errorf("%s: the form says %q, want %q", tt.name, k.form.report.text, tt.want)
		}
		tt.entry.SetText(was)
	}
	k.keepForm()
	b.idle(k)
	if k.page.entering || len(k.firings) != 1 {
		t.Errorf("corrected, it is not kept: %s", k.form.report.text)
	}
}

// Esc never throws away what was entered, nor does quitting.
func TestBookEscAsksBeforeLosing(t *testing.T) {
	b, k := bookOf(t)
	k.enterNew()
	k.escape()
	if k.page.entering {
		t.Fatal("Esc does not leave a form that nothing was entered in")
	}
	k.enterNew()
	k.form.run.SetText("2026-014")
	k.form.run.TypedKey(&fyne.KeyEvent{Name: fyne.KeyEscape})
	if !k.page.entering || k.board.Text("draft") == "" {
		t.Fatal("Esc throws away what was entered")
	}
	b.close()
	if b.ctx.Err() != nil || b.board.Text("firing") == "" {
		t.Fatal("quitting throws away what was entered")
	}
	k.hide()
	b.openFiringBook()
	b.idle(k)
	if !k.page.entering || k.form.run.Text != "2026-014" {
		t.Error("closed and opened, the entry is lost")
	}
	actionOf(t, k.board, "draft", "Throw it away")()
	if k.page.entering {
		t.Error("thrown away, the form is still there")
	}
	if !k.mayEnd() {
		t.Error("nothing is entered, and the program may not end")
	}
	k.win.Canvas().Unfocus()
	k.win.Canvas().OnTypedKey()(&fyne.KeyEvent{Name: fyne.KeyEscape})
	if k.shown {
		t.Error("Esc does not close the book")
	}
}

// The shortcuts work while something is typed.
func TestBookShortcutsReachThroughEntries(t *testing.T) {
	b, k := bookOf(t)
	press := func(key fyne.KeyName) {
		s := &desktop.CustomShortcut{KeyName: key, Modifier: fyne.KeyModifierShortcutDefault}
		if f, ok := k.win.Canvas().Focused().(fyne.Shortcutable); ok {
			f.TypedShortcut(s)
			return
		}
		k.win.Canvas().(fyne.Shortcutable).TypedShortcut(s)
	}
	press(fyne.KeyN)
	if !k.page.entering {
		t.Fatal("Ctrl+N begins no firing")
	}
	k.win.Canvas().Focus(k.form.readings[0].green)
	readGreen(k)
	press(fyne.KeyS)
	b.idle(k)
	if len(k.firings) != 1 {
		t.Errorf("Ctrl+S does not keep it: %s", k.form.report.text)
	}
	k.enterNew()
	k.win.Canvas().Focus(k.form.part)
	press(fyne.KeyW)
	if k.shown {
		t.Error("Ctrl+W does not close the book")
	}
}

// Tab and Enter walk through the whole form, and what has the focus is in view.
func TestBookIsWalkedThroughByKey(t *testing.T) {
	_, k := bookOf(t)
	k.win.Resize(fyne.NewSize(900, 640))
	k.begin(fired(k, 2, 12, func(int) float64 { return 0.17 }))
	k.win.Canvas().Focus(k.form.date)
	last := k.form.readings[11].sintered
	reached := false
	for range 200 {
		was := k.win.Canvas().Focused()
		if e, ok := was.(*bookEntry); ok && !e.MultiLine {
			e.TypedKey(&fyne.KeyEvent{Name: fyne.KeyReturn})
		} else if tabs, ok := was.(fyne.Tabbable); ok && tabs.AcceptsTab() {
			t.Fatalf("%T keeps the Tab key", was)
		} else {
			k.win.Canvas().FocusNext()
		}
		if reached = k.win.Canvas().Focused() == last; reached {
			break
		}
	}
	if !reached {
		t.Fatal("the last length is not reached")
	}
	at, s := fyne.CurrentApp().Driver().AbsolutePositionForObject(last), k.form.scroll
	top := fyne.CurrentApp().Driver().AbsolutePositionForObject(s).Y
	if at.Y < top || at.Y+last.Size().Height > top+s.Size().Height {
		t.Errorf("what has the focus lies at %.0f, and is seen from %.0f to %.0f", at.Y, top, top+s.Size().Height)
	}
	rows := k.list.rows
	k.form.Forget()
	k.closeForm()
	k.list.SetFirings([]book.Firing{fired(k, 2, 0, nil), fired(k, 3, 0, nil)})
	rows.TypedKey(&fyne.KeyEvent{Name: fyne.KeyDown})
	if rows.current != 1 {
		t.Errorf("Down goes to row %d", rows.current)
	}
}

// A book that cannot be used is told in one sentence with what to do, what was
// entered stays, and the main window works on.
func TestBookTellsOfTrouble(t *testing.T) {
	for _, tt := range []struct {
		name string
		make func(t *testing.T, path string)
		want string
	}{
		{"something else", func(t *testing.T, path string) { writeText(t, path, "not a book at all, but long enough") }, "is no firing book; move it elsewhere"},
		{"damaged", damage, "is damaged"},
		{"newer", func(t *testing.T, path string) { setVersion(t, path, 99) }, "use a newer Kilnpoise"},
		{"a folder", func(t *testing.T, path string) {
			if err := os.MkdirAll(path, 0o700); err != nil {
				t.Fatal(err)
			}
		}, "choose another place"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			b := newBench(t, &scripted{}, 1280, 770)
			b.bookPath = filepath.Join(t.TempDir(), "firings.db")
			tt.make(t, b.bookPath)
			b.openFiringBook()
			k := b.firings
			t.Cleanup(k.end)
			b.idle(k)
			text := k.board.Text("trouble")
			if !strings.Contains(text, tt.want) || strings.Count(text, "\n") > 0 {
				t.Errorf("says %q, want %q", text, tt.want)
			}
			k.enterNew()
			k.form.run.SetText("7")
			k.keepForm()
			b.idle(k)
			if !k.page.entering || !strings.HasPrefix(k.form.report.text, "Not kept: ") || k.form.keep.Disabled() {
				t.Errorf("a firing that cannot be kept: entering %v, %q", k.page.entering, k.form.report.text)
			}
			for _, size := range []fyne.Size{fyne.NewSize(900, 640)} {
				k.win.Resize(size)
				complainCutOff(t, k, "trouble")
			}
			if err := os.RemoveAll(b.bookPath); err != nil {
				t.Fatal(err)
			}
			actionOf(t, k.board, "trouble", "Try again")()
			b.idle(k)
			if k.page.entering || len(k.firings) != 1 || k.board.Text("trouble") != "" {
				t.Errorf("with the fault gone: entering %v, %d firings, %q", k.page.entering, len(k.firings), k.board.Text("trouble"))
			}
		})
	}
}

// While another program holds the book, the window waits for it in the background
// and then says so; the entry stays, and goes in once the book is free.
func TestBookThatIsLocked(t *testing.T) {
	if testing.Short() {
		t.Skip("waits for the other program as long as the book does, 5 s")
	}
	b, k := bookOf(t)
	other, err := sql.Open("sqlite", b.bookPath)
	if err != nil {
		t.Fatal(err)
	}
	defer other.Close()
	other.SetMaxOpenConns(1)
	if _, err := other.Exec("BEGIN EXCLUSIVE"); err != nil {
		t.Fatal(err)
	}
	k.enterNew()
	readGreen(k)
	k.keepForm()
	if !k.form.keep.Disabled() || k.list.busy.text != "Keeping the firing …" {
		t.Errorf("while it is being kept the window says %q", k.list.busy.text)
	}
	k.form.remarks.SetText("typed meanwhile") // the window is not held up
	b.idle(k)
	if text := k.board.Text("trouble"); !strings.Contains(text, "another program is using it; try again") || !k.page.entering {
		t.Fatalf("entering %v, %q", k.page.entering, text)
	}
	if _, err := other.Exec("ROLLBACK"); err != nil {
		t.Fatal(err)
	}
	actionOf(t, k.board, "trouble", "Try again")()
	b.idle(k)
	if k.page.entering || len(k.firings) != 1 || k.firings[0].Remarks != "typed meanwhile" {
		t.Errorf("with the book free: entering %v, %+v", k.page.entering, k.firings)
	}
}

// What is changed while an entry is being written is not lost when that is done, and
// a write is carried through although the window is closed meanwhile.
func TestBookKeepsWhatIsTypedWhileWriting(t *testing.T) {
	b, k := bookOf(t)
	k.enterNew()
	readGreen(k)
	k.keepForm()
	k.form.remarks.SetText("late")
	b.idle(k)
	if !k.page.entering || !k.form.Changed() || len(k.firings) != 1 || k.firings[0].Remarks != "" {
		t.Fatalf("entering %v, changed %v, %+v", k.page.entering, k.form.Changed(), k.firings)
	}
	k.keepForm()
	k.hide()
	k.end()
	in, err := book.Open(t.Context(), b.bookPath)
	if err != nil {
		t.Fatal(err)
	}
	defer in.Close()
	got, err := in.List(t.Context(), book.Filter{})
	if err != nil || len(got) != 1 || got[0].Remarks != "late" {
		t.Errorf("in the book are %+v (%v)", got, err)
	}
}

func writeText(t *testing.T, path, text string) {
	t.Helper()
	if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
}

// makeBook makes a book with a firing and closes it.
func makeBook(t *testing.T, path string) {
	t.Helper()
	in, err := book.Open(context.Background(), path)
	if err != nil {
		t.Fatal(err)
	}
	f := book.Firing{Date: time.Date(2026, 3, 2, 0, 0, 0, 0, time.UTC), Material: "316l", Remarks: strings.Repeat("row ", 2000)}
	if _, err := in.Add(context.Background(), f); err != nil {
		t.Fatal(err)
	}
	if err := in.Close(); err != nil {
		t.Fatal(err)
	}
}

// damage writes over the middle of a book.
func damage(t *testing.T, path string) {
	t.Helper()
	makeBook(t, path)
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	for i := len(data) / 3; i < len(data); i++ {
		data[i] = 0xA5
	}
	writeText(t, path, string(data))
}

// setVersion writes the version of a book: the big-endian number at byte 60, the
// user version of the file format (https://sqlite.org/fileformat2.html, 1.3).
func setVersion(t *testing.T, path string, version byte) {
	t.Helper()
	makeBook(t, path)
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	copy(data[60:64], []byte{0, 0, 0, version})
	writeText(t, path, string(data))
}

// Somebody else changes or removes a firing while it is open here.
func TestBookMeetsAnotherWriter(t *testing.T) {
	b, k := bookOf(t)
	b.enter(k, "2026-03-02", [3]float64{0.17, 0.17, 0.2})
	other, err := book.Open(t.Context(), b.bookPath)
	if err != nil {
		t.Fatal(err)
	}
	defer other.Close()
	f := k.firings[0]
	k.change(f.ID)
	k.form.remarks.SetText("mine")
	theirs := f
	theirs.Remarks = "theirs"
	if _, _, err := other.Change(t.Context(), theirs); err != nil {
		t.Fatal(err)
	}
	k.keepForm()
	b.idle(k)
	if got, _ := other.Get(t.Context(), f.ID); got.Remarks != "theirs" || !k.page.entering {
		t.Fatalf("the other's remark became %q", got.Remarks)
	}
	actionOf(t, k.board, "trouble", "Keep mine over it")()
	b.idle(k)
	if got, _ := other.Get(t.Context(), f.ID); got.Remarks != "mine" || k.page.entering {
		t.Errorf("kept over it, the remark is %q", got.Remarks)
	}
	k.change(f.ID)
	k.form.remarks.SetText("still mine")
	if _, err := other.Remove(t.Context(), f.ID); err != nil {
		t.Fatal(err)
	}
	k.keepForm()
	b.idle(k)
	actionOf(t, k.board, "trouble", "Keep it as a new one")()
	b.idle(k)
	if len(k.firings) != 1 || k.firings[0].Remarks != "still mine" || k.firings[0].ID == f.ID {
		t.Errorf("kept anew: %+v", k.firings)
	}
}

// Directions of the part are turned into the print by the candidate that is chosen.
func TestBookTurnsDirectionsOfThePart(t *testing.T) {
	b, k := bookOfPart(t)
	c := -1
	for i, cand := range b.desk.candidates() {
		if math.Abs(cand.Pose.Up().X) > 0.9 {
			c = i
		}
	}
	if c < 0 {
		t.Fatal("no candidate stands along X")
	}
	b.choose(c)
	k.enterNew()
	row := k.form.readings[0]
	row.direction.SetSelected(partWay(0))
	row.wanted.SetText("32")
	r, err := row.Reading()
	if err != nil || math.Abs(math.Abs(r.PrintDirection.Z)-1) > 1e-6 || r.PartDirection != unitAxis(0) {
		t.Errorf("X of the part runs along %+v in the print (%v)", r.PrintDirection, err)
	}
	if want := 32 * b.desk.brief.Material.Oversize()[2]; math.Abs(r.GreenNominalMM-want) > 1e-3 {
		t.Errorf("the green nominal is %g, want %g by the oversize along Z", r.GreenNominalMM, want)
	}
	row.greenWanted.SetText("40.5") // by hand: it no longer follows
	row.wanted.SetText("30")
	if r, _ := row.Reading(); r.GreenNominalMM != 40.5 {
		t.Errorf("the green nominal put in by hand became %g", r.GreenNominalMM)
	}
	row.by.SetSelected("micrometer")
	if r, _ := row.Reading(); r.ErrorMM != 0.003 || r.Instrument != "micrometer" {
		t.Errorf("by micrometer: %+v", r)
	}
	row.sure.SetText("0.008")
	if r, _ := row.Reading(); r.ErrorMM != 0.008 || r.Instrument != "micrometer" {
		t.Errorf("with a figure of one's own: %+v", r)
	}
}

// An aslant direction: the factor of faces and of points against moving them.
func TestBookGreenFactor(t *testing.T) {
	o := [3]float64{1.2, 1.19, 1.25}
	n := r3.Unit(r3.Vec{X: 1, Y: 2, Z: -2})
	grow := func(v r3.Vec) r3.Vec { return r3.Vec{X: v.X * o[0], Y: v.Y * o[1], Z: v.Z * o[2]} }
	if got, want := greenFactor(process.Points, n, o), r3.Norm(grow(n)); math.Abs(got-want) > 1e-12 {
		t.Errorf("points: %g, want %g", got, want)
	}
	// Two faces one apart with the normal n: grown, their distance is that of a grown
	// point of one from the other's grown plane.
	u := r3.Unit(r3.Cross(n, r3.Vec{X: 1}))
	v := r3.Cross(n, u)
	normal := r3.Unit(r3.Cross(grow(u), grow(v)))
	if got, want := greenFactor(process.Faces, n, o), math.Abs(r3.Dot(normal, grow(n))); math.Abs(got-want) > 1e-12 {
		t.Errorf("faces: %g, want %g", got, want)
	}
}

// What is marked is preset, a bore with two diameters at right angles to its axis.
func TestBookPresetsWhatIsMarked(t *testing.T) {
	turn := mesh.Matrix{{0, 0, 1}, {1, 0, 0}, {0, 1, 0}}
	c := &orient.Candidate{Pose: orient.Pose{Rotation: turn}, SinteredSize: r3.Vec{X: 30, Y: 32, Z: 32}}
	slant := r3.Unit(r3.Vec{X: 1, Z: 1})
	got := plannedReadings(c, []mark.Dimension{
		{Name: "width", Along: r3.Vec{Y: 1}, NominalMM: 32}, {Along: slant, Bore: true, NominalMM: 8},
	})
	if len(got) != 6 || got[0].SinteredNominalMM != 30 || got[3].Name != "width" || got[3].PartDirection != (r3.Vec{Y: 1}) || got[3].SinteredNominalMM != 32 {
		t.Fatalf("planned are %+v", got)
	}
	for _, r := range got[4:] {
		if math.Abs(r3.Dot(r.PartDirection, slant)) > 1e-9 || !strings.HasPrefix(r.Name, "size 2, diameter") {
			t.Errorf("a diameter runs along %+v: %s", r.PartDirection, r.Name)
		}
		if turned := turn.MulVec(r.PartDirection); r3.Norm(r3.Sub(turned, r.PrintDirection)) > 1e-9 {
			t.Errorf("in the print it runs along %+v, want %+v", r.PrintDirection, turned)
		}
	}
	if math.Abs(r3.Dot(got[4].PrintDirection, got[5].PrintDirection)) > 1e-9 {
		t.Error("the two diameters are not at right angles")
	}
}

// Coupons in the book calibrate the sag as the panel of the brief does.
func TestBookTakesTheSagOver(t *testing.T) {
	b, k := bookOf(t)
	const truth = 1.1e-6
	c := b.desk.brief.Material.Creep
	beam := furnace.Creep{CompliancePerPa: truth, LowPerPa: truth, HighPerPa: truth, Poisson: c.Poisson, DensityKGM3: c.DensityKGM3}
	k.enterNew()
	for i, span := range []float64{10, 15, 20} {
		k.form.moreSags()
		row := k.form.sags[i]
		row.span.SetText(plainNumber(span))
		if i < 2 { // the third is still to be measured
			row.drop.SetText(plainNumber(furnace.BeamSagMM(furnace.Cantilever, beam, span, couponThickness) *
				furnace.BeamShearFactor(furnace.Cantilever, c.Poisson, span, couponThickness)))
		}
	}
	k.keepForm()
	b.idle(k)
	if len(k.fit.beams) != 2 || k.fit.sagWhy != nil {
		t.Fatalf("%d beams, %v: %s", len(k.fit.beams), k.fit.sagWhy, k.form.report.text)
	}
	k.beginTakingSag()
	k.taking.note.SetText("firing 12")
	k.taking.doKeep()
	b.idle(k)
	got := b.desk.brief.Material.Creep
	if math.Abs(got.CompliancePerPa/truth-1) > 0.02 || !strings.HasSuffix(got.Calibrated, ", firing book, firing 12") {
		t.Errorf("after taking it over the record has %+v", got)
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

// bookForBenchmark makes a book that is never read.
func bookForBenchmark(b *testing.B) *bookWindow {
	b.Helper()
	w := newWindow(test.NewTempApp(b), &scripted{}, process.OpenLibrary(assets.Records(), b.TempDir()), Options{Version: "test"})
	b.Cleanup(w.cancel)
	k := newBookWindow(w)
	k.material, k.furnace = w.desk.brief.Material.ID, w.desk.brief.Furnace.ID
	k.win.Resize(fyne.NewSize(bookWidth, bookHeight))
	return k
}

// What the user waits for: a long form, and a long list.
func BenchmarkBookForm(b *testing.B) {
	k := bookForBenchmark(b)
	f := fired(k, 1, 20, func(int) float64 { return 0.17 })
	b.ReportAllocs()
	for b.Loop() {
		k.form.Begin(k.main.draftOf(f))
		k.page.Enter(true)
	}
}

func BenchmarkBookTyping(b *testing.B) {
	k := bookForBenchmark(b)
	k.form.Begin(k.main.draftOf(fired(k, 1, 20, func(int) float64 { return 0.17 })))
	k.page.Enter(true)
	k.win.Canvas().Focus(k.form.readings[10].sintered)
	b.ReportAllocs()
	for b.Loop() {
		k.form.readings[10].sintered.TypedRune('1')
		k.form.readings[10].sintered.TypedKey(&fyne.KeyEvent{Name: fyne.KeyBackspace})
	}
}

func BenchmarkBookList(b *testing.B) {
	k := bookForBenchmark(b)
	var firings []book.Firing
	for i := range mostListed {
		firings = append(firings, fired(k, 1+i%28, 3, func(int) float64 { return 0.17 }))
	}
	b.ReportAllocs()
	for b.Loop() {
		k.list.SetFirings(firings)
	}
}
