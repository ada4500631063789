package kit

import (
	"image/color"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"
)

// OptionList offers a few options of which one holds: rings in a row or a column,
// with a dot in the one that is taken. It is one stop of the Tab key; the arrows
// walk along it.
type OptionList struct {
	widget.BaseWidget
	OnChanged func(index int)
	OnEscape  func()

	options  []string
	row      bool
	Selected int
	focused  bool
}

var (
	_ fyne.Tappable  = (*OptionList)(nil)
	_ fyne.Focusable = (*OptionList)(nil)
)

// NewOptionList makes a list of options, in a row or one below the other.
func NewOptionList(row bool, options ...string) *OptionList {
	l := &OptionList{options: options, row: row}
	l.ExtendBaseWidget(l)
	return l
}

// Select takes an option without calling OnChanged.
func (l *OptionList) Select(i int) {
	l.Selected = min(max(i, 0), len(l.options)-1)
	l.Refresh()
}

// Choose selects option i as a click does: the change is told of.
func (l *OptionList) Choose(i int) {
	if i < 0 || i >= len(l.options) || i == l.Selected {
		return
	}
	l.Select(i)
	if l.OnChanged != nil {
		l.OnChanged(i)
	}
}

// Tapped takes the option under the mouse.
func (l *OptionList) Tapped(e *fyne.PointEvent) {
	if c := fyne.CurrentApp().Driver().CanvasForObject(l); c != nil {
		c.Focus(l)
	}
	for i := range l.options {
		p, s := l.place(i)
		if e.Position.X >= p.X && e.Position.X < p.X+s.Width && e.Position.Y >= p.Y && e.Position.Y < p.Y+s.Height {
			l.Choose(i)
		}
	}
}

// TypedKey walks along the options.
func (l *OptionList) TypedKey(e *fyne.KeyEvent) {
	switch e.Name {
	case fyne.KeyLeft, fyne.KeyUp:
		l.Choose(l.Selected - 1)
	case fyne.KeyRight, fyne.KeyDown:
		l.Choose(l.Selected + 1)
	case fyne.KeyEscape:
		Call(l.OnEscape)
	}
}

// TypedRune does nothing.
func (l *OptionList) TypedRune(rune) {}

// FocusGained shows the focus.
func (l *OptionList) FocusGained() { l.focused = true; l.Refresh() }

// FocusLost ends that.
func (l *OptionList) FocusLost() { l.focused = false; l.Refresh() }

const (
	optionHeight = 26
	optionRing   = 14
	optionGap    = 22
)

// place gives where option i stands, with its words.
func (l *OptionList) place(i int) (fyne.Position, fyne.Size) {
	width := func(k int) float32 { return optionRing + 8 + RoleBody.Measure(l.options[k]).Width }
	if !l.row {
		return fyne.NewPos(4, float32(i)*optionHeight), fyne.NewSize(width(i), optionHeight)
	}
	x := float32(4)
	for k := range i {
		x += width(k) + optionGap
	}
	return fyne.NewPos(x, 0), fyne.NewSize(width(i), optionHeight)
}

// CreateRenderer makes the renderer.
func (l *OptionList) CreateRenderer() fyne.WidgetRenderer {
	r := &optionRenderer{list: l}
	r.build()
	return r
}

type optionRenderer struct {
	list    *OptionList
	objects []fyne.CanvasObject
}

func (r *optionRenderer) MinSize() fyne.Size {
	var size fyne.Size
	for i := range r.list.options {
		p, s := r.list.place(i)
		size = size.Max(fyne.NewSize(p.X+s.Width+6, p.Y+s.Height))
	}
	return size
}

func (r *optionRenderer) Layout(fyne.Size) {}

func (r *optionRenderer) Refresh() {
	r.build()
	canvas.Refresh(r.list)
}

func (r *optionRenderer) build() {
	r.objects = r.objects[:0]
	for i, text := range r.list.options {
		p, _ := r.list.place(i)
		ring := canvas.NewCircle(color.Transparent)
		ring.StrokeWidth, ring.StrokeColor = 1.5, Themed(theme.ColorNameForeground)
		taken := i == r.list.Selected
		if taken && r.list.focused {
			ring.StrokeWidth, ring.StrokeColor = 3, Themed(theme.ColorNamePrimary)
		}
		ring.Move(p.AddXY(0, (optionHeight-optionRing)/2))
		ring.Resize(fyne.NewSquareSize(optionRing))
		r.objects = append(r.objects, ring)
		if taken {
			dot := canvas.NewCircle(Themed(theme.ColorNamePrimary))
			dot.Move(p.AddXY(4, (optionHeight-optionRing)/2+4))
			dot.Resize(fyne.NewSquareSize(optionRing - 8))
			r.objects = append(r.objects, dot)
		}
		words := RoleBody.Line(text, theme.ColorNameForeground, fyne.TextAlignLeading)
		size := words.MinSize()
		words.Move(p.AddXY(optionRing+8, (optionHeight-size.Height)/2))
		words.Resize(size)
		r.objects = append(r.objects, words)
	}
}

func (r *optionRenderer) Objects() []fyne.CanvasObject { return r.objects }
func (r *optionRenderer) Destroy()                     {}
