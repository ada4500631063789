package window

import (
	"fmt"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"kilnpoise/app/book"
)

// bookList chooses material and furnace and lists their firings, the newest first.
type bookList struct {
	OnMaterial, OnFurnace     func(id string)
	OnNew, OnImport, OnEscape func()
	// OnExport asks to export what is shown, or all.
	OnExport func(all bool)

	box                 *fyne.Container
	material, furnace   *escSelect
	enter               *escButton
	rows                *firingList
	scroll              *scroller
	more                *link
	empty, busy         *prose
	materials, furnaces recordChoices
	firings             []book.Firing
	// all lists the old ones too.
	all, setting bool
}

func newBookList() *bookList {
	l := &bookList{rows: newFiringList(), empty: newSmall(""), busy: newSmall("")}
	escape := func() { call(l.OnEscape) }
	l.material = newEscSelect(func(string) { l.picked(l.material, &l.materials, l.OnMaterial) }, escape)
	l.furnace = newEscSelect(func(string) { l.picked(l.furnace, &l.furnaces, l.OnFurnace) }, escape)
	l.enter = newEscButton("A part has come back", func() { call(l.OnNew) }, escape)
	l.enter.Importance = widget.HighImportance
	l.rows.OnEscape = escape
	l.more = newLink("", func() { l.all = true; l.fill() })
	l.more.Hide()
	export := func(label string, all bool) *link {
		return newLink(label, func() {
			if l.OnExport != nil {
				l.OnExport(all)
			}
		})
	}
	out, whole, in := export("Export as CSV", false), export("Export all", true), newLink("Import CSV", func() { call(l.OnImport) })
	for _, k := range []*link{l.more, out, whole, in} {
		k.OnKey = escapeKey(escape)
	}
	l.scroll = newScroller(newPile(0, l.empty, l.rows, newFlow(0, 0, l.more)))
	l.rows.OnReveal = l.scroll.reveal
	name := func(text string) *prose { return newProse(roleBody, theme.ColorNameForeground, text) }
	top := newPile(4, newMiddleCells(6, []float32{58, 0}, name("Material"), l.material), newMiddleCells(6, []float32{58, 0}, name("Furnace"), l.furnace),
		gap(4), l.enter, gap(2), hairline())
	bottom := newPile(2, hairline(), l.busy, newFlow(4, 0, out, whole, in), newSmall(bookKeys()))
	l.box = container.NewBorder(top, bottom, nil, nil, l.scroll)
	return l
}

// picked passes a choice on.
func (l *bookList) picked(s *escSelect, from *recordChoices, tell func(string)) {
	if i := s.SelectedIndex(); !l.setting && i >= 0 && i < len(from.ids) && tell != nil {
		tell(from.ids[i])
	}
}

// SetChoices lists the records to choose from.
func (l *bookList) SetChoices(materials recordChoices, material string, furnaces recordChoices, furnace string) {
	l.setting = true
	defer func() { l.setting = false }()
	l.materials, l.furnaces = materials, furnaces
	l.material.SetOptions(materials.names)
	l.material.SetSelectedIndex(materials.index(material))
	l.furnace.SetOptions(furnaces.names)
	l.furnace.SetSelectedIndex(furnaces.index(furnace))
}

// SetBusy says what is being done, or nothing.
func (l *bookList) SetBusy(text string) {
	l.busy.SetText(text)
	l.box.Refresh()
}

// SetFirings lists firings, given oldest first.
func (l *bookList) SetFirings(firings []book.Firing) {
	l.firings = firings
	l.fill()
}

// mostListed is how many firings are listed at once: more than a shop fires in a
// year, few enough to be laid out at once.
const mostListed = 200

func (l *bookList) fill() {
	from := 0
	if !l.all {
		from = max(0, len(l.firings)-mostListed)
	}
	var lines []firingLine
	for i := len(l.firings) - 1; i >= from; i-- {
		f := &l.firings[i]
		line := firingLine{id: f.ID, title: firingTitle(f), kind: markNote}
		var complete bool
		if line.about, complete = firingState(f); complete {
			line.kind = markPasses
		}
		lines = append(lines, line)
	}
	l.rows.Set(lines)
	l.empty.SetText("")
	if len(lines) == 0 {
		l.empty.SetText("No firing of this material in this furnace is in the book.")
	}
	show(l.empty, len(lines) == 0)
	l.more.SetText(fmt.Sprintf("List the %d before too", from))
	show(l.more, from > 0)
	l.scroll.Reflow()
}
