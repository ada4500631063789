package kit

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/widget"
)

// The toolkit's controls keep every key to themselves while they have the focus.
// These pass Esc on, so that it always leaves what is open.

// EscButton is a button that passes Esc on, and on the page itself every other
// key that it has no use for.
type EscButton struct {
	widget.Button
	onEscape func()
	OnKey    func(*fyne.KeyEvent)
}

// NewEscButton makes a button; escape may be nil.
func NewEscButton(label string, tapped, escape func()) *EscButton {
	b := &EscButton{onEscape: escape}
	b.Text, b.OnTapped = label, tapped
	b.ExtendBaseWidget(b)
	return b
}

// TypedKey presses, or passes Esc on.
func (b *EscButton) TypedKey(e *fyne.KeyEvent) {
	switch {
	case e.Name == fyne.KeyEscape && b.onEscape != nil:
		b.onEscape()
	case e.Name == fyne.KeyReturn || e.Name == fyne.KeyEnter:
		if !b.Disabled() {
			Call(b.OnTapped)
		}
	case e.Name == fyne.KeySpace || b.OnKey == nil:
		b.Button.TypedKey(e)
	default:
		b.OnKey(e)
	}
}

// EscSelect is a list to choose from that passes Esc on.
type EscSelect struct {
	widget.Select
	onEscape func()
}

// NewEscSelect makes a choice without options; changed and escape may be nil.
func NewEscSelect(changed func(string), escape func()) *EscSelect {
	s := &EscSelect{onEscape: escape}
	s.OnChanged = changed
	s.ExtendBaseWidget(s)
	return s
}

// TypedKey chooses, or passes Esc on.
func (s *EscSelect) TypedKey(e *fyne.KeyEvent) {
	if e.Name == fyne.KeyEscape {
		Call(s.onEscape)
		return
	}
	s.Select.TypedKey(e)
}

// EscSlider is a slider that passes Esc on.
type EscSlider struct {
	widget.Slider
	onEscape func()
}

// NewEscSlider makes a slider from least to most; escape may be nil.
func NewEscSlider(least, most float64, escape func()) *EscSlider {
	s := &EscSlider{onEscape: escape}
	s.Min, s.Max, s.Step = least, most, 1
	s.ExtendBaseWidget(s)
	return s
}

// TypedKey moves, or passes Esc on.
func (s *EscSlider) TypedKey(e *fyne.KeyEvent) {
	if e.Name == fyne.KeyEscape {
		Call(s.onEscape)
		return
	}
	s.Slider.TypedKey(e)
}

// EscCheck is a check box that passes Esc on.
type EscCheck struct {
	widget.Check
	onEscape func()
}

// NewEscCheck makes a tick box; changed and escape may be nil.
func NewEscCheck(label string, changed func(bool), escape func()) *EscCheck {
	c := &EscCheck{onEscape: escape}
	c.Text, c.OnChanged = label, changed
	c.ExtendBaseWidget(c)
	return c
}

// TypedKey passes Esc on; the space bar comes as a rune.
func (c *EscCheck) TypedKey(e *fyne.KeyEvent) {
	if e.Name == fyne.KeyEscape {
		Call(c.onEscape)
		return
	}
	c.Check.TypedKey(e)
}

// EscEntry is a line of text that passes Esc on.
type EscEntry struct {
	widget.Entry
	onEscape func()
}

// NewEscEntry makes an empty entry of one line; escape may be nil.
func NewEscEntry(escape func()) *EscEntry {
	e := &EscEntry{onEscape: escape}
	e.ExtendBaseWidget(e)
	return e
}

// TypedKey edits, or passes Esc on.
func (e *EscEntry) TypedKey(k *fyne.KeyEvent) {
	if k.Name == fyne.KeyEscape {
		Call(e.onEscape)
		return
	}
	e.Entry.TypedKey(k)
}

// EscapeKey makes a handler of keys that knows Esc alone.
func EscapeKey(escape func()) func(*fyne.KeyEvent) {
	return func(e *fyne.KeyEvent) {
		if e.Name == fyne.KeyEscape {
			Call(escape)
		}
	}
}

// Call calls f unless it is nil.
func Call(f func()) {
	if f != nil {
		f()
	}
}
