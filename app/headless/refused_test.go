package headless_test

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/spf13/pflag"

	"kilnpoise/app/book"
	"kilnpoise/app/handover"
	"kilnpoise/app/headless"
	"kilnpoise/mesh/meshtest"
)

// newFlags gives the flags of a task.
func newFlags(task interface{ AddFlags(*pflag.FlagSet) }) *pflag.FlagSet {
	f := pflag.NewFlagSet("task", pflag.ContinueOnError)
	task.AddFlags(f)
	return f
}

// quick is a run that takes no time beyond reading.
func quick(part string) headless.Options {
	return headless.Options{Part: part, JSON: true, NoFiles: true, NoFurnace: true, OnlyGiven: true}
}

// refused runs and wants one short sentence with the words, before any file is
// written.
func refused(t *testing.T, o headless.Options, words ...string) {
	t.Helper()
	var out, told bytes.Buffer
	err := headless.Run(context.Background(), o, &out, &told)
	if err == nil {
		t.Errorf("it is taken: %.200s", out.String())
		return
	}
	text := err.Error()
	for _, w := range words {
		if !strings.Contains(text, w) {
			t.Errorf("error %q, want one with %q", text, w)
		}
	}
	for _, w := range []string{"float64", "struct field", "strconv", "context canceled", "cannot decode"} {
		if strings.Contains(text, w) {
			t.Errorf("error %q speaks of the program", text)
		}
	}
	if strings.Contains(text, "\n") || len(text) > 1000 || out.Len() > 0 || strings.Contains(told.String(), "%  ") {
		t.Errorf("error %q after %q and %q", text, told.String(), out.String())
	}
}

