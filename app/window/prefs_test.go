package window

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"fyne.io/fyne/v2"

	"kilnpoise/app/window/kit"
	"kilnpoise/orient"
)

func TestPrefsSurviveNonsense(t *testing.T) {
	p := prefs{newPrefStore(nil)}
	p.store.set(prefWidth, math.NaN())
	p.store.set(prefHeight, -3.0)
	p.store.set(prefMode, "purple")
	p.store.set(prefWeight+orient.LessSag.Key(), 99.0)
	p.store.set(prefRecent, []string{"", "a.stl"})
	if got := p.windowSize(); got != fyne.NewSize(usualWidth, usualHeight) {
		t.Errorf("size = %v", got)
	}
	if got := p.mode(); got != kit.AsSystem {
		t.Errorf("mode = %q", got)
	}
	if got := p.priorities(); got != orient.DefaultPriorities() {
		t.Errorf("priorities = %v", got)
	}
	if got := p.recent(); !slices.Equal(got, []string{"a.stl"}) {
		t.Errorf("recent = %q", got)
	}
}

func TestPrefsComeBack(t *testing.T) {
	p := prefs{newPrefStore(nil)}
	p.setWindowSize(fyne.NewSize(1111, 777))
	p.setMode(kit.AlwaysDark)
	weights := orient.Priorities{0, 1, 2, 3, 4}
	p.setPriorities(weights)
	ids := [recordKinds]string{"a", "b", "c"}
	p.setRecordIDs(ids)
	if p.windowSize() != fyne.NewSize(1111, 777) || p.mode() != kit.AlwaysDark || p.priorities() != weights || p.recordIDs() != ids {
		t.Errorf("came back as %v %v %v %v", p.windowSize(), p.mode(), p.priorities(), p.recordIDs())
	}
}

func TestRecentFiles(t *testing.T) {
	p := prefs{newPrefStore(nil)}
	for i := range mostRecent + 5 {
		p.addRecent(fmt.Sprint(i))
	}
	p.addRecent("9")
	p.dropRecent("13")
	got := p.recent()
	if want := []string{"9", "14", "12", "11", "10", "8", "7", "6", "5"}; !slices.Equal(got, want) {
		t.Errorf("recent = %q, want %q", got, want)
	}
}

// A value of another kind under the key of recent files ends nothing.
func TestRecentFilesOfAnotherKind(t *testing.T) {
	p := prefs{newPrefStore(nil)}
	p.store.set(prefRecent, 7)
	p.addRecent("a.stl")
	p.dropRecent("b.stl")
	if got := p.recent(); !slices.Equal(got, []string{"a.stl"}) {
		t.Errorf("recent = %q", got)
	}
}

// Preferences that cannot be read are set aside and told of; sound ones are left alone.
func TestDamagedPreferencesAreSetAside(t *testing.T) {
	for name, tt := range map[string]struct {
		text  string
		sound bool
	}{
		"sound":                  {`{"recent":["a.stl"],"window.width":1200,"brief.material":"x","handover.letter":true,"other":[1,2]}`, true},
		"empty":                  {`{}`, true},
		"recent a number":        {`{"recent":7}`, false},
		"recent numbers":         {`{"recent":[7,8]}`, false},
		"a mixed list":           {`{"recent":["a",7]}`, false},
		"a mixed list of others": {`{"other":[true,7]}`, true},
		"width a text":           {`{"window.width":"wide"}`, false},
		"material a list":        {`{"brief.material":["x"]}`, false},
		"cut off":                {`{"recent":["a.st`, false},
		"nothing":                {``, false},
		"null":                   {`null`, false},
		"noise":                  {"\x00\xff\x1b", false},
		"deep":                   {strings.Repeat("[", 20_000), false},
		"large":                  {`{"a":"` + strings.Repeat("x", largestPrefs) + `"}`, false},
	} {
		path := filepath.Join(t.TempDir(), "preferences.json")
		if err := os.WriteFile(path, []byte(tt.text), 0o600); err != nil {
			t.Fatal(err)
		}
		note, usable := checkPrefs(path)
		_, err := os.Stat(path)
		if stays := err == nil; stays != tt.sound || (note == "") != tt.sound || !usable {
			t.Errorf("%s: the file stays %v, usable %v, it says %q", name, stays, usable, note)
		}
		if aside, _ := filepath.Glob(filepath.Join(filepath.Dir(path), "*-set-aside-*.json")); !tt.sound && (len(aside) != 1 || !strings.Contains(note, aside[0])) {
			t.Errorf("%s: set aside are %q, and it says %q", name, aside, note)
		}
	}
	if note, usable := checkPrefs(filepath.Join(t.TempDir(), "none.json")); note != "" || !usable {
		t.Errorf("without preferences it says %q", note)
	}
	folder := filepath.Join(t.TempDir(), "preferences.json")
	if err := os.Mkdir(folder, 0o700); err != nil {
		t.Fatal(err)
	}
	if note, usable := checkPrefs(folder); note == "" || !usable {
		t.Errorf("of a folder it says %q", note)
	}
}
