package window

import (
	"strings"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/test"

	"kilnpoise/app/book"
	"kilnpoise/assets"
	"kilnpoise/orient/process"
)

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
		if !k.page.entering || !strings.Contains(k.form.report.Text, tt.want) {
			t.Errorf("%s: the form says %q, want %q", tt.name, k.form.report.Text, tt.want)
		}
		tt.entry.SetText(was)
	}
	k.keepForm()
	b.idle(k)
	if k.page.entering || len(k.firings) != 1 {
		t.Errorf("corrected, it is not kept: %s", k.form.report.Text)
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
		t.Errorf("Ctrl+S does not keep it: %s", k.form.report.Text)
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
