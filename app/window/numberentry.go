package window

import (
	"errors"
	"math"
	"strconv"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/widget"
)

// numberEntry takes one number. It hands the number over when it is entered or
// left, and only then: half-typed numbers change nothing.
type numberEntry struct {
	widget.Entry
	// OnNumber is called with each new valid number, OnFault with what is wrong
	// with one that is not, or with nil once it is right again.
	OnNumber func(v float64)
	OnFault  func(err error)
	// OnEscape is called by Esc.
	OnEscape func()

	least, most float64
	given       float64
	width       float32
}

// newNumberEntry makes an entry for numbers from least to most.
func newNumberEntry(least, most float64, width float32) *numberEntry {
	e := &numberEntry{least: least, most: most, given: math.NaN(), width: width}
	e.ExtendBaseWidget(e)
	e.Scroll = fyne.ScrollNone
	e.OnSubmitted = func(string) { e.commit() }
	return e
}

// SetNumber shows v without calling OnNumber.
func (e *numberEntry) SetNumber(v float64) {
	e.given = v
	e.SetText(plainNumber(v))
}

// plainNumber writes a number as people type it.
func plainNumber(v float64) string {
	if a := math.Abs(v); a != 0 && (a < 1e-4 || a >= 1e6) {
		return strconv.FormatFloat(v, 'g', 6, 64)
	}
	return strconv.FormatFloat(math.Round(v*1e6)/1e6, 'f', -1, 64)
}

// parse reads a number with a decimal point or comma.
func (e *numberEntry) parse(s string) (float64, error) {
	v, err := strconv.ParseFloat(strings.Replace(strings.TrimSpace(s), ",", ".", 1), 64)
	if err != nil || math.IsNaN(v) {
		return 0, errors.New("not a number")
	}
	// Limits are checked as shown, so that a limit itself is never refused for
	// the last binary digit.
	if v < e.least-1e-9 || v > e.most+1e-9 {
		return 0, errors.New("must lie between " + plainNumber(e.least) + " and " + plainNumber(e.most))
	}
	return v, nil
}

func (e *numberEntry) commit() {
	v, err := e.parse(e.Text)
	if e.OnFault != nil {
		e.OnFault(err)
	}
	if err != nil || v == e.given {
		return
	}
	e.given = v
	if e.OnNumber != nil {
		e.OnNumber(v)
	}
}

// TypedKey edits, or passes Esc on.
func (e *numberEntry) TypedKey(k *fyne.KeyEvent) {
	if k.Name == fyne.KeyEscape {
		call(e.OnEscape)
		return
	}
	e.Entry.TypedKey(k)
}

// FocusLost hands the number over; one that is not valid goes back to the last
// that was.
func (e *numberEntry) FocusLost() {
	e.Entry.FocusLost()
	e.commit()
	if _, err := e.parse(e.Text); err != nil && !math.IsNaN(e.given) {
		e.SetText(plainNumber(e.given))
	}
}

// MinSize is as wide as was asked for.
func (e *numberEntry) MinSize() fyne.Size {
	e.ExtendBaseWidget(e)
	return fyne.NewSize(e.width, e.Entry.MinSize().Height)
}
