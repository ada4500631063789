package window

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/theme"

	"kilnpoise/app/window/kit"
	"kilnpoise/orient/mark"
)

// markWhat is what a click on the part is going to mark.
type markWhat int

const (
	markKeepClean markWhat = iota
	markSmooth
	markFoot
	markDistance
	markBore
	markBores
	markBoreToFace
	markFlatness
	markParallelism
	markAngle
	markLoad
	markStock
	markWhats
)

// label says what is marked, and so what will count.
func (m markWhat) label() string {
	return [markWhats]string{
		"keep clean: no support may touch it", "smooth: its layer steps count", "rests well: the preferred foot",
		"true distance between two flats", "true diameter of a bore or pin", "true distance between two bores or pins",
		"true distance from a bore or pin to a flat", "flatness of a face", "parallelism of a face to another", "true angle between two flats",
		"the load pulls this way", "machined after sintering: stock on it",
	}[m]
}

// isFace reports whether faces are marked, of any number of regions.
func (m markWhat) isFace() bool { return m <= markFoot }

// isDimension reports whether something is marked that has to be true.
func (m markWhat) isDimension() bool { return m >= markDistance && m <= markAngle }

// characteristic gives what a dimension measures.
func (m markWhat) characteristic() mark.Characteristic {
	return map[markWhat]mark.Characteristic{
		markBore: mark.Diameter, markBores: mark.BoreToBore, markBoreToFace: mark.BoreToFace,
		markFlatness: mark.Flatness, markParallelism: mark.Parallelism, markAngle: mark.Angle,
	}[m]
}

// places gives how many faces are picked.
func (m markWhat) places() int {
	if m.isDimension() {
		return len(m.characteristic().Features())
	}
	return 1
}

// hint says what to click.
func (m markWhat) hint() string {
	switch m {
	case markDistance:
		return "Click the two flats, in either view."
	case markBore:
		return "Click the wall of the bore or pin, in either view."
	case markBores:
		return "Click the walls of the two bores or pins, in either view."
	case markBoreToFace:
		return "Click the wall of the bore or pin first, then the flat beside it."
	case markFlatness:
		return "Click the face, in either view."
	case markParallelism:
		return "Click the face first, then the one that it is held against."
	case markAngle:
		return "Click the two flats, in either view."
	case markStock:
		return "Click the face to be machined: a flat, or the wall of a bore or pin. The stock is on the mesh that is handed over."
	case markLoad:
		return "Click a flat that the load pulls or pushes square on, or the wall of a bore or pin along whose axis it pulls."
	default:
		return "Click faces, in either view: once to take a face up, again to leave it out."
	}
}

// markView is what the panel shows.
type markView struct {
	what markWhat
	// withinDeg is how far a face may bend at an edge.
	withinDeg float64
	// status says what is picked, or what is wrong with it; ok lets it be kept.
	status string
	ok     bool
	picked bool
	// measured is the length or angle picked, for a dimension; 0 while there is none.
	measured float64
	marks    []string
}

// markPanel is where marks are made: what for, how far a face goes, and what is
// marked so far. The picking itself happens in the views.
type markPanel struct {
	OnWhat   func(markWhat)
	OnWithin func(deg float64)
	// OnRings grows the face by rows of facets, or shrinks it.
	OnRings  func(by int)
	OnClear  func()
	OnKeep   func(name string, nominal, tolerance float64)
	OnRemove func(index int)
	OnDone   func()

	box       *fyne.Container
	scroll    *kit.Scroller
	what      *kit.OptionList
	hint      *kit.Prose
	within    *kit.EscSlider
	withinBox *fyne.Container
	withinDeg *kit.Prose
	rings     *fyne.Container
	name      *kit.EscEntry
	nominal   *kit.NumberEntry
	tolerance *kit.NumberEntry
	// what the entries of a dimension or of stock are of, and their rows.
	figures *kit.Prose
	units   [2]*kit.Prose
	rule    *kit.Prose
	rows    [2]fyne.CanvasObject
	lengths *fyne.Container
	status  *kit.Prose
	keep    *kit.EscButton
	clear   *kit.EscButton
	list    *fyne.Container
	setting bool
}

func newMarkPanel() *markPanel {
	p := &markPanel{hint: kit.NewSmall(""), withinDeg: kit.NewSmall(""), status: kit.NewBody(""), list: kit.NewPile(3)}
	leave := func() { kit.Call(p.OnDone) }
	var labels []string
	for w := range markWhats {
		labels = append(labels, w.label())
	}
	p.what = kit.NewOptionList(false, labels...)
	p.what.OnEscape = leave
	p.what.OnChanged = func(i int) {
		if p.OnWhat != nil {
			p.OnWhat(markWhat(i))
		}
	}
	p.makeReach(leave)
	p.makeLengths(leave)
	p.name = kit.NewEscEntry(leave)
	p.name.SetPlaceHolder("name, for the sheet")
	p.name.OnSubmitted = func(string) { p.keepIt() }
	p.keep = kit.NewEscButton("Keep this mark", p.keepIt, leave)
	p.clear = kit.NewEscButton("Start over", func() { kit.Call(p.OnClear) }, leave)
	done := kit.NewEscButton("Back to the brief", leave, leave)
	p.scroll = kit.NewScroller(kit.NewPile(0, kit.NewHeading("What matters on this part"), kit.Gap(4), p.what, kit.Gap(4), p.hint, kit.Gap(8),
		p.withinBox, p.rings, p.status, kit.Gap(6), p.lengths, p.name, kit.Gap(6), kit.NewFlow(6, 4, p.keep, p.clear), kit.Gap(12), p.list, kit.Gap(8)))
	p.box = container.NewBorder(nil, kit.NewInset(0, 6, 0, 0, kit.NewFlow(6, 4, done)), nil, nil, p.scroll)
	return p
}

