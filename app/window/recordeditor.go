package window

import (
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"kilnpoise/app/window/kit"
	"kilnpoise/orient/process"
)

// editedRecord is one process record as the editor needs it.
type editedRecord struct {
	title, name, note string
	// own is true where the record is the user's own, builtin where there is a
	// built-in one that it stands for, fresh where it is not kept yet.
	own, builtin, fresh bool
	figures             []process.Figure
	// set changes one figure and gives the name that the record has then; save
	// keeps it in the user's folder under a name; remove takes the user's own away.
	// Errors are shown beside the buttons.
	set    func(key, axis string, v float64) string
	save   func(name string) error
	remove func() error
	// copy and make begin a new record, with these figures or with the usual ones.
	copy, make func()
}

// recordEditor shows all figures of a record with where each comes from.
type recordEditor struct {
	// OnDone is called when the user leaves, by the button or Esc.
	OnDone func()

	box    *fyne.Container
	column *fyne.Container
	scroll *kit.Scroller
	report *kit.Prose
	name   *kit.EscEntry
	keep   *kit.EscButton
	remove *kit.EscButton
	copy   *kit.EscButton
	make   *kit.EscButton
	record editedRecord
}

func newRecordEditor() *recordEditor {
	e := &recordEditor{column: kit.NewPile(0), report: kit.NewSmall("")}
	e.scroll = kit.NewScroller(e.column)
	leave := func() { kit.Call(e.OnDone) }
	e.name = kit.NewEscEntry(leave)
	e.name.SetPlaceHolder("name, such as that of the machine")
	e.name.OnSubmitted = func(string) { e.save() }
	e.keep = kit.NewEscButton("Keep in my records", e.save, leave)
	e.keep.Importance = widget.HighImportance
	e.remove = kit.NewEscButton("", e.delete, leave)
	e.copy = kit.NewEscButton("Copy", func() { kit.Call(e.record.copy) }, leave)
	e.make = kit.NewEscButton("New", func() { kit.Call(e.record.make) }, leave)
	done := kit.NewEscButton("Back to the brief", leave, leave)
	buttons := kit.NewFlow(6, 4, e.keep, e.copy, e.make, e.remove, done)
	e.box = container.NewBorder(nil, kit.NewPile(4, e.report, buttons), nil, nil, e.scroll)
	return e
}

// Edit shows a record.
func (e *recordEditor) Edit(r editedRecord) {
	e.record = r
	e.name.SetText(r.name)
	out := []fyne.CanvasObject{kit.NewHeading(r.title), kit.Gap(4), e.name, kit.Gap(4)}
	if r.note != "" {
		out = append(out, kit.NewSmall(strings.Join(strings.Fields(r.note), " ")), kit.Gap(6))
	}
	for i, f := range r.figures {
		out = append(out, e.row(f))
		if i+1 < len(r.figures) && r.figures[i+1].Key == f.Key {
			continue // the source is told once, below the last axis
		}
		if source := figureSource(f); source != "" {
			out = append(out, kit.NewSmall(source))
		}
		out = append(out, kit.Gap(8))
	}
	e.column.Objects = out
	e.tell(recordHint(r))
	e.remove.SetText("Delete")
	if r.builtin {
		e.remove.SetText("Back to the built-in")
	}
	enable(e.remove, r.own)
	enable(e.copy, !r.fresh)
	enable(e.make, !r.fresh)
	e.column.Refresh()
	e.scroll.Reflow()
	e.scroll.Top()
}

// recordHint says what becomes of changes.
func recordHint(r editedRecord) string {
	switch {
	case r.fresh:
		return "It is used from when it is kept."
	case r.own:
		return "Changes count at once for this part. Kept figures stay for the next; the name may be changed too."
	default:
		return "Changes count at once for this part. Kept figures stay for the next, in a record of your own."
	}
}

// row shows one figure: its name, the entry and the unit.
func (e *recordEditor) row(f process.Figure) fyne.CanvasObject {
	scale := 1.0
	if inPercent(f) {
		scale = 100
	}
	v, unit := figureShown(f)
	entry := kit.NewNumberEntry(f.Least*scale, f.Most*scale, 80)
	entry.SetNumber(v)
	entry.OnNumber = func(v float64) { e.change(f, v/scale) }
	entry.OnEscape = func() { kit.Call(e.OnDone) }
	entry.OnFault = func(err error) {
		if err != nil {
			e.tell(kit.UpperFirst(figureLabel(f)) + ": " + err.Error() + ".")
		}
	}
	name := kit.NewProse(kit.RoleBody, theme.ColorNameForeground, kit.UpperFirst(figureLabel(f)))
	return container.New(&figureRow{}, name, entry, kit.NewSmall(unit))
}

// change passes a figure on. The name follows, unless the user has typed another.
func (e *recordEditor) change(f process.Figure, v float64) {
	untouched := e.name.Text == e.record.name
	name := e.record.set(f.Key, f.Axis, v)
	if name == "" {
		return
	}
	e.record.name = name
	if untouched {
		e.name.SetText(name)
	}
}

func (e *recordEditor) save() {
	name := strings.TrimSpace(e.name.Text)
	if name == "" {
		e.tell("Give the record a name first.")
		return
	}
	if err := e.record.save(name); err != nil {
		e.tell(kit.Sentence(err))
		return
	}
	e.tell("Kept in your own records as “" + kit.Typeset(e.name.Text) + "”.")
}

func (e *recordEditor) delete() {
	name := kit.Typeset(e.record.name)
	if err := e.record.remove(); err != nil {
		e.tell(kit.Sentence(err))
		return
	}
	e.tell("“" + name + "” is no longer among your records. Undo brings its figures back for this part.")
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

func (l *figureRow) HeightAt(objects []fyne.CanvasObject, width float32) float32 {
	return max(kit.HeightOf(objects[0], l.nameWidth(objects, width)), objects[1].MinSize().Height)
}

func (l *figureRow) Layout(objects []fyne.CanvasObject, size fyne.Size) {
	name := l.nameWidth(objects, size.Width)
	h := kit.HeightOf(objects[0], name)
	objects[0].Move(fyne.NewPos(0, (size.Height-h)/2))
	objects[0].Resize(fyne.NewSize(name, h))
	entry := objects[1].MinSize()
	objects[1].Move(fyne.NewPos(size.Width-figureUnit-6-entry.Width, (size.Height-entry.Height)/2))
	objects[1].Resize(entry)
	unit := kit.HeightOf(objects[2], figureUnit)
	objects[2].Move(fyne.NewPos(size.Width-figureUnit, (size.Height-unit)/2))
	objects[2].Resize(fyne.NewSize(figureUnit, unit))
}

func (*figureRow) MinSize(objects []fyne.CanvasObject) fyne.Size {
	return fyne.NewSize(220, objects[1].MinSize().Height)
}
