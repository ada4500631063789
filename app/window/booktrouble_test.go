package window

import (
	"context"
	"database/sql"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"fyne.io/fyne/v2"

	"kilnpoise/app/book"
)

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
			if !k.page.entering || !strings.HasPrefix(k.form.report.Text, "Not kept: ") || k.form.keep.Disabled() {
				t.Errorf("a firing that cannot be kept: entering %v, %q", k.page.entering, k.form.report.Text)
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
	if !k.form.keep.Disabled() || k.list.busy.Text != "Keeping the firing …" {
		t.Errorf("while it is being kept the window says %q", k.list.busy.Text)
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
