package window

import (
	"fmt"
	"math"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/theme"

	"kilnpoise/app/book"
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
	e.OnChanged = func(string) { call(changed) }
}

// readingRow takes one length: what was wanted and what was read, green and
// sintered.
type readingRow struct {
	host *rowHost
	// was holds what is not shown, and the directions given.
	was book.Reading
	way readingWay

	name, greenWanted, green, wanted, sintered, sure *bookEntry
	direction, by                                    *escSelect
	words                                            *prose
	across, leave, remove                            *link
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
		titles = append(titles, newSmall(t))
	}
	return newCells(6, readingColumns(), titles...)
}

func newReadingRow(host *rowHost, r book.Reading, removed func(*readingRow)) *readingRow {
	row := &readingRow{host: host, was: r, faces: r.Across, leftOut: r.LeftOut, setting: true, words: newSmall("")}
	row.name = newBookEntry(0, "what was measured")
	for _, e := range []**bookEntry{&row.greenWanted, &row.green, &row.wanted, &row.sintered, &row.sure} {
		*e = newBookEntry(0, "")
	}
	row.direction = newEscSelect(func(string) { row.turned() }, host.escape)
	row.by = newEscSelect(func(string) { row.changedInstrument() }, host.escape)
	row.across = newLink("", func() { row.faces = process.Faces + process.Points - row.faces; row.rescale(); row.changed() })
	row.leave = newLink("", func() { row.leftOut = !row.leftOut; row.changed() })
	row.remove = newLink("Remove", func() { removed(row) })
	for _, l := range []*link{row.across, row.leave, row.remove} {
		l.OnKey = escapeKey(host.escape)
	}
	row.box = newPile(2,
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

// follows gives the green length that follows from the finished one, as text.
func (row *readingRow) follows() string {
	v, err := row.wanted.Number()
	factor := greenFactor(row.faces, row.way.print, row.host.oversize())
	if err != nil || v <= 0 || math.IsNaN(factor) {
		return ""
	}
	return plainNumber(math.Round(v*factor*1000) / 1000)
}

// rescale lets the green length follow, unless the user has put another there.
func (row *readingRow) rescale() {
	if row.greenWanted.Text != "" && row.greenWanted.Text != row.preset {
		return
	}
	if p := row.follows(); p != "" {
		row.preset = p
		row.greenWanted.SetText(p)
	}
}

// changed shows what the row says now. Laying a long form out takes its time, so
// that is only asked for where the row needs more room or less.
func (row *readingRow) changed() {
	if row.setting {
		return
	}
	width := row.words.Size().Width
	high := heightOf(row.words, width)
	text, fault := row.state()
	row.words.color = colorSoftInk
	if fault {
		row.words.color = colorWorse
	}
	row.words.SetText(text)
	row.words.Refresh()
	if row.setLinks() || width == 0 {
		row.box.Objects[1].Refresh()
		width = row.words.Size().Width
	}
	if heightOf(row.words, width) != high {
		call(row.host.changed)
	}
}

// setLinks says what the links of the row do now, and reports whether that is new.
func (row *readingRow) setLinks() bool {
	across, leave, shown := row.across.text, row.leave.text, row.across.Visible()
	row.across.SetText("between faces")
	if row.faces == process.Points {
		row.across.SetText("between points")
	}
	show(row.across, axisOf(row.way.print) < 0) // along an axis they are the same
	row.leave.SetText("Leave it out")
	if row.leftOut {
		row.leave.SetText("Count it again")
	}
	return across != row.across.text || leave != row.leave.text || shown != row.across.Visible()
}

// state says in words what the row has, and whether something is wrong with it.
func (row *readingRow) state() (text string, fault bool) {
	r, err := row.Reading()
	if err != nil {
		return sentence(err), true
	}
	where := "along " + row.way.along()
	if row.leftOut {
		where += ", left out of the fit"
	}
	switch {
	case r.GreenMM > 0 && r.SinteredMM > 0:
		probe := process.Reading{
			Direction: r.PrintDirection, Across: r.Across, GreenMM: r.GreenMM, SinteredMM: r.SinteredMM, GreenErrorMM: r.ErrorMM, SinteredErrorMM: r.ErrorMM,
		}
		if err := probe.Check(); err != nil {
			return sentence(err), true
		}
		return fmt.Sprintf("Shrank by %.2f%s%% %s.", 100*probe.ShrinkageSeen(), nbsp, where), false
	case r.GreenMM > 0:
		return "Sintered still to come, " + where + ".", false
	case r.SinteredMM > 0:
		return "Not measured green, so it tells no shrinkage; " + where + ".", false
	default:
		return "Not measured yet, " + where + ".", false
	}
}

// Reading gives what stands in the row; the error says what is no number.
func (row *readingRow) Reading() (book.Reading, error) {
	r := row.was
	r.Name = strings.TrimSpace(row.name.Text)
	r.PartDirection, r.PrintDirection, r.Across, r.LeftOut = row.way.part, row.way.print, row.faces, row.leftOut
	r.Instrument = row.by.Selected
	for _, n := range []struct {
		what  string
		entry *bookEntry
		to    *float64
	}{
		{"the green nominal", row.greenWanted, &r.GreenNominalMM}, {"the green length", row.green, &r.GreenMM},
		{"the sintered nominal", row.wanted, &r.SinteredNominalMM}, {"the sintered length", row.sintered, &r.SinteredMM},
		{"the uncertainty", row.sure, &r.ErrorMM},
	} {
		v, err := n.entry.Number()
		if err != nil {
			return r, fmt.Errorf("%s of “%s” %w", n.what, r.Name, err)
		}
		*n.to = v
	}
	return r, nil
}

// Blank reports whether nothing was entered at all.
func (row *readingRow) Blank() bool {
	for _, e := range []*bookEntry{row.name, row.greenWanted, row.green, row.wanted, row.sintered} {
		if strings.TrimSpace(e.Text) != "" {
			return false
		}
	}
	return true
}

// texts are all that the user can change, to tell whether they did.
func (row *readingRow) texts() string {
	out := fmt.Sprint(row.way, row.by.Selected, row.faces, row.leftOut)
	for _, e := range row.entries() {
		out += "\x00" + e.Text
	}
	return out
}

// sagRow takes what one beam of a creep coupon came down.
type sagRow struct {
	hold                  *escSelect
	span, thickness, drop *bookEntry
	remove                *link
	box                   *fyne.Container
}

func sagColumns() []float32 { return []float32{150, 84, 84, 84, natural, 0} }

func sagTitles() *fyne.Container {
	return newCells(6, sagColumns(), newSmall("beam"), newSmall("span, mm"), newSmall("thick, mm"), newSmall("sag, mm"), newSmall(""), newSmall(""))
}

func newSagRow(host *rowHost, s book.Sag, removed func(*sagRow)) *sagRow {
	row := &sagRow{span: newBookEntry(0, ""), thickness: newBookEntry(0, ""), drop: newBookEntry(0, "")}
	row.hold = newEscSelect(nil, host.escape)
	row.hold.Options = holdNames()
	row.hold.SetSelectedIndex(int(s.Hold))
	row.remove = newLink("Remove", func() { removed(row) })
	row.remove.OnKey = escapeKey(host.escape)
	row.span.SetNumber(s.SpanMM)
	row.thickness.SetNumber(s.ThicknessMM)
	row.drop.SetNumber(s.SagMM)
	row.box = newMiddleCells(6, sagColumns(), row.hold, row.span, row.thickness, row.drop, row.remove, newProse(roleSmall, theme.ColorNameForeground, ""))
	for _, e := range row.entries() {
		host.tie(e, row.box, nil)
	}
	return row
}

func (row *sagRow) entries() []*bookEntry {
	return []*bookEntry{row.span, row.thickness, row.drop}
}

func (row *sagRow) texts() string {
	return strings.Join([]string{row.hold.Selected, row.span.Text, row.thickness.Text, row.drop.Text}, "\x00")
}
