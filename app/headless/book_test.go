package headless_test

import (
	"bytes"
	"context"
	"crypto/sha256"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/spf13/pflag"
	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/app/book"
	"kilnpoise/app/headless"
	"kilnpoise/assets"
	"kilnpoise/orient/furnace"
	"kilnpoise/orient/process"
)

var enteredOn = time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC)

// enter runs book add with flags as a shell gives them.
func enter(t *testing.T, path string, args ...string) (string, error) {
	t.Helper()
	var e headless.BookEntry
	flags := pflag.NewFlagSet("add", pflag.ContinueOnError)
	e.AddFlags(flags)
	if err := flags.Parse(append(args, "--book", path)); err != nil {
		return "", err
	}
	if err := e.Validate(); err != nil {
		return "", err
	}
	var out bytes.Buffer
	err := e.Run(context.Background(), enteredOn, &out, &bytes.Buffer{})
	return out.String(), err
}

func newBook(t *testing.T) string {
	t.Helper()
	t.Setenv("XDG_CONFIG_HOME", t.TempDir())
	return filepath.Join(t.TempDir(), "firings.db")
}

// only gives the firings of the book.
func only(t *testing.T, path string) []book.Firing {
	t.Helper()
	b, err := book.Open(context.Background(), path)
	if err != nil {
		t.Fatal(err)
	}
	defer b.Close()
	all, err := b.List(context.Background(), book.Filter{})
	if err != nil {
		t.Fatal(err)
	}
	return all
}

func TestBookAddByFlags(t *testing.T) {
	path := newBook(t)
	part := filepath.Join(t.TempDir(), "pump-lid.stl")
	if err := os.WriteFile(part, []byte("solid"), 0o600); err != nil {
		t.Fatal(err)
	}
	out, err := enter(t, path, "--material", "316L", "--part-file", part, "--run", "2026-014", "--remarks", "corner lifted",
		"--reading", "width, X, 47.6, 39.94", "--reading", "rib,1:0:-1,30,24.6,0.05,points", "--sag", "15,3,0.71,built-in", "--green-mass", "41.2")
	if err != nil || out != "firing 1 of 2026-03-02 is in the book: 2 readings, 1 sags\n" {
		t.Errorf("told %q, %v", out, err)
	}
	f := only(t, path)[0]
	if f.Material != "316l" || f.Furnace != assets.DefaultFurnace || f.Part != "pump-lid" || f.PartSHA256 != fmt.Sprintf("%x", sha256.Sum256([]byte("solid"))) ||
		f.Run != "2026-014" || f.GreenMassG != 41.2 || f.Remarks != "corner lifted" {
		t.Errorf("kept %+v", f)
	}
	if r := f.Readings[0]; r.Name != "width" || r.PrintDirection != (r3.Vec{X: 1}) || r.GreenMM != 47.6 || r.SinteredMM != 39.94 || r.ErrorMM != 0.02 {
		t.Errorf("first reading %+v", r)
	}
	if r := f.Readings[1]; r.Across != process.Points || r.ErrorMM != 0.05 || r3.Norm(r3.Sub(r.PrintDirection, r3.Unit(r3.Vec{X: 1, Z: -1}))) > 1e-12 {
		t.Errorf("second reading %+v", r)
	}
	if s := f.Sags[0]; s != (book.Sag{Hold: furnace.BuiltIn, SpanMM: 15, ThicknessMM: 3, SagMM: 0.71}) {
		t.Errorf("sag %+v", s)
	}
}

