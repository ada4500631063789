package window

import (
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"kilnpoise/orient/process"
)

// editedRecord is one process record as the editor needs it.
type editedRecord struct {
	title, note string
	// own is true where the user has a copy of their own of this record.
	own     bool
	figures []process.Figure
	// set changes one figure; save keeps the record in the user's folder; reset
	// removes the user's copy. Errors are shown beside the buttons.
	set   func(key, axis string, v float64)
	save  func() error
	reset func() error
}

// recordEditor shows all figures of a record with where each comes from.
type recordEditor struct {
	// OnDone is called when the user leaves, by the button or Esc.
	OnDone func()

	box    *fyne.Container
	column *fyne.Container
	scroll *scroller
	report *prose
	keep   *escButton
	back   *escButton
	record editedRecord
}

func newRecordEditor() *recordEditor {
	e := &recordEditor{column: newPile(0), report: newSmall("")}
	e.scroll = newScroller(e.column)
	leave := func() { call(e.OnDone) }
	e.keep = newEscButton("Keep in my records", e.save, leave)
	e.keep.Importance = widget.HighImportance
	e.back = newEscButton("Back to the built-in", e.reset, leave)
	done := newEscButton("Back to the brief", leave, leave)
	buttons := newFlow(6, 4, e.keep, e.back, done)
	e.box = container.NewBorder(nil, newPile(4, e.report, buttons), nil, nil, e.scroll)
	return e
}

// Edit shows a record.
func (e *recordEditor) Edit(r editedRecord) {
	e.record = r
	out := []fyne.CanvasObject{newHeading(r.title), gap(2)}
	if r.note != "" {
		out = append(out, newSmall(strings.Join(strings.Fields(r.note), " ")), gap(6))
	}
	for i, f := range r.figures {
		out = append(out, e.row(f))
		if i+1 < len(r.figures) && r.figures[i+1].Key == f.Key {
			continue // the source is told once, below the last axis
		}
		if source := figureSource(f); source != "" {
			out = append(out, newSmall(source))
		}
		out = append(out, gap(8))
	}
	e.column.Objects = out
	e.tell("Changes count at once for this part. Kept figures stay for the next.")
	if r.own {
		e.back.Enable()
	} else {
		e.back.Disable()
	}
	e.column.Refresh()
	e.scroll.Reflow()
	e.scroll.Top()
}

// row shows one figure: its name, the entry and the unit.
func (e *recordEditor) row(f process.Figure) fyne.CanvasObject {
	scale := 1.0
	if inPercent(f) {
		scale = 100
	}
	v, unit := figureShown(f)
	entry := newNumberEntry(f.Least*scale, f.Most*scale, 80)
	entry.SetNumber(v)
	entry.OnNumber = func(v float64) { e.record.set(f.Key, f.Axis, v/scale) }
	entry.OnEscape = func() { call(e.OnDone) }
	entry.OnFault = func(err error) {
		if err != nil {
			e.tell(upperFirst(figureLabel(f)) + ": " + err.Error() + ".")
		}
	}
	name := newProse(roleBody, theme.ColorNameForeground, upperFirst(figureLabel(f)))
	return container.New(&figureRow{}, name, entry, newSmall(unit))
}

func (e *recordEditor) save() {
	if err := e.record.save(); err != nil {
		e.tell(sentence(err))
		return
	}
	e.back.Enable()
	e.tell("Kept in your own records.")
}

func (e *recordEditor) reset() {
	if err := e.record.reset(); err != nil {
		e.tell(sentence(err))
		return
	}
}

func (e *recordEditor) tell(text string) {
	e.report.SetText(text)
	e.box.Refresh()
}

// figureRow sets a name that may wrap, an entry and its unit on one line.
type figureRow struct{}

const figureUnit = 46

func (*figureRow) nameWidth(objects []fyne.CanvasObject, width float32) float32 {
	return width - objects[1].MinSize().Width - figureUnit - 14
}

func (l *figureRow) heightAt(objects []fyne.CanvasObject, width float32) float32 {
	return max(heightOf(objects[0], l.nameWidth(objects, width)), objects[1].MinSize().Height)
}

func (l *figureRow) Layout(objects []fyne.CanvasObject, size fyne.Size) {
	name := l.nameWidth(objects, size.Width)
	h := heightOf(objects[0], name)
	objects[0].Move(fyne.NewPos(0, (size.Height-h)/2))
	objects[0].Resize(fyne.NewSize(name, h))
	entry := objects[1].MinSize()
	objects[1].Move(fyne.NewPos(size.Width-figureUnit-6-entry.Width, (size.Height-entry.Height)/2))
	objects[1].Resize(entry)
	unit := heightOf(objects[2], figureUnit)
	objects[2].Move(fyne.NewPos(size.Width-figureUnit, (size.Height-unit)/2))
	objects[2].Resize(fyne.NewSize(figureUnit, unit))
}

func (*figureRow) MinSize(objects []fyne.CanvasObject) fyne.Size {
	return fyne.NewSize(220, objects[1].MinSize().Height)
}
