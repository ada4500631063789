package book

import (
	"errors"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
)

// Tables written by hand or by a spreadsheet of another country.
func TestTablesByHand(t *testing.T) {
	for name, table := range map[string]string{
		"least":              "date,material,print_x,green_mm,sintered_mm,uncertainty_mm\n2026-03-02,316l,1,47.6,39.94,0.02\n",
		"semicolons, commas": "date;material;print_x;green_mm;sintered_mm;uncertainty_mm\r\n2026-03-02;316l;1;47,6;39,94;0,02\r\n",
		"tabs, spaces, mark": "\ufeff date\tmaterial\tprint_x\tgreen_mm\tsintered_mm\tuncertainty_mm\n2026-03-02\t316l\t 1\t47,6 \t39.94\t0,02\n",
		"other order":        "uncertainty_mm,sintered_mm,green_mm,print_x,material,date\n0.02,39.94,47.6,1,316l,2026-03-02\n",
	} {
		got, err := ReadTable(strings.NewReader(table))
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if len(got) != 1 || len(got[0].Readings) != 1 {
			t.Errorf("%s: %+v", name, got)
			continue
		}
		if r := got[0].Readings[0]; r.GreenMM != 47.6 || r.SinteredMM != 39.94 || r.ErrorMM != 0.02 || r.PrintDirection != (r3.Vec{X: 1}) {
			t.Errorf("%s: %+v", name, r)
		}
	}
	// Two firings, the second with two readings, and one for each line without a key.
	got, err := ReadTable(strings.NewReader("firing,date,material,print_x,green_mm\na,2026-03-02,316l,1,9\nb,2026-03-02,316l,1,8\nb,2026-03-02,316l,1,7\n,2026-03-02,316l,1,6\n,2026-03-02,316l,1,5\n"))
	if err != nil || len(got) != 4 || len(got[1].Readings) != 2 || got[2].Key == "" || got[2].Key == got[3].Key {
		t.Errorf("%+v, %v", got, err)
	}
}

// What is not understood is named with its line and column.
func TestTablesThatAreRefused(t *testing.T) {
	const head = "firing,date,material,print_x,green_mm,sintered_mm,uncertainty_mm,across,left_out,sag_mm,line\n"
	const good = "a,2026-03-02,316l,1,47.6,39.94,0.02,,,,\n"
	for table, want := range map[string]string{
		"":                       "no line that names its columns",
		"date\n":                 `the column "material" is missing`,
		"date,material,colour\n": `the column "colour" is not known; those that are: line, firing, date`,
		"date,date,material\n":   `"date" is there twice`,
		head + "a,2026-03-02\n":  "line 2: wrong number of fields",
		head + "a,\"2026\n":      "line 2: ",
		head + good + "a,2026-03-03,316l,1,47.6,39.94,0.02,,,,\n": "line 3, date: it is not the same as on line 2",
		head + "a,2.3.2026,316l,1,47.6,39.94,0.02,,,,\n":          "line 2, date: \"2.3.2026\" is no date; write year-month-day",
		head + "a,2026-03-02,316l,1,\"47,6\",39.94,0.02,,,,\n":    "line 2, green_mm: \"47,6\" is no number; write it like 12.5",
		head + "a,2026-03-02,316l,1,39.94,47.6,0.02,,,,\n":        "line 2: reading 1 (): 39.94 mm green and 47.6 mm sintered",
		head + "a,2026-03-02,316l,NaN,47.6,39.94,0.02,,,,\n":      "line 2: reading 1 (): its direction",
		head + "a,2026-03-02,316l,1,47.6,39.94,0.02,edges,,,\n":   "line 2, across: \"edges\"",
		head + "a,2026-03-02,316l,1,47.6,39.94,0.02,,maybe,,\n":   "line 2, left_out: \"maybe\"",
		head + "a,2026-03-02,316l,1,47.6,39.94,0.02,,,1,\n":       "line 2, line: a line of the kind sag",
		head + "a,2026-03-02,316l,1,47.6,39.94,0.02,,,,tea\n":     "line 2, line: \"tea\"",
		head + "a,2026-03-02,,1,47.6,39.94,0.02,,,,\n":            "line 2: the material is missing",
		"sep=;\ndate;material\n":                                  `the column "sep=" is not known`,
	} {
		_, err := ReadTable(strings.NewReader(table))
		if err == nil || !strings.Contains(err.Error(), want) || strings.Contains(err.Error(), "\n") {
			t.Errorf("%q: error %q, want one line with %q", table, err, want)
		}
	}
	var at *LineError
	if _, err := ReadTable(strings.NewReader(head + good + "b,x,316l,1,1,1,1,,,,\n")); !errors.As(err, &at) || at.Line != 3 || at.Column != "date" {
		t.Errorf("error %+v", at)
	}
	if _, err := ReadTable(strings.NewReader(strings.Repeat("a", LargestTable+1))); err == nil || !strings.Contains(err.Error(), "larger than") {
		t.Errorf("a table too large: %v", err)
	}
}

// Whatever the bytes, reading ends in a table or in one line; what was read can be
// kept, and comes back the same when written.
func FuzzReadTable(f *testing.F) {
	key := lid()
	key.Key = "k"
	f.Add(exported(f, key))
	f.Add("date;material;green_mm\n2026-03-02;316l;47,6\n")
	f.Add("date,material,remarks\n2026-03-02,316l,\"'=x\r\n'\"\n")
	f.Add("firing,date,material,line,sag_span_mm,sag_thickness_mm\n'a,2026-03-02,316l,sag,3,4\n")
	f.Add("\ufeffdate\tmaterial\n")
	f.Add("date,material,name,print_x\n2026-03-02,316l,\"a\nb\x00\",1\n") // once an error of two lines
	f.Fuzz(func(t *testing.T, table string) {
		if len(table) > 1<<16 {
			t.Skip("large tables are slow and show no more")
		}
		firings, err := ReadTable(strings.NewReader(table))
		if err != nil {
			if strings.Contains(err.Error(), "\n") {
				t.Errorf("the error has several lines: %q", err)
			}
			return
		}
		for _, one := range firings {
			if err := one.Check(); err != nil {
				t.Errorf("read but not kept: %v", err)
			}
		}
		again, err := ReadTable(strings.NewReader(exported(t, firings...)))
		if err != nil {
			t.Fatal(err)
		}
		if first, second := exported(t, firings...), exported(t, again...); first != second {
			t.Errorf("read back differently:\n%s\n%s", first, second)
		}
	})
}
