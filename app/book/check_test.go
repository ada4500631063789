package book

import (
	"math"
	"strings"
	"testing"
	"time"

	"gonum.org/v1/gonum/spatial/r3"
)

func TestCheck(t *testing.T) {
	if err := lid().Check(); err != nil {
		t.Error(err)
	}
	if err := (Firing{Date: lid().Date, Material: "316l"}).Check(); err != nil {
		t.Errorf("a firing without readings: %v", err)
	}
	for want, change := range map[string]func(*Firing){
		"date 0001-01-01":           func(f *Firing) { f.Date = time.Time{} },
		"the material is missing":   func(f *Firing) { f.Material = " " },
		"no SHA-256":                func(f *Firing) { f.PartSHA256 = "abc" },
		"save the file it came fro": func(f *Firing) { f.Remarks = "\xff" },
		"longer than":               func(f *Firing) { f.Remarks = strings.Repeat("a", longestText+1) },
		"the green mass is -1":      func(f *Firing) { f.GreenMassG = -1 },
		"sintered volume is NaN":    func(f *Firing) { f.SinteredVolumeMM3 = math.NaN() },
		"sag 1: span 0":             func(f *Firing) { f.Sags[0].SpanMM = 0 },
		"held as":                   func(f *Firing) { f.Sags[1].Hold = 9 },
		"reading 1 (width): the sintered length is +Inf": func(f *Firing) { f.Readings[0].SinteredMM = math.Inf(1) },
		"swapped":                    func(f *Firing) { f.Readings[0].GreenMM, f.Readings[0].SinteredMM = 40, 47.6 },
		"print frame is missing":     func(f *Firing) { f.Readings[0].PrintDirection = r3.Vec{} },
		"is no direction":            func(f *Firing) { f.Readings[0].PartDirection = r3.Vec{X: math.NaN()} },
		"uncertainty of the instrum": func(f *Firing) { f.Readings[0].ErrorMM = 0 },
		"faces or points":            func(f *Firing) { f.Readings[0].Across = 4 },
		"holds up to":                func(f *Firing) { f.Readings = make([]Reading, mostEntries+1) },
	} {
		f := lid()
		change(&f)
		if err := f.Check(); err == nil || !strings.Contains(err.Error(), want) || strings.Contains(err.Error(), "\n") {
			t.Errorf("error %v, want one line with %q", err, want)
		}
	}
}

// Keeping a firing twice changes nothing more.
func TestTidyStands(t *testing.T) {
	f := lid()
	f.Part = "pump\n lid"
	f.Readings[0].PrintDirection, f.Remarks, f.PartSHA256 = r3.Vec{X: 3, Y: -1, Z: 7}, "  a\r\nb\rc ", strings.ToUpper(f.PartSHA256)
	once, err := f.tidy()
	if err != nil {
		t.Fatal(err)
	}
	twice, err := once.tidy()
	if err != nil {
		t.Fatal(err)
	}
	if once.Readings[0] != twice.Readings[0] || once.Part != "pump  lid" || once.Remarks != "a\nb\nc" || twice.Remarks != once.Remarks || once.Key == "" || once.Key != twice.Key {
		t.Errorf("once %+v, twice %+v", once, twice)
	}
	if f.Readings[0].PrintDirection.X != 3 {
		t.Error("the firing given was changed")
	}
}
