package window

import (
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"kilnpoise/app/window/kit"
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
	// sag says how far the sag of the material is known.
	sag string
	// marks tells what is marked on the part, a line each.
	marks    []string
	problems string
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
	// OnCoupon asks to fit the sag of the material to a fired coupon.
	OnCoupon func()
	// OnMarks asks to mark what matters on the part.
	OnMarks func()

	box     *fyne.Container
	scroll  *kit.Scroller
	editor  *recordEditor
	coupon  *couponPanel
	marks   *markPanel
	marked  *kit.Prose
	sag     *kit.Prose
	selects [recordKinds]*kit.EscSelect
	notes   [recordKinds]*kit.Prose
	figures *quickFigures
	sliders *prioritySliders
	weights *kit.Prose
	firm    *kit.Prose
	trouble *kit.Prose
	setting bool
	first   fyne.Focusable
}

func newBriefPanel() *briefPanel {
	p := &briefPanel{
		editor: newRecordEditor(), coupon: newCouponPanel(), marks: newMarkPanel(), sag: kit.NewSmall(""), marked: kit.NewSmall(""), figures: newQuickFigures(), sliders: newPrioritySliders(),
		weights: kit.NewSmall(""), firm: kit.NewSmall(""), trouble: kit.NewProse(kit.RoleSmall, kit.ColorWorse, ""),
	}
	p.sliders.OnChanged = func(w orient.Priorities) {
		p.weights.SetText(weighing(w))
		if p.OnPriorities != nil {
			p.OnPriorities(w)
		}
	}
	p.figures.OnFigure = func(key, axis string, v float64) {
		if p.OnFigure != nil {
			p.OnFigure(key, axis, v)
		}
	}
	p.figures.OnEscape = func() { kit.Call(p.OnDone) }
	p.sliders.OnEscape = p.figures.OnEscape
	p.editor.OnDone, p.coupon.OnDone = p.ShowBrief, p.ShowBrief
	column := kit.NewPile(0, p.parts()...)
	p.scroll = kit.NewScroller(column)
	leave := func() { kit.Call(p.OnDone) }
	done := kit.NewEscButton("Done", leave, leave)
	done.Importance = widget.HighImportance
	defaults := kit.NewEscButton("Usual priorities", func() { kit.Call(p.OnDefaults) }, leave)
	brief := container.NewBorder(nil, kit.NewInset(0, 6, 0, 0, kit.NewFlow(6, 4, done, defaults)), nil, nil, p.scroll)
	p.box = container.NewStack(brief, p.editor.box, p.coupon.box, p.marks.box)
	p.turnTo(brief)
	return p
}

// parts lists what stands in the panel, from top to bottom.
func (p *briefPanel) parts() []fyne.CanvasObject {
	out := []fyne.CanvasObject{kit.NewHeading("The brief"), kit.Gap(6)}
	leave := func() { kit.Call(p.OnDone) }
	for k := range recordKinds {
		p.selects[k] = kit.NewEscSelect(func(string) { p.picked(k) }, leave)
		p.notes[k] = kit.NewSmall("")
		edit := kit.NewEscButton("Figures…", func() {
			if p.OnEdit != nil {
				p.OnEdit(k)
			}
		}, leave)
		name := kit.NewProse(kit.RoleBody, theme.ColorNameForeground, k.String())
		out = append(out, container.New(&recordRow{}, name, p.selects[k], edit), p.notes[k])
		if k == materialRecord {
			fit := kit.NewLink("Fit it to a fired coupon", func() { kit.Call(p.OnCoupon) })
			fit.OnKey = kit.EscapeKey(leave)
			out = append(out, p.sag, kit.NewFlow(0, 0, fit))
		}
		out = append(out, kit.Gap(4))
	}
	p.first = p.selects[0]
	marks := kit.NewLink("Mark faces, sizes and loads", func() { kit.Call(p.OnMarks) })
	marks.OnKey = kit.EscapeKey(leave)
	return append(out, p.trouble,
		kit.Gap(6), kit.NewHeading("For this part"), kit.Gap(2), p.figures.box, kit.Gap(4), p.marked, kit.NewFlow(0, 0, marks),
		kit.Gap(10), kit.NewHeading("What counts"), kit.Gap(2), p.sliders.box, kit.Gap(4), p.weights, kit.Gap(4), p.firm, kit.Gap(8))
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
	p.sag.SetText(v.sag)
	p.marked.SetText(markedLine(v.marks))
	p.figures.Set(v.quick)
	p.sliders.Set(v.priorities)
	p.weights.SetText(weighing(v.priorities))
	p.firm.SetText(v.firstPlace)
	p.trouble.SetText(v.problems)
	p.scroll.Reflow()
}

// markedLine tells the marks in one line.
func markedLine(marks []string) string {
	if len(marks) == 0 {
		return "Nothing is marked on the part: every face counts alike."
	}
	return "Marked: " + strings.Join(marks, "; ") + "."
}

// ShowEditor opens a record with all its figures.
func (p *briefPanel) ShowEditor(r editedRecord) {
	p.editor.Edit(r)
	p.turnTo(p.editor.box)
}

// ShowCoupon opens the entry of a fired coupon.
func (p *briefPanel) ShowCoupon() { p.turnTo(p.coupon.box) }

// ShowMarks opens the marks.
func (p *briefPanel) ShowMarks() { p.turnTo(p.marks.box) }

// ShowBrief goes back to the brief itself.
func (p *briefPanel) ShowBrief() { p.turnTo(p.box.Objects[0]) }

// turnTo shows one of the leaves of the panel.
func (p *briefPanel) turnTo(leaf fyne.CanvasObject) {
	for _, o := range p.box.Objects {
		kit.SetVisible(o, o == leaf)
	}
	p.box.Refresh()
}

// Inside reports whether another leaf than the brief itself is open.
func (p *briefPanel) Inside() bool { return !p.box.Objects[0].Visible() }

// recordRow sets a name, the list of records and the button that opens one on a
// line.
type recordRow struct{}

const recordName = 62

func (*recordRow) Layout(objects []fyne.CanvasObject, size fyne.Size) {
	line := kit.RoleBody.LineHeight()
	objects[0].Move(fyne.NewPos(0, (size.Height-line)/2))
	objects[0].Resize(fyne.NewSize(recordName, line))
	edit := objects[2].MinSize()
	objects[2].Move(fyne.NewPos(size.Width-edit.Width, 0))
	objects[2].Resize(fyne.NewSize(edit.Width, size.Height))
	objects[1].Move(fyne.NewPos(recordName, 0))
	objects[1].Resize(fyne.NewSize(size.Width-recordName-edit.Width-6, size.Height))
}

func (*recordRow) MinSize(objects []fyne.CanvasObject) fyne.Size {
	return fyne.NewSize(280, objects[1].MinSize().Height)
}
