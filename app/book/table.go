package book

import (
	"fmt"
	"strconv"
	"strings"
	"time"

	"kilnpoise/orient/furnace"
	"kilnpoise/orient/process"
)

// line is one line of the table that the book is exported as: a reading or a sag
// with the firing it belongs to, or a firing that has neither.
type line struct {
	kind    string
	firing  Firing // without readings and sags
	reading Reading
	sag     Sag
}

// The kinds of lines.
const (
	readingLine = "reading"
	sagLine     = "sag"
	firingLine  = "firing"
)

// cell is one column of the table: how it is written and read. Only text cells are
// guarded against formulas; see guard.
type cell struct {
	name string
	// on is the kind of line that the column belongs to; empty for all.
	on   string
	text bool
	get  func(l *line) string
	set  func(l *line, s string) error
}

// cells are the columns in order, with their units. Reading goes by name, so that
// columns may be moved or left out in a spreadsheet.
func cells() []cell {
	out := []cell{
		text("line", "", func(l *line) *string { return &l.kind }),
		text("firing", "", func(l *line) *string { return &l.firing.Key }),
		{"date", "", false, func(l *line) string { return l.firing.Date.Format(time.DateOnly) }, setDate},
		text("material", "", func(l *line) *string { return &l.firing.Material }),
		text("furnace", "", func(l *line) *string { return &l.firing.Furnace }),
		text("run", "", func(l *line) *string { return &l.firing.Run }),
		text("part", "", func(l *line) *string { return &l.firing.Part }),
		text("part_sha256", "", func(l *line) *string { return &l.firing.PartSHA256 }),
		text("job", "", func(l *line) *string { return &l.firing.Job }),
		text("peak", "", func(l *line) *string { return &l.firing.Peak }),
		number("green_mass_g", "", func(l *line) *float64 { return &l.firing.GreenMassG }),
		number("sintered_mass_g", "", func(l *line) *float64 { return &l.firing.SinteredMassG }),
		number("green_volume_mm3", "", func(l *line) *float64 { return &l.firing.GreenVolumeMM3 }),
		number("sintered_volume_mm3", "", func(l *line) *float64 { return &l.firing.SinteredVolumeMM3 }),
		text("remarks", "", func(l *line) *string { return &l.firing.Remarks }),
	}
	return append(append(out, readingCells()...), sagCells()...)
}

func readingCells() []cell {
	on := readingLine
	return []cell{
		text("name", on, func(l *line) *string { return &l.reading.Name }),
		number("part_x", on, func(l *line) *float64 { return &l.reading.PartDirection.X }),
		number("part_y", on, func(l *line) *float64 { return &l.reading.PartDirection.Y }),
		number("part_z", on, func(l *line) *float64 { return &l.reading.PartDirection.Z }),
		number("print_x", on, func(l *line) *float64 { return &l.reading.PrintDirection.X }),
		number("print_y", on, func(l *line) *float64 { return &l.reading.PrintDirection.Y }),
		number("print_z", on, func(l *line) *float64 { return &l.reading.PrintDirection.Z }),
		{"across", on, false, func(l *line) string { return AcrossWord(l.reading.Across) }, setAcross},
		number("green_nominal_mm", on, func(l *line) *float64 { return &l.reading.GreenNominalMM }),
		number("green_mm", on, func(l *line) *float64 { return &l.reading.GreenMM }),
		number("sintered_nominal_mm", on, func(l *line) *float64 { return &l.reading.SinteredNominalMM }),
		number("sintered_mm", on, func(l *line) *float64 { return &l.reading.SinteredMM }),
		text("instrument", on, func(l *line) *string { return &l.reading.Instrument }),
		number("uncertainty_mm", on, func(l *line) *float64 { return &l.reading.ErrorMM }),
		number("green_uncertainty_mm", on, func(l *line) *float64 { return &l.reading.GreenErrorMM }),
		{"left_out", on, false, func(l *line) string { return yes(l.reading.LeftOut) }, setLeftOut},
		{shrinkageColumn, on, false, shrinkageSeen, func(*line, string) error { return nil }},
	}
}

