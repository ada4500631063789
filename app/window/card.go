package window

import (
	"image/color"
	"kilnpoise/app/window/kit"

	"image"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"
)

// card shows one candidate as a picture with its rank, its name and the numbers
// that decide. A gate that is not passed is told by a struck square and words.
type card struct {
	widget.BaseWidget
	// OnTapped is called when the card is clicked.
	OnTapped func()

	face     cardFace
	picture  *image.RGBA
	selected bool
	hovered  bool
	// other tells that it is shown beside the selected one.
	other bool
	// pictureHeight is chosen by the shelf for the room that it has.
	pictureHeight float32
}

var (
	_ fyne.Tappable     = (*card)(nil)
	_ desktop.Hoverable = (*card)(nil)
)

const (
	cardWidth  = 160
	cardLine   = 17
	cardMargin = 8
	cardTitleH = 21
)

func newCard() *card {
	c := &card{pictureHeight: 92}
	c.ExtendBaseWidget(c)
	return c
}

// cardHeight gives the height of a card with a picture of that height.
func cardHeight(picture float32) float32 {
	return picture + cardTitleH + 5*cardLine + cardMargin + 4
}

// Tapped selects the card.
func (c *card) Tapped(*fyne.PointEvent) {
	if c.OnTapped != nil {
		c.OnTapped()
	}
}

// MouseIn shows that the card can be clicked.
func (c *card) MouseIn(*desktop.MouseEvent) { c.hovered = true; c.Refresh() }

// MouseMoved does nothing.
func (c *card) MouseMoved(*desktop.MouseEvent) {}

// MouseOut ends the hint.
func (c *card) MouseOut() { c.hovered = false; c.Refresh() }

// CreateRenderer makes the renderer.
func (c *card) CreateRenderer() fyne.WidgetRenderer {
	r := &cardRenderer{
		card:    c,
		ground:  canvas.NewRectangle(color.Transparent),
		bench:   canvas.NewRectangle(color.Transparent),
		picture: canvas.NewImageFromImage(nil),
		border:  canvas.NewRectangle(color.Transparent),
	}
	r.picture.FillMode = canvas.ImageFillContain
	r.picture.ScaleMode = canvas.ImageScaleFastest
	r.build()
	return r
}

type cardRenderer struct {
	card          *card
	ground, bench *canvas.Rectangle
	picture       *canvas.Image
	border        *canvas.Rectangle
	words         []fyne.CanvasObject
	objects       []fyne.CanvasObject
}

func (r *cardRenderer) MinSize() fyne.Size {
	return fyne.NewSize(cardWidth, cardHeight(r.card.pictureHeight))
}

func (r *cardRenderer) Layout(size fyne.Size) {
	r.ground.Resize(size)
	r.border.Resize(size)
	inner := fyne.NewSize(size.Width-4, r.card.pictureHeight)
	for _, o := range []fyne.CanvasObject{r.bench, r.picture} {
		o.Move(fyne.NewPos(2, 2))
		o.Resize(inner)
	}
}

func (r *cardRenderer) Refresh() {
	r.build()
	r.Layout(r.card.Size())
	canvas.Refresh(r.card)
}

func (r *cardRenderer) Objects() []fyne.CanvasObject { return r.objects }
func (r *cardRenderer) Destroy()                     {}

// build sets colours and words anew.
func (r *cardRenderer) build() {
	c := r.card
	r.ground.FillColor = kit.Themed(kit.ColorRaised)
	r.ground.CornerRadius = 4
	r.bench.FillColor = kit.Themed(kit.ColorBench)
	r.bench.CornerRadius = 3
	r.picture.Image = nil
	if c.picture != nil {
		r.picture.Image = c.picture
	}
	r.picture.Refresh()
	r.border.FillColor = color.Transparent
	r.border.CornerRadius = 4
	r.border.StrokeColor, r.border.StrokeWidth = kit.Themed(kit.ColorHairline), 1
	switch {
	case c.selected:
		r.border.StrokeColor, r.border.StrokeWidth = kit.Themed(theme.ColorNamePrimary), 3
	case c.other:
		r.border.StrokeColor, r.border.StrokeWidth = kit.Themed(theme.ColorNameForeground), 2
	case c.hovered:
		r.border.StrokeColor = kit.Themed(theme.ColorNameInputBorder)
	}
	r.words = r.words[:0]
	r.setWords()
	r.objects = append([]fyne.CanvasObject{r.ground, r.bench, r.picture}, r.words...)
	r.objects = append(r.objects, r.border)
}

