package window

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/test"

	"kilnpoise/app/job"
)

func TestSavePlaces(t *testing.T) {
	home := t.TempDir()
	t.Setenv("HOME", home)
	tests := []struct{ folder, name, want, fault string }{
		{"/a", "pump", "/a/pump.kilnpoise", ""},
		{"/a", "pump.kilnpoise", "/a/pump.kilnpoise", ""},
		{"/a", "pump.Kilnpoise", "/a/pump.Kilnpoise", ""},
		{"/a", " pump.stl ", "/a/pump.stl.kilnpoise", ""},
		{"~/jobs", "pump", filepath.Join(home, "jobs", "pump.kilnpoise"), ""},
		{"~", "pump", filepath.Join(home, "pump.kilnpoise"), ""},
		{"/a", "", "", "no name is given"},
		{"/a", "..", "", "no name is given"},
		{"/a", "b/pump", "", "divides folders"},
		{"/a", `b\pump`, "", "divides folders"},
		{" ", "pump", "", "no folder is given"},
		{"/a", "con", "", "part-con.kilnpoise can"},
		{"/a", "pump: 2", "", "pump- 2.kilnpoise can"},
		{"/a", ".kilnpoise", "", "part.kilnpoise can"},
		{"/a", "pump.", "", "pump.kilnpoise can"},
	}
	for _, tt := range tests {
		got, err := savePlace{tt.folder, tt.name}.path(job.Extension)
		if got != filepath.FromSlash(tt.want) || (err != nil) != (tt.fault != "") || err != nil && !strings.Contains(err.Error(), tt.fault) {
			t.Errorf("%q and %q give %q, %v", tt.folder, tt.name, got, err)
		}
	}
}

// asked begins "save as" over a file that is there, and gives the dialog with its
// question.
func askedOver(t *testing.T, b *bench, path string, save func(string)) *saveDialog {
	t.Helper()
	d := b.askToSave(b.win, saveAsk{title: "Save", ending: job.Extension, place: savePlace{filepath.Dir(path), filepath.Base(path)}, save: save})
	test.Tap(d.yes)
	b.until("the question", func() bool { return d.agreed != "" })
	return d
}

// Saving over a job that is there asks first, opens nothing for writing before, and
// leaves it whole where it is given up or the saving fails.
func TestSavingOverAnotherJobLosesNothing(t *testing.T) {
	b := worked(t)
	path := filepath.Join(t.TempDir(), "pump.kilnpoise")
	was := []byte("a job that was there before")
	if err := os.WriteFile(path, was, 0o600); err != nil {
		t.Fatal(err)
	}
	intact := func(when string) {
		t.Helper()
		if got, err := os.ReadFile(path); err != nil || string(got) != string(was) {
			t.Fatalf("%s: it holds %d bytes, %v", when, len(got), err)
		}
	}
	d := askedOver(t, b, path, b.saveJobTo)
	if !strings.Contains(d.report.Text, "pump.kilnpoise is in this folder already") || d.yes.Text != "Replace it" {
		t.Errorf("it says %q, %q", d.report.Text, d.yes.Text)
	}
	intact("asked")
	d.name.TypedKey(&fyne.KeyEvent{Name: fyne.KeyEscape})
	intact("given up")
	if b.win.Canvas().Overlays().Top() != nil {
		t.Error("the dialog stays")
	}
	// The saving fails: the lock of another window.
	other, err := job.Create(b.ctx, path, b.jobToSave())
	if err != nil {
		t.Fatal(err)
	}
	was, err = os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	d = askedOver(t, b, path, b.saveJobTo)
	test.Tap(d.yes)
	b.until("the refusal", func() bool { return b.board.Text(noticeJob) != "" })
	intact("refused")
	if err := other.Release(); err != nil {
		t.Fatal(err)
	}
	d = askedOver(t, b, path, b.saveJobTo)
	test.Tap(d.yes)
	b.until("the job to be saved", func() bool { return b.keeping.claim != nil })
	b.letGo()
}

// Where nothing is in the way nothing is asked; what cannot be is said, and another
// name withdraws the question.
func TestSaveDialogSays(t *testing.T) {
	b := newBench(t, &scripted{}, 900, 640)
	folder := t.TempDir()
	if err := os.Mkdir(filepath.Join(folder, "sub.kilnpoise"), 0o700); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(folder, "there.kilnpoise"), []byte("x"), 0o600); err != nil {
		t.Fatal(err)
	}
	saved := ""
	ask := func(folder, name string) *saveDialog {
		saved = ""
		return b.askToSave(b.win, saveAsk{title: "Save", ending: job.Extension, place: savePlace{folder, name}, save: func(path string) { saved = path }})
	}
	for _, tt := range []struct{ folder, name, want string }{
		{folder, "", "No name is given"},
		{folder, "sub", "There is a folder of the name sub.kilnpoise"},
		{filepath.Join(folder, "gone"), "a", "There is no folder"},
		{filepath.Join(folder, "there.kilnpoise"), "a", "There is no folder"},
	} {
		d := ask(tt.folder, tt.name)
		test.Tap(d.yes)
		b.until("the answer", func() bool { return d.report.Text != "" })
		if !strings.Contains(d.report.Text, tt.want) || saved != "" {
			t.Errorf("%q: it says %q and saves to %q", tt.name, d.report.Text, saved)
		}
		test.Tap(d.no)
	}
	d := ask(folder, "there")
	test.Tap(d.yes)
	b.until("the question", func() bool { return d.agreed != "" })
	d.name.SetText("free")
	if d.agreed != "" || d.report.Text != "" || d.yes.Text != "Save" {
		t.Errorf("the question stays: %q, %q", d.report.Text, d.yes.Text)
	}
	d.name.OnSubmitted("free")
	b.until("the saving", func() bool { return saved != "" })
	if saved != filepath.Join(folder, "free.kilnpoise") {
		t.Errorf("saved to %s", saved)
	}
}

// No dialog of the window lets the toolkit open a file for writing, which would empty
// it before anything is written.
func TestNoDialogOpensAFileForWriting(t *testing.T) {
	files, err := filepath.Glob("*.go")
	if err != nil || len(files) < 50 {
		t.Fatal(len(files), err)
	}
	for _, f := range files {
		data, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		if !strings.HasSuffix(f, "_test.go") && (strings.Contains(string(data), "NewFileSave(") || strings.Contains(string(data), "ShowFileSave(")) {
			t.Errorf("%s has a dialog that empties the file it is told", f)
		}
	}
}
