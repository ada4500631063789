package window

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
)

// aimStep is how far an arrow key moves an aim, in the toolkit's points.
const aimStep = 8

// arrows gives the direction of an arrow key, right and up.
func arrows(key fyne.KeyName) (right, up float64) {
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

func shiftHeld() bool {
	d, ok := fyne.CurrentApp().Driver().(desktop.Driver)
	return ok && d.CurrentKeyModifiers()&fyne.KeyModifierShift != 0
}
