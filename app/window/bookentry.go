package window

import (
	"errors"
	"kilnpoise/app/window/kit"
	"math"
	"strconv"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/widget"
)

// bookEntry is a line of the firing book's form: a text, or a number that may be
// empty since it is not known yet. Esc leaves, Enter goes on to the next.
type bookEntry struct {
	widget.Entry
	// OnEscape and OnNext are called by Esc and Enter, OnFocus when the entry gets
	// the focus, so that it can be brought into view.
	OnEscape, OnNext, OnFocus func()

	width float32
	// given is the number that SetNumber has shown as the text written, so that one
	// that is not touched stays as it is to the last digit.
	given   float64
	written string
}

func newBookEntry(width float32, hint string) *bookEntry {
	e := &bookEntry{width: width}
	e.ExtendBaseWidget(e)
	e.Scroll = fyne.ScrollNone
	e.SetPlaceHolder(hint)
	e.OnSubmitted = func(string) { kit.Call(e.OnNext) }
	return e
}

// newBookText makes an entry of several lines.
func newBookText(hint string) *bookEntry {
	e := newBookEntry(0, hint)
	e.MultiLine, e.Wrapping = true, fyne.TextWrapWord
	e.SetMinRowsVisible(2)
	return e
}

// TypedKey edits, or passes Esc on.
func (e *bookEntry) TypedKey(k *fyne.KeyEvent) {
	if k.Name == fyne.KeyEscape {
		kit.Call(e.OnEscape)
		return
	}
	e.Entry.TypedKey(k)
}

// TypedShortcut passes the shortcuts of the window on, which the toolkit would give
// to whatever is typed in alone.
func (e *bookEntry) TypedShortcut(s fyne.Shortcut) {
	if _, own := s.(*desktop.CustomShortcut); own {
		if c, ok := fyne.CurrentApp().Driver().CanvasForObject(e).(fyne.Shortcutable); ok {
			c.TypedShortcut(s)
		}
		return
	}
	e.Entry.TypedShortcut(s)
}

// AcceptsTab lets the Tab key go on to the next control from several lines too.
func (e *bookEntry) AcceptsTab() bool { return false }

// FocusGained asks to be seen.
func (e *bookEntry) FocusGained() {
	e.Entry.FocusGained()
	kit.Call(e.OnFocus)
}

// MinSize is as wide as was asked for.
func (e *bookEntry) MinSize() fyne.Size {
	return fyne.NewSize(max(e.width, 40), e.Entry.MinSize().Height)
}

var errNoNumber = errors.New("is not a number; give it with a decimal point or comma, or leave it empty")

// Number gives the number; 0 where nothing stands.
func (e *bookEntry) Number() (float64, error) {
	text := strings.TrimSpace(e.Text)
	if e.written != "" && e.Text == e.written {
		return e.given, nil
	}
	if text == "" {
		return 0, nil
	}
	v, err := strconv.ParseFloat(strings.Replace(text, ",", ".", 1), 64)
	if err != nil || math.IsNaN(v) || math.IsInf(v, 0) {
		return 0, errNoNumber
	}
	return v, nil
}

// SetNumber shows v, nothing where it is 0.
func (e *bookEntry) SetNumber(v float64) {
	e.given, e.written = v, ""
	if v != 0 {
		e.written = kit.PlainNumber(v)
	}
	e.SetText(e.written)
}
