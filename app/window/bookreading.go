package window

import (
	"fmt"

	"fyne.io/fyne/v2"

	"kilnpoise/app/book"
	"kilnpoise/app/window/kit"
	"kilnpoise/orient/process"
)

// rowHost is what the rows of the form ask of it.
type rowHost struct {
	ways []readingWay
	// oversize are the factors of the material chosen; NaN where it has no record.
	oversize func() [3]float64
	// escape leaves, next goes on to the entry after e, changed lays out again, focus
	// chooses what has the focus, reveal brings a row into view.
	escape, changed func()
	next            func(e *bookEntry)
	focus           func(fyne.Focusable)
	reveal          func(fyne.CanvasObject)
}

// tie connects an entry of a row with the form.
func (h *rowHost) tie(e *bookEntry, row fyne.CanvasObject, changed func()) {
	e.OnEscape, e.OnNext = h.escape, func() { h.next(e) }
	e.OnFocus = func() { h.reveal(row) }
	e.OnChanged = func(string) { kit.Call(changed) }
}

// readingRow takes one length: what was wanted and what was read, green and
// sintered.
type readingRow struct {
	host *rowHost
	// was holds what is not shown, and the directions given.
	was book.Reading
	way readingWay

	name, greenWanted, green, wanted, sintered, sure *bookEntry
	direction, by                                    *kit.EscSelect
	words                                            *kit.Prose
	across, leave, remove                            *kit.Link
	box                                              *fyne.Container

	faces   process.Across
	leftOut bool
	// preset is the green length that follows from the finished one; while it stands
	// there it follows.
	preset  string
	setting bool
}

// The columns of a row; the name takes what is left.
func readingColumns() []float32 { return []float32{0, 128, 72, 76, 72, 76, 116, 60} }

// readingTitles heads the columns.
func readingTitles() *fyne.Container {
	var titles []fyne.CanvasObject
	for _, t := range []string{"length", "direction", "green nominal", "green read", "sintered nominal", "sintered read", "read by", "±, mm"} {
		titles = append(titles, kit.NewSmall(t))
	}
	return newCells(6, readingColumns(), titles...)
}

func newReadingRow(host *rowHost, r book.Reading, removed func(*readingRow)) *readingRow {
	row := &readingRow{host: host, was: r, faces: r.Across, leftOut: r.LeftOut, setting: true, words: kit.NewSmall("")}
	row.name = newBookEntry(0, "what was measured")
	for _, e := range []**bookEntry{&row.greenWanted, &row.green, &row.wanted, &row.sintered, &row.sure} {
		*e = newBookEntry(0, "")
	}
	row.direction = kit.NewEscSelect(func(string) { row.turned() }, host.escape)
	row.by = kit.NewEscSelect(func(string) { row.changedInstrument() }, host.escape)
	row.across = kit.NewLink("", func() { row.faces = process.Faces + process.Points - row.faces; row.rescale(); row.changed() })
	row.leave = kit.NewLink("", func() { row.leftOut = !row.leftOut; row.changed() })
	row.remove = kit.NewLink("Remove", func() { removed(row) })
	for _, l := range []*kit.Link{row.across, row.leave, row.remove} {
		l.OnKey = kit.EscapeKey(host.escape)
	}
	row.box = kit.NewPile(2,
		newCells(6, readingColumns(), row.name, row.direction, row.greenWanted, row.green, row.wanted, row.sintered, row.by, row.sure),
		newMiddleCells(6, []float32{0, natural, natural, natural}, row.words, row.across, row.leave, row.remove))
	for _, e := range row.entries() {
		host.tie(e, row.box, row.changed)
	}
	row.wanted.OnChanged = func(string) { row.rescale(); row.changed() }
	row.fill(r)
	row.setting = false
	row.changed()
	return row
}

func (row *readingRow) entries() []*bookEntry {
	return []*bookEntry{row.name, row.greenWanted, row.green, row.wanted, row.sintered, row.sure}
}

// fill shows a reading.
func (row *readingRow) fill(r book.Reading) {
	row.name.SetText(r.Name)
	row.greenWanted.SetNumber(r.GreenNominalMM)
	row.green.SetNumber(r.GreenMM)
	row.wanted.SetNumber(r.SinteredNominalMM)
	row.sintered.SetNumber(r.SinteredMM)
	row.sure.SetNumber(r.ErrorMM)
	row.way = wayOf(r.PartDirection, r.PrintDirection)
	var labels []string
	for _, w := range row.host.ways {
		labels = append(labels, w.label)
	}
	row.direction.SetOptions(withOption(labels, row.way.label))
	row.direction.SetSelected(row.way.label)
	var names []string
	for _, i := range instruments() {
		names = append(names, i.name)
	}
	row.by.SetOptions(withOption(names, r.Instrument))
	row.by.SetSelected(r.Instrument)
	row.was.PartDirection, row.was.PrintDirection = row.way.part, row.way.print
	if p := row.follows(); p != "" && (r.GreenNominalMM == 0 || row.greenWanted.Text == p) {
		row.preset = p
		row.greenWanted.SetText(p)
	}
}

// withOption adds an option that is not among them.
func withOption(options []string, more string) []string {
	for _, o := range options {
		if o == more || more == "" {
			return options
		}
	}
	return append(options, more)
}

// turned takes another direction.
func (row *readingRow) turned() {
	if row.setting {
		return
	}
	label := row.direction.Selected
	if given := wayOf(row.was.PartDirection, row.was.PrintDirection); given.label == label {
		row.way = given // as it was entered, whatever stands on the plate now
	} else {
		for _, w := range row.host.ways {
			if w.label == label {
				row.way = w
			}
		}
	}
	row.rescale()
	row.changed()
}

// changedInstrument presets the uncertainty.
func (row *readingRow) changedInstrument() {
	if row.setting {
		return
	}
	for _, i := range instruments() {
		if i.name == row.by.Selected {
			row.sure.SetNumber(i.errorMM)
		}
	}
	if row.by.Selected == otherInstrument {
		row.host.focus(row.sure)
	}
	row.changed()
}

// texts are all that the user can change, to tell whether they did.
func (row *readingRow) texts() string {
	out := fmt.Sprint(row.way, row.by.Selected, row.faces, row.leftOut)
	for _, e := range row.entries() {
		out += "\x00" + e.Text
	}
	return out
}
