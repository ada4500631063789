package kit

import (
	"image/color"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"
)

// ProgressLine is a thin bar that fills from the left; the stage stands in words
// above it.
type ProgressLine struct {
	widget.BaseWidget
	fraction float64
	active   bool
}

// NewProgressLine makes a line that is hidden until it is set.
func NewProgressLine() *ProgressLine {
	p := &ProgressLine{}
	p.ExtendBaseWidget(p)
	return p
}

// Set shows a fraction of 0 to 1, or nothing.
func (p *ProgressLine) Set(fraction float64, active bool) {
	p.fraction, p.active = min(max(fraction, 0), 1), active
	p.Refresh()
}

// CreateRenderer makes the renderer.
func (p *ProgressLine) CreateRenderer() fyne.WidgetRenderer {
	r := &progressRenderer{line: p, ground: canvas.NewRectangle(color.Transparent), fill: canvas.NewRectangle(color.Transparent)}
	r.ground.CornerRadius, r.fill.CornerRadius = 2, 2
	r.Refresh()
	return r
}

type progressRenderer struct {
	line         *ProgressLine
	ground, fill *canvas.Rectangle
}

func (r *progressRenderer) MinSize() fyne.Size { return fyne.NewSize(60, 4) }

func (r *progressRenderer) Layout(size fyne.Size) {
	r.ground.Resize(size)
	r.fill.Resize(fyne.NewSize(size.Width*float32(r.line.fraction), size.Height))
}

func (r *progressRenderer) Refresh() {
	r.ground.FillColor, r.fill.FillColor = Themed(ColorHairline), Themed(theme.ColorNamePrimary)
	r.ground.Hidden, r.fill.Hidden = !r.line.active, !r.line.active
	r.Layout(r.line.Size())
	canvas.Refresh(r.line)
}

func (r *progressRenderer) Objects() []fyne.CanvasObject {
	return []fyne.CanvasObject{r.ground, r.fill}
}

func (r *progressRenderer) Destroy() {}
