package kit

import (
	"errors"
	"math"
	"strconv"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/widget"
)

// NumberEntry takes one number. It hands the number over when it is entered or
// left, and only then: half-typed numbers change nothing.
type NumberEntry struct {
	widget.Entry
	// OnNumber is called with each new valid number, OnFault with what is wrong
	// with one that is not, or with nil once it is right again.
	OnNumber func(v float64)
	OnFault  func(err error)
	// OnEscape is called by Esc.
	OnEscape func()

	least, most float64
	Given       float64
	width       float32
}

// NewNumberEntry makes an entry for numbers from least to most.
func NewNumberEntry(least, most float64, width float32) *NumberEntry {
	e := &NumberEntry{least: least, most: most, Given: math.NaN(), width: width}
	e.ExtendBaseWidget(e)
	e.Scroll = fyne.ScrollNone
	e.OnSubmitted = func(string) { e.Commit() }
	return e
}

// SetNumber shows v without calling OnNumber.
func (e *NumberEntry) SetNumber(v float64) {
	e.Given = v
	e.SetText(PlainNumber(v))
}

// PlainNumber writes a number as people type it.
func PlainNumber(v float64) string {
	if a := math.Abs(v); a != 0 && (a < 1e-4 || a >= 1e6) {
		return strconv.FormatFloat(v, 'g', 6, 64)
	}
	return strconv.FormatFloat(math.Round(v*1e6)/1e6, 'f', -1, 64)
}

// Parse reads a number with a decimal point or comma.
func (e *NumberEntry) Parse(s string) (float64, error) {
	v, err := strconv.ParseFloat(strings.Replace(strings.TrimSpace(s), ",", ".", 1), 64)
	if err != nil || math.IsNaN(v) {
		return 0, errors.New("not a number")
	}
	// Limits are checked as shown, so that a limit itself is never refused for
	// the last binary digit.
	if v < e.least-1e-9 || v > e.most+1e-9 {
		return 0, errors.New("must lie between " + PlainNumber(e.least) + " and " + PlainNumber(e.most))
	}
	return v, nil
}

// Commit takes the number that is typed, or reports its fault.
func (e *NumberEntry) Commit() {
	v, err := e.Parse(e.Text)
	if e.OnFault != nil {
		e.OnFault(err)
	}
	if err != nil || v == e.Given {
		return
	}
	e.Given = v
	if e.OnNumber != nil {
		e.OnNumber(v)
	}
}

// TypedKey edits, or passes Esc on.
func (e *NumberEntry) TypedKey(k *fyne.KeyEvent) {
	if k.Name == fyne.KeyEscape {
		Call(e.OnEscape)
		return
	}
	e.Entry.TypedKey(k)
}

// FocusLost hands the number over; one that is not valid goes back to the last
// that was.
func (e *NumberEntry) FocusLost() {
	e.Entry.FocusLost()
	e.Commit()
	if _, err := e.Parse(e.Text); err != nil && !math.IsNaN(e.Given) {
		e.SetText(PlainNumber(e.Given))
	}
}

// MinSize is as wide as was asked for.
func (e *NumberEntry) MinSize() fyne.Size {
	e.ExtendBaseWidget(e)
	return fyne.NewSize(e.width, e.Entry.MinSize().Height)
}
