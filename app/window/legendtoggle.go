package window

import (
	"image/color"

	"image"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"kilnpoise/render"
)

// legendToggle explains one mark of the pictures and turns it on and off: a box
// that is ticked or empty, the mark's own fill, and words.
type legendToggle struct {
	widget.BaseWidget
	// OnToggled is called when the user switches.
	OnToggled func(on bool)
	// OnKey gets the keys that the toggle has no use for.
	OnKey func(*fyne.KeyEvent)

	on    bool
	entry render.LegendEntry
	// brief are fewer words, for where the room is short.
	brief   string
	enabled bool
	focused bool
	hovered bool
}

var (
	_ fyne.Tappable     = (*legendToggle)(nil)
	_ fyne.Focusable    = (*legendToggle)(nil)
	_ desktop.Hoverable = (*legendToggle)(nil)
)

func newLegendToggle() *legendToggle {
	t := &legendToggle{}
	t.ExtendBaseWidget(t)
	return t
}

// Set shows the entry, with fewer words for where the room is short; enabled is
// false where the picture has nothing of it.
func (t *legendToggle) Set(entry render.LegendEntry, brief string, on, enabled bool) {
	t.entry, t.brief, t.on, t.enabled = entry, brief, on, enabled
	t.Refresh()
}

// Tapped switches.
func (t *legendToggle) Tapped(*fyne.PointEvent) { t.toggle() }

func (t *legendToggle) toggle() {
	if t.enabled && t.OnToggled != nil {
		t.OnToggled(!t.on)
	}
}

// TypedKey switches with the space bar or Enter.
func (t *legendToggle) TypedKey(e *fyne.KeyEvent) {
	switch e.Name {
	case fyne.KeySpace, fyne.KeyReturn, fyne.KeyEnter:
		t.toggle()
	default:
		if t.OnKey != nil {
			t.OnKey(e)
		}
	}
}

// TypedRune does nothing.
func (t *legendToggle) TypedRune(rune) {}

// FocusGained shows the focus.
func (t *legendToggle) FocusGained() { t.focused = true; t.Refresh() }

// FocusLost ends that.
func (t *legendToggle) FocusLost() { t.focused = false; t.Refresh() }

// MouseIn shows that it can be clicked.
func (t *legendToggle) MouseIn(*desktop.MouseEvent) { t.hovered = true; t.Refresh() }

// MouseMoved does nothing.
func (t *legendToggle) MouseMoved(*desktop.MouseEvent) {}

// MouseOut ends the hint.
func (t *legendToggle) MouseOut() { t.hovered = false; t.Refresh() }

// wordsFor gives the words that fit a width.
func (t *legendToggle) wordsFor(width float32) string {
	measure := func(s string) float32 { return roleSmall.measure(s).Width }
	if measure(t.entry.Text) <= width {
		return t.entry.Text
	}
	return clip(t.brief, width, measure)
}

const (
	toggleBox    = 12
	toggleHeight = 22
	swatchWidth  = 20
	swatchHeight = 11
	rampWidth    = 44
)

// CreateRenderer makes the renderer.
func (t *legendToggle) CreateRenderer() fyne.WidgetRenderer {
	r := &toggleRenderer{
		toggle: t,
		ground: canvas.NewRectangle(color.Transparent),
		box:    canvas.NewRectangle(color.Transparent),
		tick:   newMark(markPasses),
		fill:   canvas.NewImageFromImage(nil),
		words:  canvas.NewText("", color.Transparent),
	}
	r.fill.ScaleMode = canvas.ImageScaleFastest
	r.ground.CornerRadius, r.box.CornerRadius = 3, 2
	r.dress()
	return r
}

type toggleRenderer struct {
	toggle      *legendToggle
	ground, box *canvas.Rectangle
	tick, fill  *canvas.Image
	words       *canvas.Text
}

func (r *toggleRenderer) swatchWidth() float32 {
	if r.toggle.entry.Pattern == render.Scale {
		return rampWidth
	}
	return swatchWidth
}

func (r *toggleRenderer) MinSize() fyne.Size {
	return fyne.NewSize(4+toggleBox+6+r.swatchWidth()+6+roleSmall.measure(r.toggle.entry.Text).Width+5, toggleHeight)
}

func (r *toggleRenderer) Layout(size fyne.Size) {
	r.ground.Resize(size)
	mid := size.Height / 2
	x := float32(4)
	r.box.Move(fyne.NewPos(x, mid-toggleBox/2))
	r.box.Resize(fyne.NewSquareSize(toggleBox))
	r.tick.Move(fyne.NewPos(x+1.5, mid-toggleBox/2+1.5))
	r.tick.Resize(fyne.NewSquareSize(toggleBox - 3))
	x += toggleBox + 6
	r.fill.Move(fyne.NewPos(x, mid-swatchHeight/2))
	r.fill.Resize(fyne.NewSize(r.swatchWidth(), swatchHeight))
	x += r.swatchWidth() + 6
	r.words.Text = r.toggle.wordsFor(size.Width - x - 2)
	h := r.words.MinSize().Height
	r.words.Move(fyne.NewPos(x, mid-h/2))
	r.words.Resize(fyne.NewSize(size.Width-x, h))
}

func (r *toggleRenderer) Refresh() {
	r.dress()
	r.Layout(r.toggle.Size())
	canvas.Refresh(r.toggle)
}

func (r *toggleRenderer) dress() {
	t := r.toggle
	r.ground.FillColor = color.Transparent
	r.ground.StrokeWidth, r.ground.StrokeColor = 0, color.Transparent
	if t.hovered && t.enabled {
		r.ground.FillColor = themed(theme.ColorNameHover)
	}
	if t.focused {
		r.ground.StrokeWidth, r.ground.StrokeColor = 2, themed(theme.ColorNamePrimary)
	}
	ink := theme.ColorNameForeground
	if !t.enabled {
		ink = theme.ColorNameDisabled
	}
	r.box.StrokeWidth, r.box.StrokeColor, r.box.FillColor = 1, themed(ink), color.Transparent
	r.tick.Hidden = !t.on || !t.enabled
	r.tick.Resource = theme.NewColoredResource(fyne.NewStaticResource("kilnpoise-tick.svg", []byte(markPasses.svg())), theme.ColorNameForeground)
	r.fill.Image = r.swatch()
	r.fill.Translucency = 0
	if !t.on || !t.enabled {
		r.fill.Translucency = 0.7
	}
	roleSmall.dress(r.words, ink)
	r.words.Text = t.entry.Text
	r.fill.Refresh()
	r.tick.Refresh()
}

// swatch draws the fill at twice the size in units, sharp enough on any screen.
func (r *toggleRenderer) swatch() image.Image {
	return swatch(r.toggle.entry, themed(theme.ColorNameForeground), int(2*r.swatchWidth()), 2*swatchHeight, 2)
}

func (r *toggleRenderer) Objects() []fyne.CanvasObject {
	return []fyne.CanvasObject{r.ground, r.box, r.tick, r.fill, r.words}
}

func (r *toggleRenderer) Destroy() {}
