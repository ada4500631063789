package window

import (
	"maps"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"fyne.io/fyne/v2"

	"kilnpoise/app/window/kit"
	"kilnpoise/orient"
)

// What a sitting remembers is written off the UI goroutine, after a pause and whole,
// and comes back in the next.
func TestPreferencesAreWrittenInTheBackground(t *testing.T) {
	path := filepath.Join(t.TempDir(), "kilnpoise", "preferences.json")
	b := newBench(t, &scripted{}, 900, 640)
	b.rememberIn(path)
	weights := orient.DefaultPriorities()
	for i := range 200 { // a slider that is drawn
		weights[orient.LessSag] = float64(i % 5)
		b.prefs.setPriorities(weights)
	}
	b.prefs.addRecent("a.stl")
	b.settle()
	if exists(path) {
		t.Error("written at each change, not after a pause")
	}
	b.remember()
	b.settle()
	store, keep, note := openPrefs(path, "")
	if keep != path || note != "" {
		t.Errorf("kept in %q, %q", keep, note)
	}
	if got := (prefs{store}); got.priorities() != weights || len(got.recent()) != 1 {
		t.Errorf("came back as %v %v", got.priorities(), got.recent())
	}
	checkNothingTemporary(t, filepath.Dir(path))
}

// They are written without being asked, and at the end at the latest.
func TestPreferencesAreWrittenByThemselves(t *testing.T) {
	path := filepath.Join(t.TempDir(), "preferences.json")
	b := newBench(t, &scripted{}, 900, 640)
	b.rememberIn(path)
	b.prefs.setMode(kit.AlwaysDark)
	b.until("the preferences", func() bool { return exists(path) })
	b.prefs.setFolder("/last")
	b.close()
	if err := b.end(); err != nil {
		t.Fatal(err)
	}
	store, _, _ := openPrefs(path, "")
	if got := (prefs{store}); got.mode() != kit.AlwaysDark || got.folder() != "/last" || got.windowSize() == (fyne.Size{}) {
		t.Errorf("came back as %v", store.values)
	}
}

// Two windows of the program keep what each of them changed.
func TestPreferencesOfTwoWindows(t *testing.T) {
	path := filepath.Join(t.TempDir(), "preferences.json")
	for _, changed := range []map[string]any{{prefMode: "dark", "strange": 7.0}, {prefFolder: "/b"}, {prefFolder: "/c"}} {
		if err := writePrefs(path, changed); err != nil {
			t.Fatal(err)
		}
	}
	want := map[string]any{prefMode: "dark", "strange": 7.0, prefFolder: "/c"}
	if got := readPrefs(path); !maps.Equal(got, want) {
		t.Errorf("they hold %v, want %v", got, want)
	}
}

// A home that cannot be written is told of once; the window goes on.
func TestPreferencesThatCannotBeKept(t *testing.T) {
	blocked := filepath.Join(t.TempDir(), "file")
	if err := os.WriteFile(blocked, []byte("x"), 0o600); err != nil {
		t.Fatal(err)
	}
	b := newBench(t, &scripted{}, 900, 640)
	b.rememberIn(filepath.Join(blocked, "preferences.json"))
	b.prefs.setFolder("/a")
	b.remember()
	b.until("the note", func() bool { return strings.Contains(b.board.Text(noticePrefs), "cannot be kept") })
	b.board.Clear(noticePrefs)
	b.prefs.setFolder("/b")
	b.remember()
	b.settle()
	b.q.drain()
	if text := b.board.Text(noticePrefs); text != "" {
		t.Errorf("told again: %q", text)
	}
}

// The first sitting takes over what an earlier version kept in the toolkit's file, and
// damaged preferences are set aside.
func TestPreferencesAreTakenOver(t *testing.T) {
	folder := t.TempDir()
	old, path := filepath.Join(folder, "old.json"), filepath.Join(folder, "preferences.json")
	if err := os.WriteFile(old, []byte(`{"recent":["a.stl"],"brief.material":"x","fyne:lastFolder":"file:///"}`), 0o600); err != nil {
		t.Fatal(err)
	}
	store, _, note := openPrefs(path, old)
	if got := (prefs{store}); note != "" || got.recordIDs()[materialRecord] != "x" || len(got.recent()) != 1 {
		t.Errorf("%v, %q", store.values, note)
	}
	if err := os.WriteFile(path, []byte(`{"recent":`), 0o600); err != nil {
		t.Fatal(err)
	}
	store, keep, note := openPrefs(path, old)
	if !strings.Contains(note, "set aside") || keep != path || len(store.values) != 0 {
		t.Errorf("%v, %q", store.values, note)
	}
}

// The folder of the last hand-over is forgotten where it is gone, in the background.
func TestTheLastFolderIsGone(t *testing.T) {
	b := newBench(t, &scripted{}, 900, 640)
	b.prefs.setFolder(filepath.Join(t.TempDir(), "gone"))
	b.checkLastFolder()
	b.until("the folder to be forgotten", func() bool { return b.prefs.folder() == "" })
	here := t.TempDir()
	b.prefs.setFolder(here)
	b.checkLastFolder()
	b.until("the look", func() bool { b.q.drain(); return runtime.NumGoroutine() > 0 })
	if b.handFolder() != here {
		t.Errorf("files go to %s", b.handFolder())
	}
}