func sagCells() []cell {
	on := sagLine
	return []cell{
		{"sag_hold", on, false, func(l *line) string { return HoldWord(l.sag.Hold) }, setHold},
		number("sag_span_mm", on, func(l *line) *float64 { return &l.sag.SpanMM }),
		number("sag_thickness_mm", on, func(l *line) *float64 { return &l.sag.ThicknessMM }),
		number("sag_mm", on, func(l *line) *float64 { return &l.sag.SagMM }),
	}
}

// shrinkageColumn is for whoever looks at the table; it follows from the lengths
// and is passed over in reading.
const shrinkageColumn = "shrinkage_fraction"

func text(name, on string, of func(l *line) *string) cell {
	return cell{name, on, true, func(l *line) string { return *of(l) }, func(l *line, s string) error { *of(l) = s; return nil }}
}

// number writes the shortest digits that read back the same, and nothing for 0.
func number(name, on string, of func(l *line) *float64) cell {
	return cell{name, on, false,
		func(l *line) string {
			if v := *of(l); v != 0 {
				return strconv.FormatFloat(v, 'g', -1, 64)
			}
			return ""
		},
		func(l *line, s string) (err error) {
			if s == "" {
				*of(l) = 0
				return nil
			}
			if *of(l), err = strconv.ParseFloat(s, 64); err != nil {
				return fmt.Errorf("%q is no number; write it like 12.5", s)
			}
			return nil
		}}
}

func setDate(l *line, s string) error {
	t, err := time.Parse(time.DateOnly, s)
	if err != nil {
		return fmt.Errorf("%q is no date; write year-month-day, such as 2026-03-02", s)
	}
	l.firing.Date = t
	return nil
}

// AcrossWord is the word for it in tables and on the command line: faces or points.
func AcrossWord(a process.Across) string {
	if a == process.Points {
		return "points"
	}
	return "faces"
}

// ParseAcross reads AcrossWord; empty is faces.
func ParseAcross(s string) (process.Across, error) {
	switch s {
	case "", "faces":
		return process.Faces, nil
	case "points":
		return process.Points, nil
	}
	return 0, fmt.Errorf("%q: a length is measured between faces or points", s)
}

func setAcross(l *line, s string) (err error) {
	l.reading.Across, err = ParseAcross(s)
	return err
}

// HoldWord is the word for it in tables and on the command line: cantilever,
// supported or built-in.
func HoldWord(h furnace.Hold) string {
	switch h {
	case furnace.SimplySupported:
		return "supported"
	case furnace.BuiltIn:
		return "built-in"
	}
	return "cantilever"
}

// ParseHold reads HoldWord; empty is a cantilever.
func ParseHold(s string) (furnace.Hold, error) {
	switch s {
	case "", "cantilever":
		return furnace.Cantilever, nil
	case "supported":
		return furnace.SimplySupported, nil
	case "built-in":
		return furnace.BuiltIn, nil
	}
	return 0, fmt.Errorf("%q: a beam is held as cantilever, supported or built-in", s)
}

func setHold(l *line, s string) (err error) {
	l.sag.Hold, err = ParseHold(s)
	return err
}

func yes(v bool) string {
	if v {
		return "yes"
	}
	return ""
}

func setLeftOut(l *line, s string) error {
	switch strings.ToLower(s) {
	case "", "no", "0", "false":
		l.reading.LeftOut = false
	case "yes", "1", "true":
		l.reading.LeftOut = true
	default:
		return fmt.Errorf("%q: write yes or nothing", s)
	}
	return nil
}

func shrinkageSeen(l *line) string {
	s := process.Reading{GreenMM: l.reading.GreenMM, SinteredMM: l.reading.SinteredMM}.ShrinkageSeen()
	if s != s { // NaN
		return ""
	}
	return strconv.FormatFloat(s, 'f', 5, 64)
}
