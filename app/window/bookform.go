package window

import (
	"slices"
	"strings"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/widget"
	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/app/book"
	"kilnpoise/app/window/kit"
	"kilnpoise/assets"
	"kilnpoise/mesh"
)

// firingDraft is a firing to be entered or changed.
type firingDraft struct {
	firing              book.Firing
	title, about        string
	materials, furnaces recordChoices
	// rotation turns the part frame into the print frame; nil where that is not
	// known.
	rotation *mesh.Matrix
	// oversize gives the factors of a material.
	oversize func(material string) [3]float64
}

// bookForm takes all that is known of one part in one firing. Whatever is not
// measured yet stays empty and is filled in later.
type bookForm struct {
	OnKeep   func(book.Firing)
	OnRemove func(id int64)
	OnBack   func()
	// OnFocus moves the focus.
	OnFocus func(fyne.Focusable)

	box                                  *fyne.Container
	scroll                               *kit.Scroller
	title                                *kit.Prose
	about, report                        *kit.Prose
	date, run, part                      *bookEntry
	material, furnace                    *kit.EscSelect
	greenMass, mass, greenVolume, volume *bookEntry
	peak, remarks                        *bookEntry
	readingRows, sagRows                 *fyne.Container
	readings                             []*readingRow
	sags                                 []*sagRow
	keep, remove                         *kit.EscButton
	host                                 rowHost
	draft                                firingDraft
	begun                                string
	filling, busy                        bool
	// session counts the firings shown, so that a late answer is told apart.
	session int
}

func newBookForm() *bookForm {
	f := &bookForm{
		title: kit.NewHeading(""), about: kit.NewSmall(""), report: kit.NewSmall(""), readingRows: kit.NewPile(6), sagRows: kit.NewPile(4),
		date: newBookEntry(0, "year-month-day"), run: newBookEntry(0, "number, if you count them"), part: newBookEntry(0, "what came back"),
		greenMass: newBookEntry(0, ""), mass: newBookEntry(0, ""), greenVolume: newBookEntry(0, ""), volume: newBookEntry(0, "if weighed in water"),
		peak: newBookText("what the log says"), remarks: newBookText("what was seen"),
	}
	leave := func() { kit.Call(f.OnBack) }
	f.host = rowHost{
		escape: leave, next: f.next, changed: f.changed, reveal: f.reveal,
		oversize: func() [3]float64 { return f.draft.oversize(f.materialID()) },
		focus: func(o fyne.Focusable) {
			if f.OnFocus != nil {
				f.OnFocus(o)
			}
		},
	}
	f.material = kit.NewEscSelect(func(string) { f.rescale() }, leave)
	f.furnace = kit.NewEscSelect(nil, leave)
	f.keep = kit.NewEscButton("Keep it", f.doKeep, leave)
	f.keep.Importance = widget.HighImportance
	f.remove = kit.NewEscButton("Remove this firing", func() {
		if f.OnRemove != nil {
			f.OnRemove(f.draft.firing.ID)
		}
	}, leave)
	back := kit.NewEscButton("Back to the book", leave, leave)
	f.scroll = kit.NewScroller(kit.NewPile(0, f.parts()...))
	for _, e := range f.entries() {
		f.host.tie(e, e, nil)
	}
	for _, e := range []*bookEntry{f.peak, f.remarks} {
		e.OnChanged = func(string) {
			if e.MinSize().Height != e.Size().Height { // it grows with its text
				f.changed()
			}
		}
	}
	bottom := kit.NewPile(4, kit.Hairline(), f.report, kit.NewFlow(6, 4, f.keep, back, f.remove))
	f.box = container.NewBorder(nil, kit.NewInset(0, 0, 0, 10, bottom), nil, nil, f.scroll)
	return f
}

// parts lists what stands in the form, from top to bottom.
func (f *bookForm) parts() []fyne.CanvasObject {
	leave := func() { kit.Call(f.OnBack) }
	more := func(label string, add func()) fyne.CanvasObject {
		l := kit.NewLink(label, add)
		l.OnKey = kit.EscapeKey(leave)
		return kit.NewFlow(0, 0, l)
	}
	return []fyne.CanvasObject{
		f.title, kit.Gap(2), f.about, kit.Gap(8),
		newCells(10, []float32{120, 190, 0}, under("date of the firing", f.date), under("run of the furnace", f.run), under("part", f.part)), kit.Gap(6),
		newCells(10, []float32{0, 0}, under("material", f.material), under("furnace", f.furnace)), kit.Gap(6),
		newCells(10, []float32{0, 0, 0, 0}, under("mass green, g", f.greenMass), under("mass sintered, g", f.mass),
			under("volume green, cm³", f.greenVolume), under("volume sintered, cm³", f.volume)), kit.Gap(6),
		newCells(10, []float32{0, 0}, under("peak of the furnace", f.peak), under("remarks", f.remarks)), kit.Gap(12),
		kit.NewHeading("Lengths"), kit.Gap(2), kit.NewSmall(kit.Typeset(instrumentNote)), kit.Gap(6), readingTitles(), kit.Gap(2), f.readingRows,
		more("One more length", f.moreReadings), kit.Gap(12),
		kit.NewHeading("Beams of a creep coupon"), kit.Gap(2), kit.NewSmall("How far each beam has come down; sizes are of the sintered beam."), kit.Gap(4),
		f.sagRows, more("One more beam", f.moreSags), kit.Gap(8),
	}
}

