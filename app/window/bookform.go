package window

import (
	"strconv"
	"strings"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"
	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/app/book"
	"kilnpoise/orient/furnace"
)

// bookForm takes one firing of one part: what it measured green and sintered. What
// is not known yet stays empty and is completed later.
type bookForm struct {
	OnKeep func(book.Firing)
	OnDone func()

	box                 *fyne.Container
	scroll              *scroller
	title               *prose
	date, run, part     *escEntry
	greenMass, ironMass *numberEntry
	readings, beams     *fyne.Container
	rows                []*readingRow
	sags                []*beamRow
	remarks             *escEntry
	fault               *prose
	firing              book.Firing
}

func newBookForm() *bookForm {
	f := &bookForm{title: newHeading(""), readings: newPile(4), beams: newPile(4), fault: newProse(roleSmall, colorWorse, "")}
	leave := func() { call(f.OnDone) }
	f.date, f.run, f.part, f.remarks = newEscEntry(leave), newEscEntry(leave), newEscEntry(leave), newEscEntry(leave)
	f.run.SetPlaceHolder("parts of one run count as one firing")
	f.greenMass, f.ironMass = newNumberEntry(0.001, 1e6, 90), newNumberEntry(0.001, 1e6, 90)
	f.greenMass.OnEscape, f.ironMass.OnEscape = leave, leave
	more := newLink("One more dimension", func() { f.addReading(book.Reading{}); f.scroll.Reflow() })
	beam := newLink("One more beam of a creep coupon", func() { f.addBeam(furnace.Coupon{ThicknessMM: couponThickness}); f.scroll.Reflow() })
	for _, l := range []*link{more, beam} {
		l.OnKey = escapeKey(leave)
	}
	line := func(name string, o fyne.CanvasObject) fyne.CanvasObject {
		return container.New(&labelled{}, newProse(roleBody, theme.ColorNameForeground, name), o)
	}
	grams := func(e *numberEntry) fyne.CanvasObject { return newFlow(6, 0, e, newBody("g")) }
	f.scroll = newScroller(newPile(6, f.title, line("Day", f.date), line("Part", f.part), line("Run", f.run),
		line("Mass, green", grams(f.greenMass)), line("Mass, fired", grams(f.ironMass)), gap(4),
		newProse(roleSmallStrong, theme.ColorNameForeground, "Dimensions, mm; leave empty what is not measured yet"), readingTitles(), f.readings, newFlow(0, 0, more), gap(4),
		f.beams, newFlow(0, 0, beam), gap(4), line("Remarks", f.remarks), gap(6)))
	keep := newEscButton("Keep it in the book", f.keepIt, leave)
	keep.Importance = widget.HighImportance
	back := newEscButton("Back", leave, leave)
	f.box = container.NewBorder(nil, newPile(4, f.fault, newFlow(6, 4, keep, back)), nil, nil, f.scroll)
	return f
}

// Begin shows a firing; fresh is one that is not in the book yet.
func (f *bookForm) Begin(firing book.Firing, fresh bool) {
	f.firing = firing
	f.title.SetText("A part came back")
	if !fresh {
		f.title.SetText(typeset("Firing " + strconv.FormatInt(firing.ID, 10)))
	}
	f.date.SetText(firing.Date.Format(time.DateOnly))
	f.run.SetText(firing.Run)
	f.part.SetText(firing.Part)
	f.remarks.SetText(firing.Remarks)
	setOrClear(f.greenMass, firing.GreenMassG)
	setOrClear(f.ironMass, firing.SinteredMassG)
	f.rows, f.readings.Objects, f.sags, f.beams.Objects = nil, nil, nil, nil
	for _, r := range firing.Readings {
		f.addReading(r)
	}
	for len(f.rows) < 3 {
		f.addReading(book.Reading{PrintDirection: axisOf(len(f.rows))})
	}
	for _, s := range firing.Sags {
		f.addBeam(furnace.Coupon{Hold: s.Hold, SpanMM: s.SpanMM, ThicknessMM: s.ThicknessMM, SagMM: s.SagMM})
	}
	f.fault.SetText("")
	f.scroll.Reflow()
	f.scroll.Top()
}

