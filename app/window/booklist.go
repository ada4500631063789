package window

import (
	"fmt"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"kilnpoise/app/book"
	"kilnpoise/app/window/kit"
)

// bookList chooses material and furnace and lists their firings, the newest first.
type bookList struct {
	OnMaterial, OnFurnace     func(id string)
	OnNew, OnImport, OnEscape func()
	// OnExport asks to export what is shown, or all.
	OnExport func(all bool)

	box                 *fyne.Container
	material, furnace   *kit.EscSelect
	enter               *kit.EscButton
	rows                *firingList
	scroll              *kit.Scroller
	more                *kit.Link
	empty, busy         *kit.Prose
	materials, furnaces recordChoices
	firings             []book.Firing
	// all lists the old ones too.
	all, setting bool
}

func newBookList() *bookList {
	l := &bookList{rows: newFiringList(), empty: kit.NewSmall(""), busy: kit.NewSmall("")}
	escape := func() { kit.Call(l.OnEscape) }
	l.material = kit.NewEscSelect(func(string) { l.picked(l.material, &l.materials, l.OnMaterial) }, escape)
	l.furnace = kit.NewEscSelect(func(string) { l.picked(l.furnace, &l.furnaces, l.OnFurnace) }, escape)
	l.enter = kit.NewEscButton("A part has come back", func() { kit.Call(l.OnNew) }, escape)
	l.enter.Importance = widget.HighImportance
	l.rows.OnEscape = escape
	l.more = kit.NewLink("", func() { l.all = true; l.fill() })
	l.more.Hide()
	export := func(label string, all bool) *kit.Link {
		return kit.NewLink(label, func() {
			if l.OnExport != nil {
				l.OnExport(all)
			}
		})
	}
	out, whole, in := export("Export as CSV", false), export("Export all", true), kit.NewLink("Import CSV", func() { kit.Call(l.OnImport) })
	for _, k := range []*kit.Link{l.more, out, whole, in} {
		k.OnKey = kit.EscapeKey(escape)
	}
	l.scroll = kit.NewScroller(kit.NewPile(0, l.empty, l.rows, kit.NewFlow(0, 0, l.more)))
	l.rows.OnReveal = l.scroll.Reveal
	name := func(text string) *kit.Prose { return kit.NewProse(kit.RoleBody, theme.ColorNameForeground, text) }
	top := kit.NewPile(4, newMiddleCells(6, []float32{58, 0}, name("Material"), l.material), newMiddleCells(6, []float32{58, 0}, name("Furnace"), l.furnace),
		kit.Gap(4), l.enter, kit.Gap(2), kit.Hairline())
	bottom := kit.NewPile(2, kit.Hairline(), l.busy, kit.NewFlow(4, 0, out, whole, in), kit.NewSmall(bookKeys()))
	l.box = container.NewBorder(top, bottom, nil, nil, l.scroll)
	return l
}

// picked passes a choice on.
func (l *bookList) picked(s *kit.EscSelect, from *recordChoices, tell func(string)) {
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
		line := firingLine{id: f.ID, title: firingTitle(f), kind: kit.MarkNote}
		var complete bool
		if line.about, complete = firingState(f); complete {
			line.kind = kit.MarkPasses
		}
		lines = append(lines, line)
	}
	l.rows.Set(lines)
	l.empty.SetText("")
	if len(lines) == 0 {
		l.empty.SetText("No firing of this material in this furnace is in the book.")
	}
	kit.SetVisible(l.empty, len(lines) == 0)
	l.more.SetText(fmt.Sprintf("List the %d before too", from))
	kit.SetVisible(l.more, from > 0)
	l.scroll.Reflow()
}
