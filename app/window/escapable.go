package window

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/widget"
)

// The toolkit's controls keep every key to themselves while they have the focus.
// These pass Esc on, so that it always leaves what is open.

// escButton is a button that passes Esc on, and on the page itself every other
// key that it has no use for.
type escButton struct {
	widget.Button
	onEscape func()
	onKey    func(*fyne.KeyEvent)
}

func newEscButton(label string, tapped, escape func()) *escButton {
	b := &escButton{onEscape: escape}
	b.Text, b.OnTapped = label, tapped
	b.ExtendBaseWidget(b)
	return b
}

// TypedKey presses, or passes Esc on.
func (b *escButton) TypedKey(e *fyne.KeyEvent) {
	switch {
	case e.Name == fyne.KeyEscape && b.onEscape != nil:
		b.onEscape()
	case e.Name == fyne.KeyReturn || e.Name == fyne.KeyEnter:
		if !b.Disabled() {
			call(b.OnTapped)
		}
	case e.Name == fyne.KeySpace || b.onKey == nil:
		b.Button.TypedKey(e)
	default:
		b.onKey(e)
	}
}

// escSelect is a list to choose from that passes Esc on.
type escSelect struct {
	widget.Select
	onEscape func()
}

func newEscSelect(changed func(string), escape func()) *escSelect {
	s := &escSelect{onEscape: escape}
	s.OnChanged = changed
	s.ExtendBaseWidget(s)
	return s
}

// TypedKey chooses, or passes Esc on.
func (s *escSelect) TypedKey(e *fyne.KeyEvent) {
	if e.Name == fyne.KeyEscape {
		call(s.onEscape)
		return
	}
	s.Select.TypedKey(e)
}

// escSlider is a slider that passes Esc on.
type escSlider struct {
	widget.Slider
	onEscape func()
}

func newEscSlider(least, most float64, escape func()) *escSlider {
	s := &escSlider{onEscape: escape}
	s.Min, s.Max, s.Step = least, most, 1
	s.ExtendBaseWidget(s)
	return s
}

// TypedKey moves, or passes Esc on.
func (s *escSlider) TypedKey(e *fyne.KeyEvent) {
	if e.Name == fyne.KeyEscape {
		call(s.onEscape)
		return
	}
	s.Slider.TypedKey(e)
}

// escCheck is a check box that passes Esc on.
type escCheck struct {
	widget.Check
	onEscape func()
}

func newEscCheck(label string, changed func(bool), escape func()) *escCheck {
	c := &escCheck{onEscape: escape}
	c.Text, c.OnChanged = label, changed
	c.ExtendBaseWidget(c)
	return c
}

// TypedKey passes Esc on; the space bar comes as a rune.
func (c *escCheck) TypedKey(e *fyne.KeyEvent) {
	if e.Name == fyne.KeyEscape {
		call(c.onEscape)
		return
	}
	c.Check.TypedKey(e)
}

// escEntry is a line of text that passes Esc on.
type escEntry struct {
	widget.Entry
	onEscape func()
}

func newEscEntry(escape func()) *escEntry {
	e := &escEntry{onEscape: escape}
	e.ExtendBaseWidget(e)
	return e
}

// TypedKey edits, or passes Esc on.
func (e *escEntry) TypedKey(k *fyne.KeyEvent) {
	if k.Name == fyne.KeyEscape {
		call(e.onEscape)
		return
	}
	e.Entry.TypedKey(k)
}

// escapeKey makes a handler of keys that knows Esc alone.
func escapeKey(escape func()) func(*fyne.KeyEvent) {
	return func(e *fyne.KeyEvent) {
		if e.Name == fyne.KeyEscape {
			call(escape)
		}
	}
}

// call calls f unless it is nil.
func call(f func()) {
	if f != nil {
		f()
	}
}
