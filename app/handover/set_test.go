package handover_test

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"pgregory.net/rapid"

	"kilnpoise/app/handover"
)

// write puts files into a folder, each with the text.
func write(t *testing.T, folder, text string, files ...string) {
	t.Helper()
	for _, f := range files {
		if err := os.WriteFile(filepath.Join(folder, f), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
}

// put hands a set over.
func put(t *testing.T, folder, name, text string, leave bool, files ...string) error {
	t.Helper()
	s, err := handover.Begin(folder, name)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Drop()
	write(t, s.Stage(), text, files...)
	_, err = s.Put(leave)
	return err
}

// holds lists a folder as name=text, without hidden files.
func holds(t *testing.T, folder string) string {
	t.Helper()
	entries, err := os.ReadDir(folder)
	if err != nil {
		t.Fatal(err)
	}
	var out []string
	for _, e := range entries {
		if strings.HasPrefix(e.Name(), ".") {
			continue
		}
		data, err := os.ReadFile(filepath.Join(folder, e.Name()))
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, e.Name()+"="+string(data))
	}
	return strings.Join(out, " ")
}

// onlyManifest wants nothing hidden in the folder but the list of what was written.
func onlyManifest(t *testing.T, folder string) {
	t.Helper()
	hidden, err := filepath.Glob(filepath.Join(folder, ".*"))
	if err != nil {
		t.Fatal(err)
	}
	if len(hidden) != 1 || filepath.Base(hidden[0]) != ".kilnpoise-set.json" {
		t.Errorf("hidden files: %v", hidden)
	}
}

func TestASetReplacesTheOneBefore(t *testing.T) {
	folder := filepath.Join(t.TempDir(), "new", "folder")
	if err := put(t, folder, "lug", "1", false, "advice.json", "candidate-01.png", "candidate-02.png", "lug-green.stl"); err != nil {
		t.Fatal(err)
	}
	write(t, folder, "mine", "letter.txt")
	look, err := handover.Look(folder, "lug", []string{"advice.json", "candidate-01.png", "lug-sheet.pdf"})
	if err != nil || len(look.InTheWay) > 0 || !slices.Equal(look.Replaced, []string{"advice.json", "candidate-01.png"}) || !slices.Equal(look.Removed, []string{"candidate-02.png", "lug-green.stl"}) {
		t.Errorf("outlook %+v, %v", look, err)
	}
	if err := put(t, folder, "lug", "2", false, "advice.json", "candidate-01.png", "lug-sheet.pdf"); err != nil {
		t.Fatal(err)
	}
	if got := holds(t, folder); got != "advice.json=2 candidate-01.png=2 letter.txt=mine lug-sheet.pdf=2" {
		t.Errorf("the folder holds %s", got)
	}
	onlyManifest(t, folder)
}

func TestOnlyWithLeave(t *testing.T) {
	tests := []struct {
		name          string
		before        func(t *testing.T, folder string)
		refused, with string // what is in the way, and what the folder holds with leave
	}{
		{"foreign", func(t *testing.T, folder string) { write(t, folder, "mine", "lug-green.stl", "letter.txt") },
			"lug-green.stl", "advice.json=new letter.txt=mine lug-green.stl=new"},
		{"changed since", func(t *testing.T, folder string) {
			write(t, folder, "mine", "advice.json")
		}, "advice.json", "advice.json=new lug-green.stl=new"},
		{"stale and changed since", func(t *testing.T, folder string) {
			write(t, folder, "mine", "candidate-01.png")
		}, "", "advice.json=new candidate-01.png=mine lug-green.stl=new"},
		{"a link to elsewhere", func(t *testing.T, folder string) {
			away := filepath.Join(filepath.Dir(folder), "away")
			write(t, filepath.Dir(folder), "mine", "away")
			if err := os.Symlink(away, filepath.Join(folder, "lug-green.stl")); err != nil {
				t.Skip("needs links")
			}
		}, "lug-green.stl", "advice.json=new lug-green.stl=new"},
		{"a list that cannot be read", func(t *testing.T, folder string) {
			write(t, folder, "{", ".kilnpoise-set.json")
		}, "advice.json", "advice.json=new candidate-01.png=old lug-green.stl=new"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			folder := filepath.Join(t.TempDir(), "out")
			if err := put(t, folder, "lug", "old", false, "advice.json", "candidate-01.png"); err != nil {
				t.Fatal(err)
			}
			tt.before(t, folder)
			before := holds(t, folder)
			err := put(t, folder, "lug", "new", false, "advice.json", "lug-green.stl")
			var way *handover.InTheWayError
			if errors.As(err, &way) != (tt.refused != "") || tt.refused != "" && !strings.Contains(err.Error(), tt.refused) {
				t.Errorf("error %v, want one that names %q", err, tt.refused)
			}
			if tt.refused != "" && holds(t, folder) != before {
				t.Errorf("refused, and the folder holds %s", holds(t, folder))
			}
			if err := put(t, folder, "lug", "new", true, "advice.json", "lug-green.stl"); err != nil {
				t.Fatal(err)
			}
			if got := holds(t, folder); got != tt.with {
				t.Errorf("with leave the folder holds %s, want %s", got, tt.with)
			}
			if data, err := os.ReadFile(filepath.Join(filepath.Dir(folder), "away")); err == nil && string(data) != "mine" {
				t.Errorf("what the link led to holds %q", data)
			}
			onlyManifest(t, folder)
		})
	}
}

