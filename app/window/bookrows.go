package window

import (
	"image/color"
	"kilnpoise/app/window/kit"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"
)

// firingLine is one firing in the list: what it is, and below it how far it is
// measured.
type firingLine struct {
	id           int64
	title, about string
	kind         kit.MarkKind
}

// firingList lists firings, the newest first. It is one stop of the Tab key; the
// arrows walk along it, Enter opens and Delete removes.
type firingList struct {
	widget.BaseWidget
	OnOpen, OnRemove func(id int64)
	OnEscape         func()
	// OnReveal asks that a part of the list be brought into view.
	OnReveal func(top, bottom float32)

	rows    []*fyne.Container
	grounds []*canvas.Rectangle
	lines   []firingLine
	current int
	focused bool
}

var (
	_ fyne.Tappable  = (*firingList)(nil)
	_ fyne.Focusable = (*firingList)(nil)
	_ kit.Tall       = (*firingList)(nil)
)

func newFiringList() *firingList {
	l := &firingList{}
	l.ExtendBaseWidget(l)
	return l
}

// Set lists these; the one that was current stays so while it is there.
func (l *firingList) Set(lines []firingLine) {
	var was int64
	if l.current < len(l.lines) {
		was = l.lines[l.current].id
	}
	l.lines, l.rows, l.grounds, l.current = lines, nil, nil, 0
	for i, f := range lines {
		if f.id == was {
			l.current = i
		}
		title := kit.NewProse(kit.RoleStrong, theme.ColorNameForeground, f.title)
		words := kit.NewPile(0, kit.NewItem(kit.NewMark(f.kind), title), kit.NewInset(18, 0, 0, 0, kit.NewSmall(f.about)))
		l.rows = append(l.rows, kit.NewInset(8, 5, 6, 5, words))
		ground := canvas.NewRectangle(color.Transparent)
		ground.CornerRadius = 3
		l.grounds = append(l.grounds, ground)
	}
	l.Refresh()
}

func (l *firingList) HeightFor(width float32) float32 {
	var h float32
	for _, r := range l.rows {
		h += kit.HeightOf(r, width)
	}
	return h
}

// Tapped opens the firing under the mouse.
func (l *firingList) Tapped(e *fyne.PointEvent) {
	for i, r := range l.rows {
		if top := r.Position().Y; e.Position.Y >= top && e.Position.Y < top+r.Size().Height {
			l.current = i
			l.Refresh()
			l.tell(l.OnOpen)
			return
		}
	}
}

func (l *firingList) tell(f func(int64)) {
	if f != nil && l.current < len(l.lines) {
		f(l.lines[l.current].id)
	}
}

// TypedKey walks along the list, opens and removes.
func (l *firingList) TypedKey(e *fyne.KeyEvent) {
	switch e.Name {
	case fyne.KeyUp:
		l.walk(l.current - 1)
	case fyne.KeyDown:
		l.walk(l.current + 1)
	case fyne.KeyHome:
		l.walk(0)
	case fyne.KeyEnd:
		l.walk(len(l.lines) - 1)
	case fyne.KeyReturn, fyne.KeyEnter, fyne.KeySpace:
		l.tell(l.OnOpen)
	case fyne.KeyDelete:
		l.tell(l.OnRemove)
	case fyne.KeyEscape:
		kit.Call(l.OnEscape)
	}
}

func (l *firingList) walk(to int) {
	if to < 0 || to >= len(l.rows) {
		return
	}
	l.current = to
	l.Refresh()
	if r := l.rows[to]; l.OnReveal != nil {
		l.OnReveal(r.Position().Y, r.Position().Y+r.Size().Height)
	}
}

// TypedRune does nothing.
func (l *firingList) TypedRune(rune) {}

// FocusGained shows the focus.
func (l *firingList) FocusGained() { l.focused = true; l.Refresh() }

// FocusLost ends that.
func (l *firingList) FocusLost() { l.focused = false; l.Refresh() }

// CreateRenderer makes the renderer.
func (l *firingList) CreateRenderer() fyne.WidgetRenderer { return &firingListRenderer{l} }

type firingListRenderer struct{ list *firingList }

func (r *firingListRenderer) MinSize() fyne.Size { return fyne.NewSize(120, 1) }

func (r *firingListRenderer) Layout(size fyne.Size) {
	var y float32
	for i, row := range r.list.rows {
		h := kit.HeightOf(row, size.Width)
		row.Move(fyne.NewPos(0, y))
		row.Resize(fyne.NewSize(size.Width, h))
		r.list.grounds[i].Move(fyne.NewPos(0, y))
		r.list.grounds[i].Resize(fyne.NewSize(size.Width, h))
		y += h
	}
}

func (r *firingListRenderer) Refresh() {
	for i, g := range r.list.grounds {
		g.FillColor, g.StrokeColor, g.StrokeWidth = color.Transparent, color.Transparent, 0
		if r.list.focused && i == r.list.current {
			g.FillColor, g.StrokeColor, g.StrokeWidth = kit.Themed(theme.ColorNameHover), kit.Themed(theme.ColorNamePrimary), 1.5
		}
		g.Refresh()
	}
	r.Layout(r.list.Size())
	canvas.Refresh(r.list)
}

func (r *firingListRenderer) Objects() []fyne.CanvasObject {
	var out []fyne.CanvasObject
	for i, row := range r.list.rows {
		out = append(out, r.list.grounds[i], row)
	}
	return out
}

func (r *firingListRenderer) Destroy() {}
