package kit

import (
	"image"
	"image/color"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"
)

// ChartView shows a drawn chart and tells where it is clicked, or where Enter is
// pressed after the arrows have moved a cross-hair.
type ChartView struct {
	widget.BaseWidget
	// OnPick is called with a place of the picture, in its own pixels.
	OnPick func(x, y float64)
	// OnPoint is called with the place under the mouse or the cross-hair.
	OnPoint func(x, y float64)
	// OnKey gets the keys that the chart has no use for.
	OnKey func(*fyne.KeyEvent)

	size    fyne.Size
	Picture *image.RGBA
	focused bool
	Aiming  bool
	aim     fyne.Position
}

var (
	_ fyne.Tappable      = (*ChartView)(nil)
	_ fyne.Focusable     = (*ChartView)(nil)
	_ desktop.Hoverable  = (*ChartView)(nil)
	_ desktop.Cursorable = (*ChartView)(nil)
)

// NewChartView makes a view of a chart of that size, in the toolkit's points.
func NewChartView(width, height float32) *ChartView {
	v := &ChartView{size: fyne.NewSize(width, height)}
	v.ExtendBaseWidget(v)
	return v
}

// HeightFor is the height of the chart, whatever the width.
func (v *ChartView) HeightFor(float32) float32 { return v.size.Height }

// SetPicture puts up a finished drawing, which must not be changed afterwards.
func (v *ChartView) SetPicture(img *image.RGBA) {
	v.Picture = img
	v.Refresh()
}

// pixel turns a place of the widget into one of the picture.
func (v *ChartView) pixel(p fyne.Position) (x, y float64, ok bool) {
	if v.Picture == nil {
		return 0, 0, false
	}
	b := v.Picture.Bounds()
	return float64(p.X/v.size.Width) * float64(b.Dx()), float64(p.Y/v.size.Height) * float64(b.Dy()), true
}

func (v *ChartView) tell(f func(x, y float64), at fyne.Position) {
	if x, y, ok := v.pixel(at); ok && f != nil {
		f(x, y)
	}
}

// Tapped picks the place under the mouse.
func (v *ChartView) Tapped(e *fyne.PointEvent) {
	if c := fyne.CurrentApp().Driver().CanvasForObject(v); c != nil {
		c.Focus(v)
	}
	v.tell(v.OnPick, e.Position)
}

// MouseIn does nothing.
func (v *ChartView) MouseIn(*desktop.MouseEvent) {}

// MouseMoved tells the place under the mouse.
func (v *ChartView) MouseMoved(e *desktop.MouseEvent) { v.tell(v.OnPoint, e.Position) }

// MouseOut does nothing.
func (v *ChartView) MouseOut() {}

// Cursor shows that the chart can be clicked.
func (v *ChartView) Cursor() desktop.Cursor { return desktop.CrosshairCursor }

// FocusGained shows the focus.
func (v *ChartView) FocusGained() { v.focused = true; v.Refresh() }

// FocusLost ends that.
func (v *ChartView) FocusLost() { v.focused, v.Aiming = false, false; v.Refresh() }

// TypedRune does nothing.
func (v *ChartView) TypedRune(rune) {}

// TypedKey moves the cross-hair and picks.
func (v *ChartView) TypedKey(e *fyne.KeyEvent) {
	right, up := Arrows(e.Name)
	switch {
	case right != 0 || up != 0:
		v.moveAim(float32(right), float32(up))
	case v.Aiming && (e.Name == fyne.KeyReturn || e.Name == fyne.KeyEnter || e.Name == fyne.KeySpace):
		v.tell(v.OnPick, v.aim)
	case v.OnKey != nil:
		v.OnKey(e)
	}
}

// moveAim moves the cross-hair a step, from the middle at first.
func (v *ChartView) moveAim(right, up float32) {
	if !v.Aiming {
		v.Aiming = true
		v.aim = fyne.NewPos(v.size.Width/2, v.size.Height/2)
	}
	step := float32(AimStep)
	if ShiftHeld() {
		step *= 4
	}
	v.aim.X = min(max(v.aim.X+right*step, 0), v.size.Width)
	v.aim.Y = min(max(v.aim.Y-up*step, 0), v.size.Height)
	v.tell(v.OnPoint, v.aim)
	v.Refresh()
}

// CreateRenderer makes the renderer.
func (v *ChartView) CreateRenderer() fyne.WidgetRenderer {
	r := &chartRenderer{
		view: v, picture: canvas.NewImageFromImage(nil), ring: canvas.NewRectangle(color.Transparent),
		aimX: canvas.NewLine(color.Transparent), aimY: canvas.NewLine(color.Transparent),
	}
	r.picture.ScaleMode = canvas.ImageScaleFastest
	r.ring.CornerRadius = 3
	r.dress()
	return r
}

type chartRenderer struct {
	view       *ChartView
	picture    *canvas.Image
	ring       *canvas.Rectangle
	aimX, aimY *canvas.Line
}

func (r *chartRenderer) MinSize() fyne.Size { return r.view.size }

func (r *chartRenderer) Layout(fyne.Size) {
	r.picture.Resize(r.view.size)
	r.ring.Resize(r.view.size)
	a, size := r.view.aim, r.view.size
	r.aimX.Position1, r.aimX.Position2 = fyne.NewPos(0, a.Y), fyne.NewPos(size.Width, a.Y)
	r.aimY.Position1, r.aimY.Position2 = fyne.NewPos(a.X, 0), fyne.NewPos(a.X, size.Height)
}

func (r *chartRenderer) Refresh() {
	r.dress()
	r.Layout(r.view.Size())
	canvas.Refresh(r.view)
}

func (r *chartRenderer) dress() {
	v := r.view
	if v.Picture != nil {
		r.picture.Image = v.Picture
	} else {
		r.picture.Image = image.NewRGBA(image.Rect(0, 0, 1, 1))
	}
	r.picture.Refresh()
	r.ring.StrokeWidth, r.ring.StrokeColor = 0, color.Transparent
	if v.focused {
		r.ring.StrokeWidth, r.ring.StrokeColor = 2, Themed(theme.ColorNamePrimary)
	}
	for _, l := range []*canvas.Line{r.aimX, r.aimY} {
		l.StrokeWidth, l.StrokeColor, l.Hidden = 1, Themed(theme.ColorNamePrimary), !v.Aiming
	}
}

func (r *chartRenderer) Objects() []fyne.CanvasObject {
	return []fyne.CanvasObject{r.picture, r.aimX, r.aimY, r.ring}
}

func (r *chartRenderer) Destroy() {}
