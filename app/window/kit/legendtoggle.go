package kit

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

// LegendToggle explains one mark of the pictures and turns it on and off: a box
// that is ticked or empty, the mark's own fill, and words.
type LegendToggle struct {
	widget.BaseWidget
	// OnToggled is called when the user switches.
	OnToggled func(on bool)
	// OnKey gets the keys that the toggle has no use for.
	OnKey func(*fyne.KeyEvent)

	on    bool
	Entry render.LegendEntry
	// brief are fewer words, for where the room is short.
	brief   string
	enabled bool
	focused bool
	hovered bool
}

var (
	_ fyne.Tappable     = (*LegendToggle)(nil)
	_ fyne.Focusable    = (*LegendToggle)(nil)
	_ desktop.Hoverable = (*LegendToggle)(nil)
)

// NewLegendToggle makes a toggle without words.
func NewLegendToggle() *LegendToggle {
	t := &LegendToggle{}
	t.ExtendBaseWidget(t)
	return t
}

// Set shows the entry, with fewer words for where the room is short; enabled is
// false where the picture has nothing of it.
func (t *LegendToggle) Set(entry render.LegendEntry, brief string, on, enabled bool) {
	t.Entry, t.brief, t.on, t.enabled = entry, brief, on, enabled
	t.Refresh()
}

// Tapped switches.
func (t *LegendToggle) Tapped(*fyne.PointEvent) { t.toggle() }

func (t *LegendToggle) toggle() {
	if t.enabled && t.OnToggled != nil {
		t.OnToggled(!t.on)
	}
}

// TypedKey switches with the space bar or Enter.
func (t *LegendToggle) TypedKey(e *fyne.KeyEvent) {
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
func (t *LegendToggle) TypedRune(rune) {}

// FocusGained shows the focus.
func (t *LegendToggle) FocusGained() { t.focused = true; t.Refresh() }

// FocusLost ends that.
func (t *LegendToggle) FocusLost() { t.focused = false; t.Refresh() }

// MouseIn shows that it can be clicked.
func (t *LegendToggle) MouseIn(*desktop.MouseEvent) { t.hovered = true; t.Refresh() }

// MouseMoved does nothing.
func (t *LegendToggle) MouseMoved(*desktop.MouseEvent) {}

// MouseOut ends the hint.
func (t *LegendToggle) MouseOut() { t.hovered = false; t.Refresh() }

// wordsFor gives the words that fit a width.
func (t *LegendToggle) wordsFor(width float32) string {
	measure := func(s string) float32 { return RoleSmall.Measure(s).Width }
	if measure(t.Entry.Text) <= width {
		return t.Entry.Text
	}
	return Clip(t.brief, width, measure)
}

const (
	toggleBox    = 12
	ToggleHeight = 22
	swatchWidth  = 20
	swatchHeight = 11
	rampWidth    = 44
)

// CreateRenderer makes the renderer.
func (t *LegendToggle) CreateRenderer() fyne.WidgetRenderer {
	r := &toggleRenderer{
		toggle: t,
		ground: canvas.NewRectangle(color.Transparent),
		box:    canvas.NewRectangle(color.Transparent),
		tick:   NewMark(MarkPasses),
		fill:   canvas.NewImageFromImage(nil),
		words:  canvas.NewText("", color.Transparent),
	}
	r.fill.ScaleMode = canvas.ImageScaleFastest
	r.ground.CornerRadius, r.box.CornerRadius = 3, 2
	r.dress()
	return r
}

type toggleRenderer struct {
	toggle      *LegendToggle
	ground, box *canvas.Rectangle
	tick, fill  *canvas.Image
	words       *canvas.Text
}

func (r *toggleRenderer) swatchWidth() float32 {
	if r.toggle.Entry.Pattern == render.Scale {
		return rampWidth
	}
	return swatchWidth
}

func (r *toggleRenderer) MinSize() fyne.Size {
	return fyne.NewSize(4+toggleBox+6+r.swatchWidth()+6+RoleSmall.Measure(r.toggle.Entry.Text).Width+5, ToggleHeight)
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
		r.ground.FillColor = Themed(theme.ColorNameHover)
	}
	if t.focused {
		r.ground.StrokeWidth, r.ground.StrokeColor = 2, Themed(theme.ColorNamePrimary)
	}
	ink := theme.ColorNameForeground
	if !t.enabled {
		ink = theme.ColorNameDisabled
	}
	r.box.StrokeWidth, r.box.StrokeColor, r.box.FillColor = 1, Themed(ink), color.Transparent
	r.tick.Hidden = !t.on || !t.enabled
	r.tick.Resource = theme.NewColoredResource(fyne.NewStaticResource("kilnpoise-tick.svg", []byte(MarkPasses.svg())), theme.ColorNameForeground)
	r.fill.Image = r.swatch()
	r.fill.Translucency = 0
	if !t.on || !t.enabled {
		r.fill.Translucency = 0.7
	}
	RoleSmall.dress(r.words, ink)
	r.words.Text = t.Entry.Text
	r.fill.Refresh()
	r.tick.Refresh()
}

// swatch draws the fill at twice the size in units, sharp enough on any screen.
func (r *toggleRenderer) swatch() image.Image {
	return swatch(r.toggle.Entry, Themed(theme.ColorNameForeground), int(2*r.swatchWidth()), 2*swatchHeight, 2)
}

func (r *toggleRenderer) Objects() []fyne.CanvasObject {
	return []fyne.CanvasObject{r.ground, r.box, r.tick, r.fill, r.words}
}

func (r *toggleRenderer) Destroy() {}