// Tell says what is wrong.
func (f *bookForm) Tell(text string) {
	f.fault.SetText(text)
	f.box.Refresh()
}

func (f *bookForm) addReading(r book.Reading) {
	row := newReadingRow(r, func() { call(f.OnDone) })
	f.rows = append(f.rows, row)
	f.readings.Add(row.box)
}

func (f *bookForm) addBeam(c furnace.Coupon) {
	if len(f.sags) == 0 {
		f.beams.Add(beamTitles())
	}
	row := newBeamRow(c, func() {}, func() { call(f.OnDone) })
	f.sags = append(f.sags, row)
	f.beams.Add(row.box)
}

// keepIt hands over what was entered, or says what cannot be read.
func (f *bookForm) keepIt() {
	out := f.firing
	day, err := time.Parse(time.DateOnly, strings.TrimSpace(f.date.Text))
	if err != nil {
		f.Tell("The day is written as 2026-03-14: year, month, day.")
		return
	}
	out.Date, out.Run, out.Part, out.Remarks = day, strings.TrimSpace(f.run.Text), strings.TrimSpace(f.part.Text), strings.TrimSpace(f.remarks.Text)
	out.GreenMassG, out.SinteredMassG = numberOr(f.greenMass), numberOr(f.ironMass)
	out.Readings, out.Sags = nil, nil
	for _, row := range f.rows {
		if r, ok := row.Reading(); ok {
			out.Readings = append(out.Readings, r)
		}
	}
	for _, row := range f.sags {
		if c, ok := row.Beam(); ok {
			out.Sags = append(out.Sags, book.Sag{Hold: c.Hold, SpanMM: c.SpanMM, ThicknessMM: c.ThicknessMM, SagMM: c.SagMM})
		}
	}
	if f.OnKeep != nil {
		f.OnKeep(out)
	}
}

// setOrClear shows a number, or nothing for 0.
func setOrClear(e *numberEntry, v float64) {
	if v > 0 {
		e.SetNumber(v)
		return
	}
	e.SetText("")
}

// numberOr gives the number of an entry, 0 where there is none.
func numberOr(e *numberEntry) float64 {
	v, err := e.parse(e.Text)
	if err != nil {
		return 0
	}
	return v
}

// axisOf gives the unit vector along an axis of the print frame.
func axisOf(i int) r3.Vec {
	return [3]r3.Vec{{X: 1}, {Y: 1}, {Z: 1}}[i%3]
}

// instrument is what a length is measured with: its name and standard uncertainty,
// mm, in careful hands (judgement).
type instrument struct {
	name    string
	errorMM float64
}

func instruments() []instrument {
	return []instrument{{"caliper ±0.02", 0.02}, {"micrometer ±0.003", 0.003}, {"gauge ±0.01", 0.01}}
}

// readingRow takes one dimension.
type readingRow struct {
	name             *escEntry
	along, by        *escSelect
	nominal          *numberEntry
	green, sintered  *numberEntry
	box              *fyne.Container
	was              book.Reading
	oblique, foreign bool
}

func newReadingRow(r book.Reading, escape func()) *readingRow {
	w := &readingRow{name: newEscEntry(escape), along: newEscSelect(nil, escape), by: newEscSelect(nil, escape), was: r}
	w.name.SetText(r.Name)
	w.along.Options = []string{"X", "Y", "Z"}
	w.along.SetSelectedIndex(0)
	for i := range 3 {
		if r3.Norm(r3.Cross(axisOf(i), r.PrintDirection)) < 1e-6 && r3.Norm(r.PrintDirection) > 0 {
			w.along.SetSelectedIndex(i)
		} else if i == 2 && w.aslant() {
			w.oblique = true
			w.along.Options = append(w.along.Options, "aslant")
			w.along.SetSelectedIndex(3)
		}
	}
	w.setInstrument()
	entry := func(v float64) *numberEntry {
		e := newNumberEntry(0.001, 10000, readingNumber)
		e.OnEscape = escape
		setOrClear(e, v)
		return e
	}
	w.nominal, w.green, w.sintered = entry(r.SinteredNominalMM), entry(r.GreenMM), entry(r.SinteredMM)
	w.box = container.New(&readingLayout{}, w.name, w.along, w.nominal, w.green, w.sintered, w.by)
	return w
}

