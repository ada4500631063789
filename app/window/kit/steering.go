package kit

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
)

// AimStep is how far an arrow key moves an aim, in the toolkit's points.
const AimStep = 8

// Arrows gives the direction of an arrow key, right and up.
func Arrows(key fyne.KeyName) (right, up float64) {
	switch key {
	case fyne.KeyLeft:
		return -1, 0
	case fyne.KeyRight:
		return 1, 0
	case fyne.KeyUp:
		return 0, 1
	case fyne.KeyDown:
		return 0, -1
	default:
		return 0, 0
	}
}

// ShiftHeld reports whether the Shift key is held down.
func ShiftHeld() bool {
	d, ok := fyne.CurrentApp().Driver().(desktop.Driver)
	return ok && d.CurrentKeyModifiers()&fyne.KeyModifierShift != 0
}