// The angles that a face may be let bend by at an edge, degrees.
const leastWithin, mostWithin = 1, 60

// makeReach makes what decides how far a face goes.
func (p *markPanel) makeReach(leave func()) {
	p.within = kit.NewEscSlider(leastWithin, mostWithin, leave)
	p.within.OnChanged = func(v float64) {
		p.withinDeg.SetText(withinWords(v))
		if !p.setting && p.OnWithin != nil {
			p.OnWithin(v)
		}
	}
	p.withinBox = kit.NewPile(0, p.withinDeg, p.within)
	rings := func(label string, by int) *kit.EscButton {
		return kit.NewEscButton(label, func() {
			if p.OnRings != nil {
				p.OnRings(by)
			}
		}, leave)
	}
	p.rings = kit.NewInset(0, 0, 0, 8, kit.NewFlow(6, 4, rings("Grow", 1), rings("Shrink", -1)))
}

// makeLengths makes the entries of a dimension, of which the first one serves for
// stock too.
func (p *markPanel) makeLengths(leave func()) {
	p.nominal, p.tolerance = kit.NewNumberEntry(0.01, 2000, 84), kit.NewNumberEntry(0.001, 100, 84)
	p.nominal.OnEscape, p.tolerance.OnEscape = leave, leave
	p.figures, p.rule = kit.NewProse(kit.RoleBody, theme.ColorNameForeground, ""), kit.NewSmall("")
	line := func(i int, label *kit.Prose, e *kit.NumberEntry) fyne.CanvasObject {
		p.units[i] = kit.NewSmall("mm")
		p.rows[i] = container.New(&figureRow{}, label, e, p.units[i])
		return p.rows[i]
	}
	p.lengths = kit.NewPile(4, line(0, p.figures, p.nominal),
		line(1, kit.NewProse(kit.RoleBody, theme.ColorNameForeground, "Allowed"), p.tolerance), p.rule, kit.Gap(4))
}

// setLengths fits the entries to what is marked.
func (p *markPanel) setLengths(what markWhat) {
	form, stock := what.characteristic().IsZone() && what.isDimension(), what == markStock
	unit, rule := "mm", "Left empty, ISO 2768-1 medium holds, either way."
	switch {
	case stock:
		rule = "On the finished size; bores become smaller, pins larger."
	case form:
		rule = "The width of the zone. Left empty, ISO 2768-2 K holds."
	case what == markAngle:
		unit = "°"
	}
	p.figures.SetText("Nominal, finished")
	p.tolerance.SetPlaceHolder("2768-m")
	if stock {
		p.figures.SetText("Stock on the face")
	}
	if form {
		p.tolerance.SetPlaceHolder("2768-K")
	}
	for _, u := range p.units {
		u.SetText(unit)
	}
	p.rule.SetText(rule)
	kit.SetVisible(p.rows[0], !form)
	kit.SetVisible(p.rows[1], !stock)
}

func withinWords(deg float64) string {
	return "A face goes on over edges that bend by up to " + kit.PlainNumber(deg) + "°."
}

// Set shows the state of the marking.
func (p *markPanel) Set(v markView) {
	p.setting = true
	defer func() { p.setting = false }()
	p.what.Select(int(v.what))
	p.hint.SetText(v.what.hint())
	p.within.Value = v.withinDeg
	p.withinDeg.SetText(withinWords(v.withinDeg))
	p.within.Refresh()
	kit.SetVisible(p.withinBox, v.what.isFace())
	kit.SetVisible(p.rings, v.what.isFace() && v.picked)
	p.setLengths(v.what)
	kit.SetVisible(p.lengths, (v.what.isDimension() || v.what == markStock) && v.ok)
	p.status.SetText(v.status)
	if v.measured > 0 && p.nominal.Given != v.measured {
		p.nominal.SetNumber(v.measured)
	}
	enable(p.keep, v.ok)
	enable(p.clear, v.picked)
	p.showMarks(v.marks)
	p.scroll.Reflow()
}

// enable lets a button be pressed, or not.
func enable(b *kit.EscButton, on bool) {
	if on {
		b.Enable()
	} else {
		b.Disable()
	}
}

// showMarks lists what is marked so far.
func (p *markPanel) showMarks(marks []string) {
	p.list.Objects = nil
	if len(marks) > 0 {
		p.list.Add(kit.NewHeading("Marked so far"))
	}
	for i, text := range marks {
		remove := kit.NewLink("Remove", func() {
			if p.OnRemove != nil {
				p.OnRemove(i)
			}
		})
		remove.OnKey = kit.EscapeKey(func() { kit.Call(p.OnDone) })
		p.list.Add(container.New(&kit.Trailing{}, kit.NewBody(text), remove))
	}
}

// Clear empties the entries for the next mark.
func (p *markPanel) Clear() {
	p.name.SetText("")
	p.tolerance.SetText("")
	p.nominal.SetNumber(0)
}

func (p *markPanel) keepIt() {
	if p.keep.Disabled() || p.OnKeep == nil {
		return
	}
	number := func(e *kit.NumberEntry) float64 {
		v, err := e.Parse(e.Text)
		if err != nil {
			return 0
		}
		return v
	}
	p.OnKeep(p.name.Text, number(p.nominal), number(p.tolerance))
}
