package window

import (
	"fmt"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/theme"

	"kilnpoise/app/window/kit"
	"kilnpoise/orient/process"
)

// quickFigures are the figures of the material that are at hand without opening
// its record. Figures of one key for several axes share a line.
type quickFigures struct {
	OnFigure func(key, axis string, v float64)
	OnEscape func()

	entries []*kit.NumberEntry
	box     *fyne.Container
	fault   *kit.Prose
}

func newQuickFigures() *quickFigures {
	return &quickFigures{box: kit.NewPile(4), fault: kit.NewProse(kit.RoleSmall, kit.ColorWorse, "")}
}

// Set shows the figures. The entries are made once, so that one being typed in
// keeps the focus.
func (q *quickFigures) Set(figures []process.Figure) {
	if len(q.entries) != len(figures) {
		q.build(figures)
	}
	for i, f := range figures {
		v, _ := figureShown(f)
		if q.entries[i].Given != v {
			q.entries[i].SetNumber(v)
		}
	}
}

func (q *quickFigures) build(figures []process.Figure) {
	q.entries, q.box.Objects = nil, nil
	for i := 0; i < len(figures); {
		n := 1
		for i+n < len(figures) && figures[i+n].Key == figures[i].Key {
			n++
		}
		q.line(figures[i : i+n])
		i += n
	}
	q.box.Add(q.fault)
}

// line adds a line for figures of one key.
func (q *quickFigures) line(figures []process.Figure) {
	first := figures[0]
	_, unit := figureShown(first)
	row := container.New(&quickRow{}, kit.NewProse(kit.RoleBody, theme.ColorNameForeground, quickLabel(first)), kit.NewSmall(unit))
	for _, f := range figures {
		row.Add(q.entry(f))
	}
	q.box.Add(row)
}

func (q *quickFigures) entry(f process.Figure) fyne.CanvasObject {
	scale := 1.0
	if inPercent(f) {
		scale = 100
	}
	e := kit.NewNumberEntry(f.Least*scale, f.Most*scale, quickEntry)
	e.OnNumber = func(v float64) {
		if q.OnFigure != nil {
			q.OnFigure(f.Key, f.Axis, v/scale)
		}
	}
	e.OnEscape = func() { kit.Call(q.OnEscape) }
	e.OnFault = func(err error) {
		text := ""
		if err != nil {
			text = fmt.Sprintf("%s: %v.", quickLabel(f), err)
		}
		q.fault.SetText(text)
		q.box.Refresh()
	}
	q.entries = append(q.entries, e)
	return e
}

// quickLabel names a line of figures at hand.
func quickLabel(f process.Figure) string {
	switch f.Key {
	case "shrinkage":
		return "Shrinkage X, Y, Z"
	case "overhang_limit_deg":
		return "Overhang limit, from the plate"
	case "layer_height_mm":
		return "Layer height, green"
	default:
		return kit.UpperFirst(figureLabel(f))
	}
}

// isQuick reports whether a figure of the material is at hand.
func isQuick(f process.Figure) bool {
	return f.Key == "shrinkage" || f.Key == "overhang_limit_deg" || f.Key == "layer_height_mm"
}

const (
	quickEntry = 56
	quickUnit  = 26
)

// quickRow sets a label left, and entries with their unit flush right.
type quickRow struct{}

func (*quickRow) Layout(objects []fyne.CanvasObject, size fyne.Size) {
	label, unit, entries := objects[0], objects[1], objects[2:]
	line := kit.RoleBody.LineHeight()
	label.Move(fyne.NewPos(0, (size.Height-line)/2))
	small := kit.RoleSmall.LineHeight()
	unit.Move(fyne.NewPos(size.Width-quickUnit, (size.Height-small)/2))
	unit.Resize(fyne.NewSize(quickUnit, small))
	x := size.Width - quickUnit - 6
	for i := len(entries) - 1; i >= 0; i-- {
		m := entries[i].MinSize()
		x -= m.Width
		entries[i].Move(fyne.NewPos(x, (size.Height-m.Height)/2))
		entries[i].Resize(m)
		x -= 4
	}
	label.Resize(fyne.NewSize(max(x, 1), line))
}

func (*quickRow) MinSize(objects []fyne.CanvasObject) fyne.Size {
	return fyne.NewSize(300, objects[2].MinSize().Height)
}