func (r *cardRenderer) setWords() {
	f := r.card.face
	r.badge(f.rank)
	words := f.tag
	if r.card.other {
		words = "on the right"
	}
	if words != "" {
		tag := kit.RoleSmallStrong.Line(words, kit.ColorSoftInk, fyne.TextAlignTrailing)
		size := tag.MinSize()
		chip := canvas.NewRectangle(kit.Themed(kit.ColorRaised))
		chip.CornerRadius = 3
		chip.Move(fyne.NewPos(cardWidth-cardMargin-size.Width-5, 5))
		chip.Resize(fyne.NewSize(size.Width+10, size.Height+2))
		r.words = append(r.words, chip)
		r.put(tag, cardWidth-cardMargin-size.Width, 6)
	}
	const inner = cardWidth - 2*cardMargin
	y := r.card.pictureHeight + 5
	measure := func(s string) float32 { return kit.RoleStrong.Measure(s).Width }
	role := kit.RoleStrong
	if measure(f.title) > inner {
		role = kit.RoleSmallStrong
		measure = func(s string) float32 { return role.Measure(s).Width }
	}
	title := role.Line(kit.Clip(f.title, inner, measure), theme.ColorNameForeground, fyne.TextAlignLeading)
	r.put(title, cardMargin, y+(kit.RoleStrong.LineHeight()-role.LineHeight())/2)
	y += cardTitleH
	small := func(s string) float32 { return kit.RoleSmall.Measure(s).Width }
	r.put(kit.RoleSmall.Line(kit.Clip(f.below, inner, small), theme.ColorNameForeground, fyne.TextAlignLeading), cardMargin, y-3)
	y += cardLine
	for _, fact := range f.facts {
		r.put(kit.RoleSmall.Line(fact[0], kit.ColorSoftInk, fyne.TextAlignLeading), cardMargin, y)
		value := kit.RoleSmall.Line(fact[1], inkOf(f.pending && fact[0] == sagLabel), fyne.TextAlignTrailing)
		r.put(value, cardWidth-cardMargin-value.MinSize().Width, y)
		y += cardLine
	}
	r.fault(f.fault, f.doubt, y)
}

// badge shows the rank large in the corner of the picture.
func (r *cardRenderer) badge(rank string) {
	color := kit.ColorSoftInk
	if r.card.selected {
		color = theme.ColorNamePrimary
	}
	r.put(kit.RoleHeading.Line(rank, color, fyne.TextAlignLeading), cardMargin, 4)
}

func (r *cardRenderer) fault(fault string, doubt bool, y float32) {
	if fault == "" {
		return
	}
	kind := kit.MarkFails
	if doubt {
		kind = kit.MarkNote
	}
	mark := kit.NewMark(kind)
	mark.Resize(fyne.NewSquareSize(11))
	mark.Move(fyne.NewPos(cardMargin, y+3))
	r.words = append(r.words, mark)
	measure := func(s string) float32 { return kit.RoleSmallStrong.Measure(s).Width }
	text := kit.Clip(fault, cardWidth-2*cardMargin-15, measure)
	r.put(kit.RoleSmallStrong.Line(text, kind.Color(), fyne.TextAlignLeading), cardMargin+15, y)
}

func (r *cardRenderer) put(t *canvas.Text, x, y float32) {
	t.Move(fyne.NewPos(x, y))
	t.Resize(t.MinSize())
	r.words = append(r.words, t)
}
