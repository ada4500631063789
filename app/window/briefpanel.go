package window

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"kilnpoise/orient"
	"kilnpoise/orient/process"
)

// recordKind is one of the three kinds of process record.
type recordKind int

const (
	materialRecord recordKind = iota
	printerRecord
	furnaceRecord
	recordKinds
)

func (k recordKind) String() string { return [...]string{"Material", "Printer", "Furnace"}[k] }

// briefView is what the brief panel shows.
type briefView struct {
	// names lists the records of each kind, chosen the place of the one in use;
	// changed tells that figures in use differ from the record.
	names   [recordKinds][]string
	chosen  [recordKinds]int
	changed [recordKinds]bool
	// quick are the figures at hand without opening a record.
	quick      []process.Figure
	priorities orient.Priorities
	firstPlace string
	problems   string
}

// briefPanel is the brief: process, figures at hand, priorities. It holds no
// rules; every wish goes out through a callback, and Set shows what came of it.
type briefPanel struct {
	OnRecord     func(kind recordKind, index int)
	OnFigure     func(key, axis string, v float64)
	OnEdit       func(kind recordKind)
	OnPriorities func(orient.Priorities)
	OnDefaults   func()
	OnDone       func()

	box     *fyne.Container
	scroll  *scroller
	editor  *recordEditor
	selects [recordKinds]*widget.Select
	notes   [recordKinds]*prose
	quick   []*numberEntry
	figures *fyne.Container
	sliders *prioritySliders
	weights *prose
	firm    *prose
	trouble *prose
	setting bool
	first   fyne.Focusable
}

func newBriefPanel() *briefPanel {
	p := &briefPanel{
		editor: newRecordEditor(), figures: newPile(4), sliders: newPrioritySliders(),
		weights: newSmall(""), firm: newSmall(""), trouble: newProse(roleSmall, colorWorse, ""),
	}
	p.sliders.OnChanged = func(w orient.Priorities) {
		p.weights.SetText(weighing(w))
		if p.OnPriorities != nil {
			p.OnPriorities(w)
		}
	}
	p.editor.OnDone = p.ShowBrief
	column := newPile(0, p.parts()...)
	p.scroll = newScroller(column)
	done := widget.NewButton("Done", func() { call(p.OnDone) })
	done.Importance = widget.HighImportance
	defaults := widget.NewButton("Usual priorities", func() { call(p.OnDefaults) })
	brief := container.NewBorder(nil, newInset(0, 6, 0, 0, newFlow(6, 4, done, defaults)), nil, nil, p.scroll)
	p.editor.box.Hide()
	p.box = container.NewStack(brief, p.editor.box)
	return p
}

// parts lists what stands in the panel, from top to bottom.
func (p *briefPanel) parts() []fyne.CanvasObject {
	out := []fyne.CanvasObject{newHeading("The brief"), gap(6)}
	for k := range recordKinds {
		p.selects[k] = widget.NewSelect(nil, func(string) { p.picked(k) })
		p.notes[k] = newSmall("")
		edit := widget.NewButton("Figures…", func() {
			if p.OnEdit != nil {
				p.OnEdit(k)
			}
		})
		row := container.NewBorder(nil, nil, nil, edit, p.selects[k])
		out = append(out, newProse(roleSmallStrong, theme.ColorNameForeground, k.String()), row, p.notes[k], gap(4))
	}
	p.first = p.selects[0]
	return append(out, p.trouble,
		gap(6), newHeading("For this part"), gap(2), p.figures,
		gap(10), newHeading("What counts"), gap(2), p.sliders.box, gap(4), p.weights, gap(4), p.firm, gap(8))
}

// picked passes on the choice of a record.
func (p *briefPanel) picked(k recordKind) {
	if i := p.selects[k].SelectedIndex(); !p.setting && i >= 0 && p.OnRecord != nil {
		p.OnRecord(k, i)
	}
}

// Set shows the brief.
func (p *briefPanel) Set(v briefView) {
	p.setting = true
	defer func() { p.setting = false }()
	for k := range recordKinds {
		p.selects[k].SetOptions(v.names[k])
		p.selects[k].SetSelectedIndex(v.chosen[k])
		p.notes[k].SetText("")
		if v.changed[k] {
			p.notes[k].SetText("Figures changed for this part; “Figures…” keeps them.")
		}
	}
	p.setQuick(v.quick)
	p.sliders.Set(v.priorities)
	p.weights.SetText(weighing(v.priorities))
	p.firm.SetText(v.firstPlace)
	p.trouble.SetText(v.problems)
	p.scroll.Reflow()
}

// setQuick shows the figures at hand; the entries are made once, so that one
// being typed in keeps the focus.
func (p *briefPanel) setQuick(figures []process.Figure) {
	if len(p.quick) != len(figures) {
		p.quick, p.figures.Objects = nil, nil
		for _, f := range figures {
			p.addQuick(f)
		}
	}
	for i, f := range figures {
		v, _ := figureShown(f)
		if p.quick[i].given != v {
			p.quick[i].SetNumber(v)
		}
	}
}

func (p *briefPanel) addQuick(f process.Figure) {
	scale := 1.0
	if inPercent(f) {
		scale = 100
	}
	_, unit := figureShown(f)
	entry := newNumberEntry(f.Least*scale, f.Most*scale, 78)
	entry.OnNumber = func(v float64) {
		if p.OnFigure != nil {
			p.OnFigure(f.Key, f.Axis, v/scale)
		}
	}
	name := newProse(roleBody, theme.ColorNameForeground, quickLabel(f))
	p.quick = append(p.quick, entry)
	p.figures.Add(container.New(&figureRow{}, name, entry, newSmall(unit)))
}

// quickLabel names a figure at hand.
func quickLabel(f process.Figure) string {
	switch f.Key {
	case "shrinkage":
		return "Shrinkage in " + f.Axis
	case "overhang_limit_deg":
		return "Overhang limit, from the plate"
	case "layer_height_mm":
		return "Layer height, green"
	default:
		return upperFirst(figureLabel(f))
	}
}

// isQuick reports whether a figure of the material is at hand.
func isQuick(f process.Figure) bool {
	return f.Key == "shrinkage" || f.Key == "overhang_limit_deg" || f.Key == "layer_height_mm"
}

// ShowEditor opens a record with all its figures.
func (p *briefPanel) ShowEditor(r editedRecord) {
	p.editor.Edit(r)
	p.box.Objects[0].Hide()
	p.editor.box.Show()
	p.box.Refresh()
}

// ShowBrief goes back from a record.
func (p *briefPanel) ShowBrief() {
	p.editor.box.Hide()
	p.box.Objects[0].Show()
	p.box.Refresh()
}

// Editing reports whether a record is open.
func (p *briefPanel) Editing() bool { return p.editor.box.Visible() }
