package window

import (
	"image/color"
	"kilnpoise/app/window/kit"

	"image"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"
)

// shelf holds the cards side by side, best first. It is one stop of the Tab
// key; the arrows walk along it.
type shelf struct {
	widget.BaseWidget
	// OnSelected is called with the place of the card that the user picks.
	OnSelected func(index int)
	// OnOther is called with the place of a card clicked with Shift, OnStepOther
	// when an arrow is pressed with Shift.
	OnOther     func(index int)
	OnStepOther func(by int)
	// OnKey gets the keys that the shelf has no use for.
	OnKey func(*fyne.KeyEvent)

	cards    []*card
	empty    *kit.Prose
	row      *fyne.Container
	scroll   *container.Scroll
	selected int
	focused  bool
}

var _ fyne.Focusable = (*shelf)(nil)

func newShelf() *shelf {
	s := &shelf{selected: -1}
	s.row = container.New(&cardRow{})
	s.empty = kit.NewSmall("The first ways appear here while the search runs.")
	s.scroll = container.NewHScroll(s.row)
	s.ExtendBaseWidget(s)
	return s
}

// Set shows the faces with the card at selected marked, and the one at other, if
// any, as that on the right; pictures may hold nil where one is not drawn yet.
func (s *shelf) Set(faces []cardFace, pictures []*image.RGBA, selected, other int) {
	for len(s.cards) < len(faces) {
		c := newCard()
		i := len(s.cards)
		c.OnTapped = func() { s.choose(i) }
		s.cards = append(s.cards, c)
	}
	s.row.Objects = s.row.Objects[:0]
	for i, face := range faces {
		c := s.cards[i]
		c.face, c.selected, c.other = face, i == selected, i == other
		c.picture = pictures[i]
		s.row.Objects = append(s.row.Objects, c)
		c.Refresh()
	}
	s.selected = selected
	s.Refresh()
	s.scroll.Refresh()
	s.reveal()
}

// choose passes on the user's pick.
func (s *shelf) choose(i int) {
	if c := fyne.CurrentApp().Driver().CanvasForObject(s); c != nil {
		c.Focus(s)
	}
	if i < 0 || i >= len(s.row.Objects) || s.OnSelected == nil {
		return
	}
	if kit.ShiftHeld() && s.OnOther != nil {
		s.OnOther(i)
		return
	}
	s.OnSelected(i)
}

// reveal scrolls so far that the marked card is seen whole.
func (s *shelf) reveal() {
	if s.selected < 0 || s.selected >= len(s.row.Objects) || s.scroll.Size().Width <= 0 {
		return
	}
	left := float32(s.selected) * (cardWidth + cardGap)
	right := left + cardWidth
	offset := s.scroll.Offset.X
	offset = max(offset, right-s.scroll.Size().Width)
	offset = min(offset, left)
	if offset != s.scroll.Offset.X {
		s.scroll.ScrollToOffset(fyne.NewPos(offset, 0))
	}
}

// FocusGained shows that the arrow keys work here.
func (s *shelf) FocusGained() { s.focused = true; s.Refresh() }

// FocusLost ends that.
func (s *shelf) FocusLost() { s.focused = false; s.Refresh() }

// TypedRune does nothing: every key comes as a KeyEvent too.
func (s *shelf) TypedRune(rune) {}

// TypedKey walks along the shelf.
func (s *shelf) TypedKey(e *fyne.KeyEvent) {
	if right, _ := kit.Arrows(e.Name); right != 0 && kit.ShiftHeld() && s.OnStepOther != nil {
		s.OnStepOther(int(right))
		return
	}
	switch e.Name {
	case fyne.KeyLeft:
		s.choose(s.selected - 1)
	case fyne.KeyRight:
		s.choose(s.selected + 1)
	case fyne.KeyHome:
		s.choose(0)
	case fyne.KeyEnd:
		s.choose(len(s.row.Objects) - 1)
	default:
		if s.OnKey != nil {
			s.OnKey(e)
		}
	}
}

// CreateRenderer makes the renderer.
func (s *shelf) CreateRenderer() fyne.WidgetRenderer {
	return &shelfRenderer{shelf: s, ring: canvas.NewRectangle(color.Transparent)}
}

type shelfRenderer struct {
	shelf *shelf
	ring  *canvas.Rectangle
}

func (r *shelfRenderer) MinSize() fyne.Size { return fyne.NewSize(cardWidth, cardHeight(leastPicture)) }

func (r *shelfRenderer) Layout(size fyne.Size) {
	picture := min(max(size.Height-cardHeight(0)-shelfBar, leastPicture), mostPicture)
	for _, c := range r.shelf.cards {
		c.pictureHeight = picture
	}
	r.shelf.scroll.Resize(size)
	r.shelf.empty.Move(fyne.NewPos(0, 4))
	r.shelf.empty.Resize(fyne.NewSize(size.Width, 40))
	kit.SetVisible(r.shelf.empty, len(r.shelf.row.Objects) == 0)
	r.ring.Move(fyne.NewPos(0, size.Height-2))
	r.ring.Resize(fyne.NewSize(size.Width, 2))
	r.shelf.row.Refresh()
	r.shelf.reveal()
}

func (r *shelfRenderer) Refresh() {
	r.ring.FillColor = color.Transparent
	if r.shelf.focused {
		r.ring.FillColor = kit.Themed(theme.ColorNameFocus)
	}
	r.Layout(r.shelf.Size())
	canvas.Refresh(r.shelf)
}

func (r *shelfRenderer) Objects() []fyne.CanvasObject {
	return []fyne.CanvasObject{r.shelf.scroll, r.shelf.empty, r.ring}
}

func (r *shelfRenderer) Destroy() {}

const (
	cardGap = 8
	// shelfBar is kept free below the cards for the scroll bar.
	shelfBar                  = 10
	leastPicture, mostPicture = 56, 120
)

// cardRow lays cards side by side.
type cardRow struct{}

func (*cardRow) Layout(objects []fyne.CanvasObject, _ fyne.Size) {
	x := float32(0)
	for _, o := range objects {
		o.Move(fyne.NewPos(x, 0))
		o.Resize(o.MinSize())
		x += cardWidth + cardGap
	}
}

func (*cardRow) MinSize(objects []fyne.CanvasObject) fyne.Size {
	if len(objects) == 0 {
		return fyne.NewSize(1, 1)
	}
	n := float32(len(objects))
	return fyne.NewSize(n*(cardWidth+cardGap)-cardGap, objects[0].MinSize().Height+shelfBar)
}
