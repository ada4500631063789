package window

import (
	"fmt"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/widget"

	"kilnpoise/app/window/kit"
	"kilnpoise/mesh"
)

// suggestUnit offers a unit in one click where the size is hardly meant.
func (w *mainWindow) suggestUnit() {
	unit, side := w.desk.facts.suggested, w.desk.facts.largest
	if unit == "" {
		return
	}
	w.board.Put(notice{
		key: noticeUnit, kind: kit.MarkNote,
		text: fmt.Sprintf("The file has no unit, and in millimetres its largest side is %s, which is hardly meant. In %s it is %s.",
			kit.Quantity(side, "mm"), unitName(unit), kit.Quantity(side*unit.MM(), "mm")),
		actions: []noticeAction{{"Read it in " + unitName(unit), func() { w.readInUnit(unit) }}},
	})
}

// readInUnit reads the same file again in another unit.
func (w *mainWindow) readInUnit(unit mesh.Unit) {
	if w.desk.part == nil {
		return
	}
	from := w.desk.from
	from.unit = unit
	w.board.Clear(noticeUnit)
	w.open(from)
}

// units lists the units to choose from.
func units() []mesh.Unit {
	return []mesh.Unit{mesh.Millimetre, mesh.Centimetre, mesh.Metre, mesh.Inch, mesh.Micron}
}

func unitName(u mesh.Unit) string {
	switch u {
	case mesh.Centimetre:
		return "centimetres"
	case mesh.Metre:
		return "metres"
	case mesh.Inch:
		return "inches"
	case mesh.Foot:
		return "feet"
	case mesh.Micron:
		return "micrometres"
	default:
		return "millimetres"
	}
}

// askForUnit offers the units in a menu under the line that tells the one in use.
func (w *mainWindow) askForUnit() {
	menu := fyne.NewMenu("", w.unitItems()...)
	at := w.app.Driver().AbsolutePositionForObject(w.head.unit)
	at.Y += w.head.unit.Size().Height
	widget.ShowPopUpMenuAtPosition(menu, w.win.Canvas(), at)
}