func TestBookAddByFile(t *testing.T) {
	path := newBook(t)
	file := filepath.Join(t.TempDir(), "firing.toml")
	write := func(text string) {
		if err := os.WriteFile(file, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	write(`date = 2026-02-20
part = "pump lid"
sintered_mass_g = 36
rotation = [[1, 0, 0], [0, 0, -1], [0, 1, 0]]
[[reading]]
name = "depth"
part_direction = [0, 1, 0]
green_mm = 25
sintered_mm = 19.95
instrument = "calliper 3"
uncertainty_mm = 0.03
[[reading]]
name = "slope"
print_direction = [1, 0, 1]
across = "points"
green_mm = 30
[[sag]]
hold = "supported"
span_mm = 20
thickness_mm = 2
sag_mm = 0.4
`)
	if _, err := enter(t, path, "--file", file, "--part", "pump lid, second"); err != nil {
		t.Fatal(err)
	}
	f := only(t, path)[0]
	if f.Date.Format(time.DateOnly) != "2026-02-20" || f.Part != "pump lid, second" || len(f.Readings) != 2 || f.Readings[0].PrintDirection != (r3.Vec{Z: 1}) ||
		f.Readings[0].ErrorMM != 0.03 || f.Readings[1].ErrorMM != 0.02 || f.Readings[1].Across != process.Points || f.Sags[0].Hold != furnace.SimplySupported {
		t.Errorf("kept %+v", f)
	}
	for text, want := range map[string]string{
		"date = 2026-02-20\ncolour = 3\n": "line 2: the key colour is not known",
		"date = \"20.2.2026\"\n":          "write year-month-day",
		"part = 3\n":                      "line 1",
		"[[reading]]\nname = \"x\"\n":     "reading no. 1: give print_direction",
		"[[reading]]\nprint_direction = [0, 0, 1]\nacross = \"edges\"\n":        "faces or points",
		"[[sag]]\nhold = \"glued\"\n":                                           "sag no. 1",
		"material = \"unobtainium\"\n":                                          "there is no material record",
		"furnace = \"volcano\"\n":                                               "there is no furnace record",
		"[[reading]]\nprint_direction = [0, 0, 1]\ngreen_mm = 1\nsintered_mm=2": "swapped",
	} {
		write(text)
		if _, err := enter(t, path, "--file", file); err == nil || !strings.Contains(err.Error(), want) || strings.Contains(err.Error(), "\n") {
			t.Errorf("%q: error %q, want one line with %q", text, err, want)
		}
	}
	write("date = \"2026-02-21\"\n")
	if _, err := enter(t, path, "--file", file); err != nil {
		t.Errorf("a date in quotes: %v", err)
	}
}

func TestBookFlagsThatAreRefused(t *testing.T) {
	path := newBook(t)
	for _, args := range [][]string{
		{}, {"--reading", "width,X,47"}, {"--reading", "width,W,47,39"}, {"--reading", "width,0:0:0,47,39"}, {"--reading", "width,X,-47,39"},
		{"--reading", "width,X,47,39,0.02,edges"}, {"--reading", "a,X,1,1,1,points,1"}, {"--date", "yesterday", "--green-mass", "3"}, {"--sag", "15,3"},
		{"--reading", "width,X,47,39", "--uncertainty", "0"},
	} {
		if out, err := enter(t, path, args...); err == nil {
			t.Errorf("%v: told %q", args, out)
		}
	}
	if len(only(t, path)) != 0 {
		t.Error("something was kept")
	}
}

// fill enters firings that shrink by 16.5, 16.2 and 20.8 percent, give or take.
func fill(t *testing.T, path string) {
	t.Helper()
	for j, off := range []float64{0.10, -0.15, 0.05, -0.05, 0.12} {
		mm := func(green, percent float64) string { return fmt.Sprintf("%g,%.3f", green, green*(1-(percent+off)/100)) }
		args := []string{
			"--date", fmt.Sprintf("2026-0%d-11", j+1), "--reading", "width,X," + mm(50, 16.5), "--reading", "slot,X," + mm(30, 16.52),
			"--reading", "depth,Y," + mm(40, 16.2), "--reading", "rim,Y," + mm(60, 16.17), "--reading", "height,Z," + mm(45, 20.8), "--reading", "step,Z," + mm(35, 20.83),
		}
		if j == 0 {
			args = append(args, "--green-mass", "10", "--sintered-mass", "8.73", "--green-volume", "2000")
		}
		if _, err := enter(t, path, args...); err != nil {
			t.Fatal(err)
		}
	}
}

func fit(t *testing.T, o headless.BookFit) (stdout, stderr string, err error) {
	t.Helper()
	o.Confidence = 95
	if err := o.Validate(); err != nil {
		t.Fatal(err)
	}
	var out, told bytes.Buffer
	err = o.Run(context.Background(), enteredOn, &out, &told)
	return out.String(), told.String(), err
}

// The fit shows what would change, changes nothing unasked, and then the record,
// dated.
func TestBookFit(t *testing.T) {
	path := newBook(t)
	fill(t, path)
	o := headless.BookFit{Book: headless.Book{Path: path, Material: "316l", Furnace: assets.DefaultFurnace}}
	out, _, err := fit(t, o)
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{
		"shrinkage of 316l in " + assets.DefaultFurnace + ", percent: 30 readings of 5 firings, 2026-01-11 to 2026-05-11",
		"95 % of the mean", "16.52    16.", "20.83    20.", "density of firing 1: 9", "shrinkage X: 16.00 % now (C), 16.52 % by the book\n",
		"oversize 1.1905, 1.1905, 1.2500 now", "nothing was changed",
	} {
		if !strings.Contains(out, want) {
			t.Errorf("no %q in\n%s", want, out)
		}
	}
	if m := record(t); m.Shrinkage != [3]float64{0.16, 0.16, 0.20} {
		t.Errorf("changed unasked: %v", m.Shrinkage)
	}
	o.Take, o.Note = true, "lot 7"
	if out, _, err = fit(t, o); err != nil || !strings.Contains(out, "taken over into your own record \"316l\"") {
		t.Errorf("%v\n%s", err, out)
	}
	m := record(t)
	if m.Shrinkage != [3]float64{0.1652, 0.1619, 0.2083} || m.ShrinkageSpread[0] < 0.0005 || m.ShrinkageSpread[0] > 0.003 {
		t.Errorf("kept %v, %v", m.Shrinkage, m.ShrinkageSpread)
	}
	for _, s := range m.Sources {
		if s.Item == "shrinkage" && (s.Tag != process.Shop || !strings.HasPrefix(s.Text, "firing book, 2026-03-02") || !strings.HasSuffix(s.Text, "lot 7")) {
			t.Errorf("source %+v", s)
		}
	}
	if out, _, err = fit(t, o); err != nil || !strings.Contains(out, "nothing changes in the record") {
		t.Errorf("once more: %v\n%s", err, out)
	}
}

func record(t *testing.T) process.Material {
	t.Helper()
	folder, err := process.UserFolder()
	if err != nil {
		t.Fatal(err)
	}
	m, err := process.OpenLibrary(assets.Records(), folder).Materials.Get("316l")
	if err != nil {
		t.Fatal(err)
	}
	return m
}

// A slip is named, and can be left out.
func TestBookFitNamesAndLeavesOut(t *testing.T) {
	path := newBook(t)
	fill(t, path)
	if _, err := enter(t, path, "--date", "2026-06-11", "--reading", "width,X,50,41.75", "--reading", "slot,X,30,24.3", "--reading", "depth,Y,40,33.52"); err != nil {
		t.Fatal(err)
	}
	o := headless.BookFit{Book: headless.Book{Path: path, Material: "316l"}}
	out, _, err := fit(t, o)
	if err != nil || !strings.Contains(out, "outlier: slot of firing 6 is off by +2.") {
		t.Errorf("%v\n%s", err, out)
	}
	o.Without = []string{"6/slot"}
	if out, _, err = fit(t, o); err != nil || strings.Contains(out, "outlier") || !strings.Contains(out, "32 readings of 6 firings") {
		t.Errorf("%v\n%s", err, out)
	}
	for _, w := range []string{"6/slit", "9"} {
		o.Without = []string{w}
		if _, _, err = fit(t, o); err == nil || !strings.Contains(err.Error(), "--without "+w) {
			t.Errorf("without %s: %v", w, err)
		}
	}
}

func TestBookFitFaults(t *testing.T) {
	path := newBook(t)
	o := headless.BookFit{Book: headless.Book{Path: path, Material: "316l"}}
	if _, _, err := fit(t, o); err == nil || !strings.Contains(err.Error(), "is empty; enter a firing") {
		t.Errorf("an empty book: %v", err)
	}
	fill(t, path)
	o.Book.Furnace = "volcano"
	if _, _, err := fit(t, o); err == nil || !strings.Contains(err.Error(), "there are: 316l in "+assets.DefaultFurnace) {
		t.Errorf("another furnace: %v", err)
	}
	for _, bad := range []headless.BookFit{
		{Confidence: 95}, {Book: o.Book, Confidence: 0.95}, {Book: o.Book, Confidence: 95, Without: []string{"width"}},
	} {
		if bad.Validate() == nil {
			t.Errorf("%+v is taken", bad)
		}
	}
}

// What is exported is imported elsewhere, and what was removed comes back.
func TestBookExportImportRemove(t *testing.T) {
	ctx := context.Background()
	path := newBook(t)
	fill(t, path)
	b := headless.Book{Path: path}
	table := filepath.Join(t.TempDir(), "table.csv")
	if err := b.Export(ctx, table, &bytes.Buffer{}, &bytes.Buffer{}); err != nil {
		t.Fatal(err)
	}
	other := headless.Book{Path: filepath.Join(t.TempDir(), "other.db")}
	var out bytes.Buffer
	if err := other.Import(ctx, table, &out, &bytes.Buffer{}); err != nil || out.String() != "5 firings added, 0 were in the book already\n" {
		t.Errorf("%q, %v", out.String(), err)
	}
	var removed bytes.Buffer
	if err := b.Remove(ctx, 2, &removed, &bytes.Buffer{}); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(table, removed.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	out.Reset()
	if err := b.Import(ctx, table, &out, &bytes.Buffer{}); err != nil || !strings.HasPrefix(out.String(), "1 firings added") || len(only(t, path)) != 5 {
		t.Errorf("%q, %v", out.String(), err)
	}
	out.Reset()
	if err := b.List(ctx, &out, &bytes.Buffer{}); err != nil || strings.Count(out.String(), "\n") != 6 || !strings.Contains(out.String(), "6 of 6") {
		t.Errorf("%v\n%s", err, out.String())
	}
	if err := os.WriteFile(table, []byte("date,material\nx,y\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	if err := b.Import(ctx, table, &out, &bytes.Buffer{}); err == nil || !strings.Contains(err.Error(), "table.csv, line 2, date: ") {
		t.Errorf("a bad table: %v", err)
	}
	if err := b.Export(ctx, filepath.Join(t.TempDir(), "no", "folder.csv"), &out, &bytes.Buffer{}); err == nil {
		t.Error("written into no folder")
	}
}