// entries are those above the lengths.
func (f *bookForm) entries() []*bookEntry {
	return []*bookEntry{f.date, f.run, f.part, f.greenMass, f.mass, f.greenVolume, f.volume, f.peak, f.remarks}
}

// Begin shows a firing.
func (f *bookForm) Begin(d firingDraft) {
	f.filling = true
	f.session++
	f.draft, f.host.ways = d, readingWays(d.rotation)
	g := d.firing
	f.title.SetText(d.title)
	f.about.SetText(d.about)
	f.date.SetText(g.Date.Format(time.DateOnly))
	for e, text := range map[*bookEntry]string{f.run: g.Run, f.part: g.Part, f.peak: g.Peak, f.remarks: g.Remarks} {
		e.SetText(text)
	}
	for e, v := range map[*bookEntry]float64{
		f.greenMass: g.GreenMassG, f.mass: g.SinteredMassG, f.greenVolume: g.GreenVolumeMM3 / 1000, f.volume: g.SinteredVolumeMM3 / 1000,
	} {
		e.SetNumber(v)
	}
	f.draft.materials, f.draft.furnaces = d.materials.with(g.Material), d.furnaces.with(g.Furnace)
	f.material.SetOptions(f.draft.materials.names)
	f.material.SetSelectedIndex(f.draft.materials.index(g.Material))
	f.furnace.SetOptions(f.draft.furnaces.names)
	f.furnace.SetSelectedIndex(f.draft.furnaces.index(g.Furnace))
	f.readings, f.sags = nil, nil
	f.readingRows.Objects, f.sagRows.Objects = nil, nil
	for _, r := range g.Readings {
		f.addReading(r)
	}
	for _, s := range g.Sags {
		f.addSag(s)
	}
	kit.SetVisible(f.remove, g.ID != 0)
	f.filling = false
	f.begun = f.texts()
	f.report.SetText("")
	f.changed()
	f.scroll.Top()
}

func (f *bookForm) addReading(r book.Reading) *readingRow {
	row := newReadingRow(&f.host, r, func(row *readingRow) {
		f.readings = slices.DeleteFunc(f.readings, func(o *readingRow) bool { return o == row })
		f.readingRows.Remove(row.box)
		f.changed()
	})
	f.readings = append(f.readings, row)
	f.readingRows.Add(row.box)
	return row
}

func (f *bookForm) addSag(s book.Sag) *sagRow {
	row := newSagRow(&f.host, s, func(row *sagRow) {
		f.sags = slices.DeleteFunc(f.sags, func(o *sagRow) bool { return o == row })
		f.sagRows.Remove(row.box)
		if len(f.sags) == 0 {
			f.sagRows.Objects = nil
		}
		f.changed()
	})
	if len(f.sags) == 0 {
		f.sagRows.Add(sagTitles())
	}
	f.sags = append(f.sags, row)
	f.sagRows.Add(row.box)
	return row
}

// moreReadings adds an empty row, read by what the one before was.
func (f *bookForm) moreReadings() {
	r := plannedLength("", r3.Vec{}, unitAxis(0), 0)
	if n := len(f.readings); n > 0 {
		if last, err := f.readings[n-1].Reading(); err == nil {
			r.Instrument, r.ErrorMM = last.Instrument, last.ErrorMM
		}
	}
	row := f.addReading(r)
	f.changed()
	f.host.focus(row.name)
}

func (f *bookForm) moreSags() {
	row := f.addSag(book.Sag{ThicknessMM: assets.CouponThicknessMM})
	f.changed()
	f.host.focus(row.span)
}

func (f *bookForm) materialID() string {
	if i := f.material.SelectedIndex(); i >= 0 {
		return f.draft.materials.ids[i]
	}
	return f.draft.firing.Material
}

// rescale lets the green lengths follow another material.
func (f *bookForm) rescale() {
	if f.filling {
		return
	}
	for _, r := range f.readings {
		r.rescale()
	}
	f.changed()
}

// changed lays out again what may have become higher.
func (f *bookForm) changed() {
	if !f.filling {
		f.scroll.Reflow()
	}
}

// next goes on from one entry to the next, down to the last beam; lists, links and
// entries of several lines between them are reached by Tab.
func (f *bookForm) next(e *bookEntry) {
	all := slices.DeleteFunc(f.entries(), func(e *bookEntry) bool { return e.MultiLine })
	for _, r := range f.readings {
		all = append(all, r.entries()...)
	}
	for _, s := range f.sags {
		all = append(all, s.entries()...)
	}
	if i := slices.Index(all, e); i >= 0 && i+1 < len(all) {
		f.host.focus(all[i+1])
		return
	}
	f.host.focus(f.keep)
}

// reveal scrolls until o is in view.
func (f *bookForm) reveal(o fyne.CanvasObject) {
	d := fyne.CurrentApp().Driver()
	top := d.AbsolutePositionForObject(o).Y - d.AbsolutePositionForObject(f.scroll.Column).Y
	f.scroll.Reveal(top, top+o.Size().Height)
}

// texts are all that the user can change.
func (f *bookForm) texts() string {
	out := []string{f.material.Selected, f.furnace.Selected}
	for _, e := range f.entries() {
		out = append(out, e.Text)
	}
	for _, r := range f.readings {
		if !r.Blank() {
			out = append(out, r.texts())
		}
	}
	for _, s := range f.sags {
		out = append(out, s.texts())
	}
	return strings.Join(out, "\x01")
}
