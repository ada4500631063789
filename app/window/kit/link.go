package kit

import (
	"image/color"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"
)

// Link is a quiet button: small words with a line below them.
type Link struct {
	widget.BaseWidget
	// OnTapped is called by click, Enter or the space bar.
	OnTapped func()
	// OnKey gets the keys that the link has no use for.
	OnKey func(*fyne.KeyEvent)

	Text             string
	hovered, focused bool
}

var (
	_ fyne.Tappable      = (*Link)(nil)
	_ fyne.Focusable     = (*Link)(nil)
	_ desktop.Hoverable  = (*Link)(nil)
	_ desktop.Cursorable = (*Link)(nil)
)

// NewLink makes a link; tapped may be nil.
func NewLink(text string, tapped func()) *Link {
	l := &Link{Text: text, OnTapped: tapped}
	l.ExtendBaseWidget(l)
	return l
}

// SetText replaces the words.
func (l *Link) SetText(text string) {
	if l.Text != text {
		l.Text = text
		l.Refresh()
	}
}

// Tapped follows the link.
func (l *Link) Tapped(*fyne.PointEvent) { Call(l.OnTapped) }

// TypedKey follows the link.
func (l *Link) TypedKey(e *fyne.KeyEvent) {
	switch e.Name {
	case fyne.KeyReturn, fyne.KeyEnter, fyne.KeySpace:
		Call(l.OnTapped)
	default:
		if l.OnKey != nil {
			l.OnKey(e)
		}
	}
}

// TypedRune does nothing.
func (l *Link) TypedRune(rune) {}

// FocusGained shows the focus.
func (l *Link) FocusGained() { l.focused = true; l.Refresh() }

// FocusLost ends that.
func (l *Link) FocusLost() { l.focused = false; l.Refresh() }

// MouseIn shows that it can be clicked.
func (l *Link) MouseIn(*desktop.MouseEvent) { l.hovered = true; l.Refresh() }

// MouseMoved does nothing.
func (l *Link) MouseMoved(*desktop.MouseEvent) {}

// MouseOut ends the hint.
func (l *Link) MouseOut() { l.hovered = false; l.Refresh() }

// Cursor shows that it can be clicked.
func (l *Link) Cursor() desktop.Cursor { return desktop.PointerCursor }

// CreateRenderer makes the renderer.
func (l *Link) CreateRenderer() fyne.WidgetRenderer {
	r := &linkRenderer{link: l, words: canvas.NewText("", color.Transparent), line: canvas.NewRectangle(color.Transparent), ring: canvas.NewRectangle(color.Transparent)}
	r.ring.CornerRadius = 3
	r.dress()
	return r
}

const linkPad = 3

type linkRenderer struct {
	link       *Link
	words      *canvas.Text
	line, ring *canvas.Rectangle
}

func (r *linkRenderer) MinSize() fyne.Size {
	return r.words.MinSize().AddWidthHeight(2*linkPad, 4)
}

func (r *linkRenderer) Layout(size fyne.Size) {
	words := r.words.MinSize()
	y := (size.Height - words.Height) / 2
	r.words.Move(fyne.NewPos(linkPad, y))
	r.words.Resize(words)
	r.line.Move(fyne.NewPos(linkPad, y+words.Height-2))
	r.line.Resize(fyne.NewSize(words.Width, 1))
	r.ring.Resize(size)
}

func (r *linkRenderer) Refresh() {
	r.dress()
	r.Layout(r.link.Size())
	canvas.Refresh(r.link)
}

func (r *linkRenderer) dress() {
	l := r.link
	RoleSmall.dress(r.words, theme.ColorNamePrimary)
	r.words.Text = l.Text
	r.line.FillColor = Themed(theme.ColorNamePrimary)
	r.line.Hidden = !l.hovered && !l.focused
	r.ring.FillColor, r.ring.StrokeColor, r.ring.StrokeWidth = color.Transparent, color.Transparent, 0
	if l.hovered {
		r.ring.FillColor = Themed(theme.ColorNameHover)
	}
	if l.focused {
		r.ring.StrokeColor, r.ring.StrokeWidth = Themed(theme.ColorNamePrimary), 1.5
	}
}

func (r *linkRenderer) Objects() []fyne.CanvasObject {
	return []fyne.CanvasObject{r.ring, r.words, r.line}
}

func (r *linkRenderer) Destroy() {}

// Trailing sets a text and, right after its last letter, an object.
type Trailing struct{}

func (*Trailing) widths(objects []fyne.CanvasObject, width float32) (text, extra float32) {
	if objects[1].Visible() {
		extra = objects[1].MinSize().Width + 2
	}
	text = width - extra
	if p, ok := objects[0].(*Prose); ok {
		text = min(text, p.Role.Width(p.Text)+1)
	}
	return max(text, 1), extra
}

// HeightAt is the height of the text at that width.
func (t *Trailing) HeightAt(objects []fyne.CanvasObject, width float32) float32 {
	text, _ := t.widths(objects, width)
	return HeightOf(objects[0], text)
}

// Layout places both; the object is as high as one line of the text.
func (t *Trailing) Layout(objects []fyne.CanvasObject, size fyne.Size) {
	text, _ := t.widths(objects, size.Width)
	objects[0].Move(fyne.NewPos(0, 0))
	objects[0].Resize(fyne.NewSize(text, size.Height))
	m := objects[1].MinSize()
	objects[1].Move(fyne.NewPos(text+2, min(0, (RoleSmall.LineHeight()-m.Height)/2)))
	objects[1].Resize(m)
}

// MinSize is a line of the text with some width.
func (t *Trailing) MinSize(objects []fyne.CanvasObject) fyne.Size {
	return fyne.NewSize(100, RoleSmall.LineHeight())
}