// Sets of several parts lie side by side; one that would be torn goes as a whole.
func TestSetsOfOtherParts(t *testing.T) {
	folder := t.TempDir()
	for _, name := range []string{"lug", "crank"} {
		if err := put(t, folder, name, name, false, name+"-green.stl", name+"-sheet.pdf"); err != nil {
			t.Fatal(err)
		}
	}
	if err := put(t, folder, "lug", "again", false, "lug-green.stl"); err != nil {
		t.Fatal(err)
	}
	if got := holds(t, folder); got != "crank-green.stl=crank crank-sheet.pdf=crank lug-green.stl=again" {
		t.Errorf("the folder holds %s", got)
	}
	if err := put(t, folder, "crank", "all", false, "advice.json", "crank-green.stl"); err != nil {
		t.Fatal(err)
	}
	var way *handover.InTheWayError
	if err := put(t, folder, "lug", "all", false, "advice.json", "lug-green.stl"); !errors.As(err, &way) || !slices.Equal(way.Files, []string{"advice.json"}) {
		t.Errorf("the advice of another part: %v", err)
	}
	if err := put(t, folder, "lug", "all", true, "advice.json", "lug-green.stl"); err != nil {
		t.Fatal(err)
	}
	if got := holds(t, folder); got != "advice.json=all lug-green.stl=all" {
		t.Errorf("the folder holds %s", got)
	}
}

// What was given to work on is never written over or removed, by whatever name it
// lies there, with leave or without.
func TestInputsStay(t *testing.T) {
	ways := map[string]func(old, new string) error{"link": os.Symlink, "second name": os.Link, "itself": func(string, string) error { return nil }}
	for name, lay := range ways {
		t.Run(name, func(t *testing.T) {
			folder := t.TempDir()
			part, there := filepath.Join(t.TempDir(), "part.stl"), filepath.Join(folder, "lug-green.stl")
			if name == "itself" {
				part = there
			}
			write(t, filepath.Dir(part), "part", filepath.Base(part))
			if err := lay(part, there); err != nil {
				t.Skip("needs links")
			}
			if _, err := handover.Look(folder, "lug", []string{"lug-green.stl"}, part); err == nil || !strings.Contains(err.Error(), "lug-green.stl") {
				t.Errorf("looked without an error: %v", err)
			}
			s, err := handover.Begin(folder, "lug", part)
			if err != nil {
				t.Fatal(err)
			}
			defer s.Drop()
			write(t, s.Stage(), "new", "lug-green.stl")
			if _, err := s.Put(true); err == nil {
				t.Error("put without an error")
			}
			if data, err := os.ReadFile(part); err != nil || string(data) != "part" {
				t.Errorf("the part holds %q", data)
			}
		})
	}
	folder := t.TempDir()
	if err := put(t, folder, "lug", "old", false, "lug-green.stl", "lug-sheet.pdf"); err != nil {
		t.Fatal(err)
	}
	s, err := handover.Begin(folder, "lug", filepath.Join(folder, "lug-green.stl"))
	if err != nil {
		t.Fatal(err)
	}
	defer s.Drop()
	write(t, s.Stage(), "new", "lug-sheet.pdf")
	if _, err := s.Put(false); err != nil {
		t.Fatal(err)
	}
	if got := holds(t, folder); got != "lug-green.stl=old lug-sheet.pdf=new" {
		t.Errorf("the folder holds %s", got)
	}
}