// A brief that cannot be meant is refused before any work.
func TestBriefsThatCannotBeMeant(t *testing.T) {
	t.Setenv("XDG_CONFIG_HOME", t.TempDir())
	part := writePart(t, hook())
	tests := map[string]string{ // a brief, and what the sentence names
		"shrinkage = [0.1, 0.1]":                                           "shrinkage has 2 values; give 3",
		"shrinkage = []":                                                   "shrinkage has 0 values",
		"shrinkage = [0.1, 0.1, 0.1, 0.1]":                                 "shrinkage has 4 values",
		"[[face]]\nkind = \"smooth\"\nat = [1, 2]":                         "at has 2 values",
		"[[load]]\nalong = [1, 0]":                                         "along has 2 values",
		"[[load]]\nalong = [0, 0, 1, 0]":                                   "along has 4 values",
		"[[load]]\nalong = [nan, 0, 0]":                                    "NaN",
		"[[load]]\nalong = [0, inf, 0]":                                    "Inf",
		"[[load]]\nalong = [0, 0, 0]":                                      "direction",
		"[[dimension]]\nbore_at = [1,1]":                                   "bore_at has 2 values",
		"[[dimension]]\nbetween = [[1,1,1]]":                               "between has 1 values",
		"[[dimension]]\nbore_at = [1,1,1]\nnominal_mm = inf":               "Inf",
		"[[dimension]]\nbore_at = [1,1,1]\ntolerance_mm = inf":             "Inf",
		"[[dimension]]\nbore_at = [1,1,nan]":                               "NaN",
		"[[dimension]]\nbore_at = [1,1,1]\nnominal_mm = 1e308":             "up to 1e+06 mm",
		"[[face]]\nkind = \"smooth\"\nat = [1e308,1e308,1]":                "up to 1e+06 mm",
		"shrinkage = [0.1, nan, 0.1]":                                      "NaN",
		"overhang_limit_deg = nan":                                         "NaN",
		"[priorities]\nless_sag = nan":                                     "NaN",
		"[cutter]\ndiameter_mm = inf\nlength_mm = 70\nholder_mm = 10":      "Inf",
		"[cutter]\ndiameter_mm = 1e9\nlength_mm = 70\nholder_mm = 10":      "0.1 to 1000 mm",
		"[cutter]\ndiameter_mm = 3\nlength_mm = -70\nholder_mm = 10":       "length_mm",
		"candidates = 9223372036854775807":                                 "1 to 100",
		"candidates = 1000000000000":                                       "1 to 100",
		"candidates = -1":                                                  "1 to 100",
		"candidates = 2.5":                                                 "line 1",
		"material = 7":                                                     "line 1",
		"material = \"" + strings.Repeat("m", 3000) + "\"":                 "material",
		strings.Repeat("k", 3000) + " = 1":                                 "not known",
		"x = [" + strings.Repeat("1,", 600_000) + "]":                      "larger than",
		"[[face]]\nkind = \"smooth\"\nat = [1,1,1]\nwithin_deg = inf":      "Inf",
		"layer_height_mm = 7":                                              "layer_height_mm",
		"overhang_limit_deg = 400\nlayer_height_mm = 7\nshrinkage=[1,1,1]": "; ", // several faults of a record: one line
	}
	for text, want := range tests {
		o := quick(part)
		o.Brief, o.Out = filepath.Join(t.TempDir(), "brief.toml"), filepath.Join(t.TempDir(), "out")
		if err := os.WriteFile(o.Brief, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		refused(t, o, want)
		if _, err := os.Stat(o.Out); err == nil {
			t.Errorf("%.60q: the folder was made", text)
		}
	}
	t.Logf("%d briefs refused", len(tests))
}

// A direction may be given at any length, and a brief begin with a byte order mark.
func TestBriefsThatAreMeant(t *testing.T) {
	for _, text := range []string{
		"\ufeffcandidates = 3\n", "[[load]]\nalong = [1e-320, 0, 0]\n", "[[load]]\nalong = [0, 1e308, 1e308]\n", "[cutter]\ndiameter_mm = 3\nlength_mm = 70\n",
	} {
		o := quick(writePart(t, hook()))
		o.Brief = filepath.Join(t.TempDir(), "brief.toml")
		if err := os.WriteFile(o.Brief, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		if out, _ := run(t, o); strings.Contains(out, "NaN") || strings.Contains(out, "Inf") {
			t.Errorf("%q: a number that is none", text)
		}
	}
}

// Records with several faults are told in one line, those of the folder of one's own
// a line each.
func TestFaultsOfRecordsAreOneLine(t *testing.T) {
	config := t.TempDir()
	t.Setenv("XDG_CONFIG_HOME", config)
	bad := filepath.Join(t.TempDir(), "bad.toml")
	text := "name = \"\"\nshrinkage = [16, 16]\nother = 1\n"
	folder := filepath.Join(config, "kilnpoise", "records", "material")
	if err := os.MkdirAll(folder, 0o755); err != nil {
		t.Fatal(err)
	}
	for _, path := range []string{bad, filepath.Join(folder, "316l.toml"), filepath.Join(folder, "mine.toml")} {
		if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	o := quick(writePart(t, hook()))
	o.Material = bad
	refused(t, o, "bad.toml")
	o.Material = ""
	var out, told bytes.Buffer
	if err := headless.Run(context.Background(), o, &out, &told); err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(told.String(), "\n")
	for _, name := range []string{"316l.toml", "mine.toml"} {
		i := slices.IndexFunc(lines, func(l string) bool { return strings.Contains(l, name) })
		if i < 0 || !strings.Contains(lines[i], "correct the file") {
			t.Errorf("no line tells all about %s: %q", name, lines)
		}
	}
}

// A part that a brief marks with names from anywhere cannot forge a line.
func TestNamesDoNotReachTheTerminal(t *testing.T) {
	o := quick(writePart(t, hook()))
	o.Brief = filepath.Join(t.TempDir(), "brief.toml")
	text := "[[dimension]]\nname = \"reach\\u001b[2J\\nkilnpoise: all is well\\u202e\"\nbetween = [[0, 4, 20], [40, 4, 28]]\n"
	if err := os.WriteFile(o.Brief, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	out, told := run(t, o)
	for _, bad := range []string{"\x1b", "\u202e", "\nkilnpoise: all"} {
		if strings.Contains(told, bad) || strings.Contains(out, bad) || strings.Contains(out, `\u202e`) || strings.Contains(out, `\u001b`) {
			t.Errorf("%q is told", bad)
		}
	}
}

// Parts of odd names lead to files of plain names.
func TestNamesOfFiles(t *testing.T) {
	t.Setenv("XDG_CONFIG_HOME", t.TempDir())
	data, err := os.ReadFile(writePart(t, meshtest.Block(5, 5, 5)))
	if err != nil {
		t.Fatal(err)
	}
	names := []string{".stl", "con.stl", "a\nb.stl", "a\u202eb.stl", "\x1b[2J.stl", strings.Repeat("n", 250) + ".stl"}
	for _, name := range names {
		path := filepath.Join(t.TempDir(), name)
		if err := os.WriteFile(path, data, 0o600); err != nil {
			t.Logf("this system has no files like %q", name)
			continue
		}
		o := headless.Options{Part: path, Out: t.TempDir(), NoFurnace: true, OnlyGiven: true}
		if err := headless.Run(context.Background(), o, &bytes.Buffer{}, &bytes.Buffer{}); err != nil {
			t.Errorf("%q: %v", name, err)
			continue
		}
		files := visible(t, o.Out)
		if len(files) != 5 {
			t.Errorf("%q leads to %q", name, files)
		}
		for _, f := range files {
			if stem, ok := strings.CutSuffix(f, "-green.stl"); ok && (stem != handover.FileName(stem) || stem == "") || strings.HasPrefix(f, ".") {
				t.Errorf("%q leads to %q", name, f)
			}
		}
	}
	t.Logf("%d names", len(names))
}

// A length with a decimal comma is not taken for a length and an uncertainty.
func TestReadingsWithADecimalComma(t *testing.T) {
	for text, ok := range map[string]bool{
		"w,X,59.52,50.02": true, "w,X,59.52,50.02,0.03": true, "w,X,59.52,50.02,0.03,points": true, "w,X,10,8,0.5": true,
		"w,X,59,52,50.02": false, "w,X,59,52,50,02": false, "w,X,59.52,50,02": false, "w,X,5,9,5,02": false, "w,X,59,5,50": false,
	} {
		var e headless.BookEntry
		flags := newFlags(&e)
		err := flags.Parse([]string{"--reading", text})
		if ok != (err == nil) {
			t.Errorf("%q: error %v", text, err)
		}
	}
}

// The table of the book never takes the place of the book.
func TestExportSparesTheBook(t *testing.T) {
	t.Setenv("XDG_CONFIG_HOME", t.TempDir())
	dir := t.TempDir()
	b := headless.Book{Path: filepath.Join(dir, "firings.db")}
	entry := headless.BookEntry{Book: b, ErrorMM: 0.02}
	flags := newFlags(&entry)
	if err := flags.Parse([]string{"--reading", "w,X,59.52,50.02", "--book", b.Path}); err != nil {
		t.Fatal(err)
	}
	if err := entry.Run(t.Context(), time.Now(), &bytes.Buffer{}, &bytes.Buffer{}); err != nil {
		t.Fatal(err)
	}
	link, second, other := filepath.Join(dir, "link.csv"), filepath.Join(dir, "second.csv"), filepath.Join(dir, "other.csv")
	if os.Symlink(b.Path, link) != nil || os.Link(b.Path, second) != nil {
		t.Skip("needs links")
	}
	if c, err := book.Open(t.Context(), other); err != nil {
		t.Fatal(err)
	} else if err := c.Close(); err != nil {
		t.Fatal(err)
	}
	before, err := os.ReadFile(b.Path)
	if err != nil {
		t.Fatal(err)
	}
	for _, out := range []string{b.Path, link, second, other} {
		if err := b.Export(t.Context(), out, &bytes.Buffer{}, &bytes.Buffer{}); err == nil || !strings.Contains(err.Error(), filepath.Base(out)) {
			t.Errorf("written to %s: %v", filepath.Base(out), err)
		}
	}
	if after, err := os.ReadFile(b.Path); err != nil || !bytes.Equal(before, after) {
		t.Error("the book has changed")
	}
	for range 2 { // a table may be written anew
		if err := b.Export(t.Context(), filepath.Join(dir, "table.csv"), &bytes.Buffer{}, &bytes.Buffer{}); err != nil {
			t.Error(err)
		}
	}
}
