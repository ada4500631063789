package window

import (
	"image"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/widget"

	"kilnpoise/app/window/kit"
	"kilnpoise/render"
)

// bookChart shows the chart of one axis, as wide as the page allows. A click on a
// reading opens its firing; the list leads to the same by key.
type bookChart struct {
	widget.BaseWidget
	// OnWidth asks for a drawing of another width.
	OnWidth func()
	// OnPick is called with the place of a reading among the points drawn.
	OnPick func(point int)

	drawn *render.Chart
}

var (
	_ fyne.Tappable      = (*bookChart)(nil)
	_ desktop.Cursorable = (*bookChart)(nil)
	_ kit.Tall           = (*bookChart)(nil)
)

const bookChartHeight = 158

func newBookChart() *bookChart {
	c := &bookChart{}
	c.ExtendBaseWidget(c)
	return c
}

// HeightFor is the height of the chart, whatever the width.
func (c *bookChart) HeightFor(float32) float32 { return bookChartHeight }

// Set puts up a finished drawing.
func (c *bookChart) Set(drawn *render.Chart) {
	c.drawn = drawn
	c.Refresh()
}

// Tapped opens the firing of the reading under the mouse.
func (c *bookChart) Tapped(e *fyne.PointEvent) {
	if c.drawn == nil || c.OnPick == nil {
		return
	}
	b, size := c.drawn.Image.Bounds(), c.Size()
	x, y := float64(e.Position.X/size.Width)*float64(b.Dx()), float64(e.Position.Y/size.Height)*float64(b.Dy())
	if i, ok := c.drawn.PointAt(x, y); ok {
		c.OnPick(i)
	}
}

// Cursor shows that readings can be clicked.
func (c *bookChart) Cursor() desktop.Cursor { return desktop.CrosshairCursor }

// CreateRenderer makes the renderer.
func (c *bookChart) CreateRenderer() fyne.WidgetRenderer {
	r := &bookChartRenderer{chart: c, picture: canvas.NewImageFromImage(nil)}
	r.picture.ScaleMode = canvas.ImageScaleFastest
	r.dress()
	return r
}

type bookChartRenderer struct {
	chart   *bookChart
	picture *canvas.Image
}

func (r *bookChartRenderer) MinSize() fyne.Size { return fyne.NewSize(120, bookChartHeight) }

func (r *bookChartRenderer) Layout(size fyne.Size) {
	changed := r.picture.Size().Width != size.Width
	r.picture.Resize(size)
	if changed {
		kit.Call(r.chart.OnWidth)
	}
}

func (r *bookChartRenderer) dress() {
	r.picture.Image = image.NewRGBA(image.Rect(0, 0, 1, 1))
	if r.chart.drawn != nil {
		r.picture.Image = r.chart.drawn.Image
	}
	r.picture.Refresh()
}

func (r *bookChartRenderer) Refresh() {
	r.dress()
	canvas.Refresh(r.chart)
}

func (r *bookChartRenderer) Objects() []fyne.CanvasObject { return []fyne.CanvasObject{r.picture} }
func (r *bookChartRenderer) Destroy()                     {}