// A list that somebody else wrote removes nothing but what a set can hold.
func TestListsAreNotTrusted(t *testing.T) {
	dir := t.TempDir()
	folder := filepath.Join(dir, "out")
	if err := os.Mkdir(folder, 0o755); err != nil {
		t.Fatal(err)
	}
	write(t, dir, "mine", "letter.txt")
	write(t, folder, "mine", "letter.txt", ".hidden", "lug-notes.txt")
	const sum = "3fd30542fe3f61b14bd4a4b2dc0b6fb30fa6f63ebce52dd1778aaa8c4dc02cff"
	list := `{"format":1,"files":[`
	for _, f := range []string{"letter.txt", "../letter.txt", filepath.Join(dir, "letter.txt"), ".hidden", "", ".", ".."} {
		list += fmt.Sprintf(`{"file":%q,"set":"lug","size":4,"sha256":%q},`, f, sum)
	}
	write(t, folder, strings.TrimSuffix(list, ",")+"]}", ".kilnpoise-set.json")
	if err := put(t, folder, "lug", "new", true, "lug-green.stl"); err != nil {
		t.Fatal(err)
	}
	if got := holds(t, folder); got != "letter.txt=mine lug-green.stl=new lug-notes.txt=mine" {
		t.Errorf("the folder holds %s", got)
	}
	if data, err := os.ReadFile(filepath.Join(dir, "letter.txt")); err != nil || string(data) != "mine" {
		t.Errorf("outside: %q, %v", data, err)
	}
}

func TestFoldersThatCannotBeUsed(t *testing.T) {
	dir := t.TempDir()
	write(t, dir, "mine", "file")
	if err := os.MkdirAll(filepath.Join(dir, "held", "advice.json"), 0o755); err != nil {
		t.Fatal(err)
	}
	held, err := handover.Begin(filepath.Join(dir, "held"), "lug")
	if err != nil {
		t.Fatal(err)
	}
	defer held.Drop()
	for _, folder := range []string{"file", filepath.Join("file", "below"), "held"} {
		_, err := handover.Begin(filepath.Join(dir, folder), "lug")
		if err == nil || strings.Contains(err.Error(), "\n") || !strings.Contains(err.Error(), folder) {
			t.Errorf("%s: error %v, want a sentence that names it", folder, err)
		}
	}
	if _, err := held.Look("advice.json"); err == nil || !strings.Contains(err.Error(), "is a folder") {
		t.Errorf("a folder in the place of a file: %v", err)
	}
	if err := os.RemoveAll(filepath.Join(dir, "held")); err != nil {
		t.Fatal(err)
	}
	if _, err := held.Put(true); err == nil || !strings.Contains(err.Error(), "gone") {
		t.Errorf("the folder was removed meanwhile: %v", err)
	}
}

func TestDropLeavesNothing(t *testing.T) {
	folder := t.TempDir()
	if err := put(t, folder, "lug", "old", false, "lug-green.stl"); err != nil {
		t.Fatal(err)
	}
	s, err := handover.Begin(folder, "lug")
	if err != nil {
		t.Fatal(err)
	}
	write(t, s.Stage(), "half", "lug-green.stl", "lug-sheet.pdf")
	s.Drop()
	s.Drop()
	if got := holds(t, folder); got != "lug-green.stl=old" {
		t.Errorf("the folder holds %s", got)
	}
	onlyManifest(t, folder)
}

// A folder that was made for nothing goes again.
func TestDropTakesItsFolderAlong(t *testing.T) {
	folder := filepath.Join(t.TempDir(), "out")
	s, err := handover.Begin(folder, "lug")
	if err != nil {
		t.Fatal(err)
	}
	write(t, s.Stage(), "half", "lug-green.stl")
	s.Drop()
	if _, err := os.Lstat(folder); err == nil {
		t.Error("the folder stays")
	}
	if err := put(t, folder, "lug", "new", false, "lug-green.stl"); err != nil {
		t.Fatal(err)
	}
	if got := holds(t, folder); got != "lug-green.stl=new" {
		t.Errorf("the folder holds %s", got)
	}
}

func TestFileName(t *testing.T) {
	for in, want := range map[string]string{
		"pump lever": "pump lever", "": "part", ".": "part", " .hidden. ": "hidden", "a/b\\c": "a-b-c", "line\nbreak": "line-break",
		"abc\u202elts": "abc-lts", "esc\x1b[2J": "esc-[2J", "con": "part-con", "COM1.x": "part-COM1.x", "lpt².x": "part-lpt².x", "CONOUT$": "part-CONOUT$", "console": "console", "\xff": "-",
	} {
		if got := handover.FileName(in); got != want {
			t.Errorf("FileName(%q) = %q, want %q", in, got, want)
		}
	}
	long := strings.Repeat("ü", 120)
	a, b := handover.FileName(long+"a"), handover.FileName(long+"b")
	if a == b || len(a) > 150 || !strings.HasPrefix(a, "üü") {
		t.Errorf("long names become %q and %q", a, b)
	}
	rapid.Check(t, func(t *rapid.T) {
		name := handover.FileName(rapid.OneOf(rapid.String(), rapid.StringN(100, 300, 1000)).Draw(t, "name"))
		if name == "" || len(name) > 150+len("part-") || !utf8.ValidString(name) || name != filepath.Base(name) || name != handover.FileName(name) && len(name) <= 150 || strings.HasPrefix(name, ".") {
			t.Fatalf("name %q", name)
		}
	})
}
