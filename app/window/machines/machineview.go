package machines

import (
	"image"
	"image/color"
	"image/draw"
	"kilnpoise/app/window/kit"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"
)

// machineView shows the last finished picture of one machine and turns mouse and
// keys into wishes. It draws nothing of the part itself.
type machineView struct {
	widget.BaseWidget
	// OnTurn, OnPan and OnZoom are wishes of the user: degrees, device pixels
	// right and up, and a factor about a place. moving is true while the mouse
	// is held down.
	OnTurn func(yawDeg, pitchDeg float64, moving bool)
	OnPan  func(right, up float64, moving bool)
	OnZoom func(factor, x, y float64)
	// OnStill is called when a movement ends.
	OnStill func()
	// OnResized is called when the view has another size in device pixels.
	OnResized func()
	// OnWhole asks to give this view the whole space, or to give it back.
	OnWhole func()
	// OnPicked is called with a place in device pixels when the user picks.
	OnPicked func(x, y float64)
	// OnKey gets the keys that the view has no use for.
	OnKey func(*fyne.KeyEvent)

	Frame         *image.RGBA
	blank         *image.RGBA
	width, height int // device pixels, as last asked for by the painter
	focused       bool
	picking       bool
	aim           fyne.Position // of the cross-hair, while picking by keyboard
	aiming        bool
	drag          dragging
}

// dragging is what a pressed mouse button does.
type dragging struct {
	button  desktop.MouseButton
	pans    bool
	moved   bool
	lastPos fyne.Position
}

var (
	_ fyne.Draggable      = (*machineView)(nil)
	_ fyne.Scrollable     = (*machineView)(nil)
	_ fyne.DoubleTappable = (*machineView)(nil)
	_ fyne.Focusable      = (*machineView)(nil)
	_ desktop.Mouseable   = (*machineView)(nil)
	_ desktop.Hoverable   = (*machineView)(nil)
	_ desktop.Cursorable  = (*machineView)(nil)
)

func newMachineView() *machineView {
	v := &machineView{}
	v.ExtendBaseWidget(v)
	return v
}

// SetFrame puts up a finished picture, which must not be changed afterwards.
func (v *machineView) SetFrame(frame *image.RGBA) {
	v.Frame = frame
	v.Refresh()
}

// Pixels gives the size in device pixels that pictures should have; zero before
// the view was first painted.
func (v *machineView) Pixels() (width, height int) { return v.width, v.height }

// SetPicking turns the mode in which a click picks a face on or off.
func (v *machineView) SetPicking(on bool) {
	if v.picking == on {
		return
	}
	v.picking, v.aiming = on, false
	v.Refresh()
}

// paint hands the painter the last picture, and asks for one of another size
// where that is wanted.
func (v *machineView) paint(w, h int) image.Image {
	if w != v.width || h != v.height {
		v.width, v.height = w, h
		if v.OnResized != nil {
			v.OnResized()
		}
	}
	if v.Frame != nil {
		return v.Frame
	}
	return v.empty()
}

// empty is the ground without a part.
func (v *machineView) empty() image.Image {
	bench := color.RGBAModel.Convert(kit.Themed(kit.ColorBench)).(color.RGBA)
	if v.blank == nil || v.blank.RGBAAt(0, 0) != bench {
		v.blank = image.NewRGBA(image.Rect(0, 0, 8, 8))
		draw.Draw(v.blank, v.blank.Rect, image.NewUniform(bench), image.Point{}, draw.Src)
	}
	return v.blank
}

// pixel turns a place in the view into device pixels of the picture.
func (v *machineView) pixel(p fyne.Position) (x, y float64) {
	size := v.Size()
	if size.Width <= 0 || size.Height <= 0 {
		return 0, 0
	}
	return float64(p.X/size.Width) * float64(v.width), float64(p.Y/size.Height) * float64(v.height)
}

// density gives device pixels per unit of the window.
func (v *machineView) density() float64 {
	if w := v.Size().Width; w > 0 && v.width > 0 {
		return float64(v.width) / float64(w)
	}
	return 1
}

// Cursor shows a cross-hair while picking.
func (v *machineView) Cursor() desktop.Cursor {
	if v.picking {
		return desktop.CrosshairCursor
	}
	return desktop.DefaultCursor
}

// CreateRenderer makes the renderer.
func (v *machineView) CreateRenderer() fyne.WidgetRenderer {
	r := &viewRenderer{
		view:   v,
		raster: canvas.NewRaster(v.paint),
		ring:   canvas.NewRectangle(color.Transparent),
		aimX:   canvas.NewLine(color.Transparent),
		aimY:   canvas.NewLine(color.Transparent),
	}
	r.raster.ScaleMode = canvas.ImageScaleFastest
	r.ring.CornerRadius = 3
	return r
}

type viewRenderer struct {
	view       *machineView
	raster     *canvas.Raster
	ring       *canvas.Rectangle
	aimX, aimY *canvas.Line
}

func (r *viewRenderer) MinSize() fyne.Size { return fyne.NewSize(120, 100) }

func (r *viewRenderer) Layout(size fyne.Size) {
	r.raster.Resize(size)
	r.ring.Resize(size)
	r.layAim(size)
}

// layAim places the keyboard's cross-hair.
func (r *viewRenderer) layAim(size fyne.Size) {
	a := r.view.aim
	r.aimX.Position1, r.aimX.Position2 = fyne.NewPos(0, a.Y), fyne.NewPos(size.Width, a.Y)
	r.aimY.Position1, r.aimY.Position2 = fyne.NewPos(a.X, 0), fyne.NewPos(a.X, size.Height)
}

func (r *viewRenderer) Refresh() {
	v := r.view
	r.ring.StrokeWidth, r.ring.StrokeColor = 1, kit.Themed(kit.ColorHairline)
	if v.picking {
		r.ring.StrokeWidth, r.ring.StrokeColor = 3, kit.Themed(theme.ColorNamePrimary)
	} else if v.focused {
		r.ring.StrokeWidth, r.ring.StrokeColor = 2, kit.Themed(theme.ColorNamePrimary)
	}
	for _, l := range []*canvas.Line{r.aimX, r.aimY} {
		l.StrokeWidth, l.StrokeColor = 1, kit.Themed(theme.ColorNamePrimary)
		l.Hidden = !v.aiming
	}
	r.layAim(v.Size())
	r.ring.Refresh()
	canvas.Refresh(r.raster)
	canvas.Refresh(v)
}

func (r *viewRenderer) Objects() []fyne.CanvasObject {
	return []fyne.CanvasObject{r.raster, r.aimX, r.aimY, r.ring}
}

func (r *viewRenderer) Destroy() {}
