package window

import (
	"fmt"
	"strings"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/widget"

	"kilnpoise/app/book"
)

// bookList lists the firings, the newest first.
type bookList struct {
	OnNew, OnImport, OnExport func()
	// OnChange and OnRemove get the place of a firing among those that were set.
	OnChange, OnRemove func(i int)
	OnEscape           func()

	box    *fyne.Container
	title  *prose
	busy   *prose
	rows   *fyne.Container
	scroll *scroller
	export *escButton
}

func newBookList() *bookList {
	l := &bookList{title: newHeading(""), busy: newSmall(""), rows: newPile(8)}
	escape := func() { call(l.OnEscape) }
	enter := newEscButton("A part came back", func() { call(l.OnNew) }, escape)
	enter.Importance = widget.HighImportance
	l.export = newEscButton("Export", func() { call(l.OnExport) }, escape)
	bring := newEscButton("Import", func() { call(l.OnImport) }, escape)
	l.scroll = newScroller(l.rows)
	l.box = container.NewBorder(newPile(4, l.title, newFlow(6, 4, enter, l.export, bring), l.busy, gap(4)), nil, nil, nil, l.scroll)
	return l
}

// SetTitle says whose firings these are.
func (l *bookList) SetTitle(text string) { l.title.SetText(typeset(text)) }

// SetBusy says what is being done, or nothing.
func (l *bookList) SetBusy(text string) {
	l.busy.SetText(text)
	l.box.Refresh()
}

// Set lists the firings, given oldest first.
func (l *bookList) Set(firings []book.Firing) {
	l.rows.Objects = nil
	for i := len(firings) - 1; i >= 0; i-- {
		l.rows.Add(l.row(i, &firings[i]))
	}
	if len(firings) == 0 {
		l.rows.Add(newSmall("No firing yet. Enter a part when it is green, and complete it when it comes back."))
	}
	enable(l.export, len(firings) > 0)
	l.rows.Refresh()
	l.scroll.Reflow()
}

func (l *bookList) row(i int, f *book.Firing) fyne.CanvasObject {
	do := func(label string, what *func(int)) *link {
		k := newLink(label, func() {
			if *what != nil {
				(*what)(i)
			}
		})
		k.OnKey = escapeKey(func() { call(l.OnEscape) })
		return k
	}
	return newPile(0, newBody(typeset(firingLine(f))), newSmall(typeset(firingState(f))),
		newFlow(8, 0, do("Change it", &l.OnChange), do("Take it out", &l.OnRemove)))
}

// firingLine names a firing.
func firingLine(f *book.Firing) string {
	text := fmt.Sprintf("%d. %s", f.ID, f.Date.Format(time.DateOnly))
	for _, s := range []string{f.Part, f.Run} {
		if s != "" {
			text += ", " + s
		}
	}
	return text
}

// firingState tells what was measured, and what is still missing.
func firingState(f *book.Firing) string {
	green, both := 0, 0
	for i := range f.Readings {
		r := &f.Readings[i]
		switch {
		case r.GreenMM > 0 && r.SinteredMM > 0:
			both++
		case r.GreenMM > 0 || r.SinteredMM > 0:
			green++
		}
	}
	parts := []string{plural(both, "dimension")}
	if green > 0 {
		parts = append(parts, fmt.Sprintf("%d to be completed", green))
	}
	if n := len(f.Sags); n > 0 {
		parts = append(parts, plural(n, "beam"))
	}
	if f.GreenMassG > 0 || f.SinteredMassG > 0 {
		parts = append(parts, "weighed")
	}
	return strings.Join(parts, ", ")
}
