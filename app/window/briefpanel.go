package window

import (
	"strings"

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
	scroll  *scroller
	editor  *recordEditor
	coupon  *couponPanel
	marks   *markPanel
	marked  *prose
	sag     *prose
	selects [recordKinds]*escSelect
	notes   [recordKinds]*prose
	figures *quickFigures
	sliders *prioritySliders
	weights *prose
	firm    *prose
	trouble *prose
	setting bool
	first   fyne.Focusable
}

func newBriefPanel() *briefPanel {
	p := &briefPanel{
		editor: newRecordEditor(), coupon: newCouponPanel(), marks: newMarkPanel(), sag: newSmall(""), marked: newSmall(""), figures: newQuickFigures(), sliders: newPrioritySliders(),
		weights: newSmall(""), firm: newSmall(""), trouble: newProse(roleSmall, colorWorse, ""),
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
	p.figures.OnEscape = func() { call(p.OnDone) }
	p.sliders.OnEscape = p.figures.OnEscape
	p.editor.OnDone, p.coupon.OnDone = p.ShowBrief, p.ShowBrief
	column := newPile(0, p.parts()...)
	p.scroll = newScroller(column)
	leave := func() { call(p.OnDone) }
	done := newEscButton("Done", leave, leave)
	done.Importance = widget.HighImportance
	defaults := newEscButton("Usual priorities", func() { call(p.OnDefaults) }, leave)
	brief := container.NewBorder(nil, newInset(0, 6, 0, 0, newFlow(6, 4, done, defaults)), nil, nil, p.scroll)
	p.box = container.NewStack(brief, p.editor.box, p.coupon.box, p.marks.box)
	p.turnTo(brief)
	return p
}

// parts lists what stands in the panel, from top to bottom.
func (p *briefPanel) parts() []fyne.CanvasObject {
	out := []fyne.CanvasObject{newHeading("The brief"), gap(6)}
	leave := func() { call(p.OnDone) }
	for k := range recordKinds {
		p.selects[k] = newEscSelect(func(string) { p.picked(k) }, leave)
		p.notes[k] = newSmall("")
		edit := newEscButton("Figures…", func() {
			if p.OnEdit != nil {
				p.OnEdit(k)
			}
		}, leave)
		name := newProse(roleBody, theme.ColorNameForeground, k.String())
		out = append(out, container.New(&recordRow{}, name, p.selects[k], edit), p.notes[k])
		if k == materialRecord {
			fit := newLink("Fit it to a fired coupon", func() { call(p.OnCoupon) })
			fit.OnKey = escapeKey(leave)
			out = append(out, p.sag, newFlow(0, 0, fit))
		}
		out = append(out, gap(4))
	}
	p.first = p.selects[0]
	marks := newLink("Mark faces, sizes and loads", func() { call(p.OnMarks) })
	marks.OnKey = escapeKey(leave)
	return append(out, p.trouble,
		gap(6), newHeading("For this part"), gap(2), p.figures.box, gap(4), p.marked, newFlow(0, 0, marks),
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
		show(o, o == leaf)
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
	line := roleBody.lineHeight()
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
