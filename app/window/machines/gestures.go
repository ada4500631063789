package machines

import (
	"kilnpoise/app/window/kit"
	"math"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
)

const (
	// turnPerUnit is how far a drag turns the part: half a turn over a view of
	// usual width.
	turnPerUnitDeg = 0.5
	// turnStepDeg, panStep and zoomStep are what one key press does.
	turnStepDeg = 15
	panStep     = 24
	zoomStep    = 1.2
	// wheelStep is what one notch of the wheel does.
	wheelStep = 1.15
)

// MouseDown begins a drag: the left button turns; with Shift, or with another
// button, it moves.
func (v *machineView) MouseDown(e *desktop.MouseEvent) {
	v.grabFocus()
	v.drag = dragging{
		button:  e.Button,
		pans:    e.Button != desktop.MouseButtonPrimary || e.Modifier&fyne.KeyModifierShift != 0,
		lastPos: e.Position,
	}
}

// MouseUp ends a drag, or picks where there was none.
func (v *machineView) MouseUp(e *desktop.MouseEvent) {
	moved := v.drag.moved
	click := v.drag.button == desktop.MouseButtonPrimary && !moved
	v.drag = dragging{}
	if moved {
		v.still()
	}
	if click && v.picking && v.OnPicked != nil {
		v.OnPicked(v.pixel(e.Position))
	}
}

// Dragged comes for the left and the middle button.
func (v *machineView) Dragged(e *fyne.DragEvent) { v.moveBy(e.Dragged.DX, e.Dragged.DY) }

// DragEnd asks for the finished picture.
func (v *machineView) DragEnd() { v.still() }

// MouseIn does nothing.
func (v *machineView) MouseIn(*desktop.MouseEvent) {}

// MouseMoved drags with the right button, for which no Dragged comes.
func (v *machineView) MouseMoved(e *desktop.MouseEvent) {
	if v.drag.button != desktop.MouseButtonSecondary || e.Button&desktop.MouseButtonSecondary == 0 {
		return
	}
	d := e.Position.Subtract(v.drag.lastPos)
	v.drag.lastPos = e.Position
	v.moveBy(d.X, d.Y)
}

// MouseOut ends a drag with the right button, whose release may come elsewhere.
func (v *machineView) MouseOut() {
	if v.drag.button == desktop.MouseButtonSecondary && v.drag.moved {
		v.still()
	}
	v.drag = dragging{}
}

func (v *machineView) moveBy(dx, dy float32) {
	v.drag.moved = true
	if v.drag.pans {
		if v.OnPan != nil {
			k := v.density()
			v.OnPan(float64(dx)*k, -float64(dy)*k, true)
		}
		return
	}
	if v.OnTurn != nil {
		v.OnTurn(-float64(dx)*turnPerUnitDeg, float64(dy)*turnPerUnitDeg, true)
	}
}

func (v *machineView) still() {
	if v.OnStill != nil {
		v.OnStill()
	}
}

// Scrolled zooms about the place under the mouse. Systems tell different
// lengths for one notch, so that only the direction counts.
func (v *machineView) Scrolled(e *fyne.ScrollEvent) {
	if e.Scrolled.DY == 0 || v.OnZoom == nil {
		return
	}
	x, y := v.pixel(e.Position)
	v.OnZoom(math.Pow(wheelStep, math.Copysign(1, float64(e.Scrolled.DY))), x, y)
}

// DoubleTapped gives the view the whole space, or gives it back.
func (v *machineView) DoubleTapped(*fyne.PointEvent) {
	if !v.picking && v.OnWhole != nil {
		v.OnWhole()
	}
}

// FocusGained shows that the keys work here.
func (v *machineView) FocusGained() { v.focused = true; v.Refresh() }

// FocusLost ends that.
func (v *machineView) FocusLost() { v.focused = false; v.Refresh() }

// TypedRune does nothing: every key comes as a KeyEvent too.
func (v *machineView) TypedRune(rune) {}

// TypedKey turns, moves and zooms; while picking it moves the cross-hair.
func (v *machineView) TypedKey(e *fyne.KeyEvent) {
	if v.picking && v.aimKey(e.Name) {
		return
	}
	if right, up := kit.Arrows(e.Name); right != 0 || up != 0 {
		v.arrow(right, up)
		return
	}
	switch e.Name {
	case fyne.KeyPlus, fyne.KeyEqual:
		v.zoom(zoomStep)
	case fyne.KeyMinus:
		v.zoom(1 / zoomStep)
	case fyne.KeyReturn, fyne.KeyEnter:
		kit.Call(v.OnWhole)
	default:
		if v.OnKey != nil {
			v.OnKey(e)
		}
	}
}

// arrow turns the part, or moves it with Shift.
func (v *machineView) arrow(right, up float64) {
	if kit.ShiftHeld() {
		v.pan(right*panStep, up*panStep)
		return
	}
	v.turn(-right*turnStepDeg, -up*turnStepDeg)
}

func (v *machineView) turn(yaw, pitch float64) {
	if v.OnTurn != nil {
		v.OnTurn(yaw, pitch, false)
	}
}

func (v *machineView) pan(right, up float64) {
	if v.OnPan != nil {
		k := v.density()
		v.OnPan(right*k, up*k, false)
	}
}

func (v *machineView) zoom(factor float64) {
	if v.OnZoom != nil {
		v.OnZoom(factor, float64(v.width)/2, float64(v.height)/2)
	}
}

// aimKey moves the cross-hair and picks; it reports whether the key was its.
func (v *machineView) aimKey(key fyne.KeyName) bool {
	right, up := kit.Arrows(key)
	switch {
	case right != 0 || up != 0:
		v.moveAim(float32(right), float32(up))
		return true
	case (key == fyne.KeyReturn || key == fyne.KeyEnter || key == fyne.KeySpace) && v.aiming:
		if v.OnPicked != nil {
			v.OnPicked(v.pixel(v.aim))
		}
		return true
	default:
		return false
	}
}

// moveAim moves the cross-hair a step, from the middle at first, and further
// with Shift.
func (v *machineView) moveAim(right, up float32) {
	size := v.Size()
	if !v.aiming {
		v.aiming = true
		v.aim = fyne.NewPos(size.Width/2, size.Height/2)
	}
	step := float32(kit.AimStep)
	if kit.ShiftHeld() {
		step *= 4
	}
	v.aim.X = min(max(v.aim.X+right*step, 0), size.Width)
	v.aim.Y = min(max(v.aim.Y-up*step, 0), size.Height)
	v.Refresh()
}

func (v *machineView) grabFocus() {
	if c := fyne.CurrentApp().Driver().CanvasForObject(v); c != nil {
		c.Focus(v)
	}
}