// aslant reports whether the direction is along no axis of the print.
func (w *readingRow) aslant() bool {
	d := w.was.PrintDirection
	if r3.Norm(d) == 0 {
		return false
	}
	for i := range 3 {
		if r3.Norm(r3.Cross(axisOf(i), d)) < 1e-6*r3.Norm(d) {
			return false
		}
	}
	return true
}

// setInstrument lists the instruments, and one that is not among them.
func (w *readingRow) setInstrument() {
	for _, i := range instruments() {
		w.by.Options = append(w.by.Options, i.name)
	}
	w.by.SetSelectedIndex(0)
	if w.was.ErrorMM == 0 {
		return
	}
	for i, t := range instruments() {
		if t.errorMM == w.was.ErrorMM {
			w.by.SetSelectedIndex(i)
			return
		}
	}
	w.foreign = true
	w.by.Options = append(w.by.Options, "±"+plainNumber(w.was.ErrorMM))
	w.by.SetSelectedIndex(len(w.by.Options) - 1)
}

// Reading gives the dimension; false where nothing of it is filled in.
func (w *readingRow) Reading() (book.Reading, bool) {
	r := w.was
	r.Name = strings.TrimSpace(w.name.Text)
	r.SinteredNominalMM, r.GreenMM, r.SinteredMM = numberOr(w.nominal), numberOr(w.green), numberOr(w.sintered)
	if r.GreenMM == 0 && r.SinteredMM == 0 {
		return r, false
	}
	if i := w.along.SelectedIndex(); i < 3 {
		if r3.Norm(r3.Cross(axisOf(i), r.PrintDirection)) > 1e-9 || r3.Norm(r.PrintDirection) == 0 {
			r.PrintDirection, r.PartDirection = axisOf(i), r3.Vec{}
		}
	}
	if i := w.by.SelectedIndex(); i < len(instruments()) {
		r.Instrument, r.ErrorMM = instruments()[i].name, instruments()[i].errorMM
	}
	if r.Name == "" {
		r.Name = w.along.Selected
	}
	return r, true
}

// readingTitles heads the columns of the dimensions.
func readingTitles() *fyne.Container {
	return container.New(&readingLayout{}, newSmall("name"), newSmall("of print"), newSmall("nominal"), newSmall("green"), newSmall("fired"), newSmall("measured by"))
}

// readingLayout sets the columns of a dimension.
type readingLayout struct{}

const (
	readingNumber  = 62
	readingAlong   = 76
	readingBy      = 140
	readingBetween = 6
)

// Layout places the columns; the name takes what is left.
func (*readingLayout) Layout(objects []fyne.CanvasObject, size fyne.Size) {
	widths := []float32{0, readingAlong, readingNumber, readingNumber, readingNumber, readingBy}
	rest := size.Width
	for _, w := range widths[1:] {
		rest -= w + readingBetween
	}
	widths[0] = rest
	x := float32(0)
	for i, o := range objects {
		o.Move(fyne.NewPos(x, 0))
		o.Resize(fyne.NewSize(widths[i], size.Height))
		x += widths[i] + readingBetween
	}
}

// MinSize is as high as the highest column.
func (*readingLayout) MinSize(objects []fyne.CanvasObject) fyne.Size {
	var h float32
	for _, o := range objects {
		h = max(h, o.MinSize().Height)
	}
	return fyne.NewSize(560, h)
}
