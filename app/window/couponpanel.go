package window

import (
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/widget"

	"kilnpoise/assets"
	"kilnpoise/orient/furnace"
)

// couponPanel takes what was measured on a fired creep coupon: for each beam how
// it was held, its span, its thickness and how far it has come down. It shows the
// fit as soon as there is one; what is kept is the window's to do.
type couponPanel struct {
	// OnFit gives the fit of the beams in words; ok is false where it cannot be
	// kept.
	OnFit func([]furnace.Coupon) (lines []string, ok bool)
	// OnKeep keeps the fit, with a note, and says how that ended.
	OnKeep func(beams []furnace.Coupon, note string) string
	// OnPart opens the built-in coupon, to be printed.
	OnPart func()
	OnDone func()

	box    *fyne.Container
	scroll *scroller
	intro  *prose
	rows   *fyne.Container
	beams  []*beamRow
	note   *escEntry
	result *fyne.Container
	keep   *escButton
	report *prose
}

// couponVerdict stands in place of a verdict on the coupon, whose way up is fixed.
const couponVerdict = "Print and fire the coupon as it is loaded, on its foot, the arms level; its sheet says how to measure it."

// couponIntro says what to do; the beams of the built-in coupon are filled in.
const couponIntro = "Print the built-in coupon, fire it with your parts, and measure on the top face of each beam how far its tip " +
	"has come down against its root, where it leaves the block. Sizes are of the sintered beam, mm; leave a beam empty that was not measured or has broken off."

func newCouponPanel() *couponPanel {
	p := &couponPanel{intro: newBody(couponIntro), rows: newPile(4), result: newPile(4), report: newSmall("")}
	leave := func() { call(p.OnDone) }
	p.note = newEscEntry(leave)
	p.note.SetPlaceHolder("note, such as the number of the firing")
	part := newLink("Open the built-in coupon", func() { call(p.OnPart) })
	more := newLink("One more beam", func() { p.add(furnace.Coupon{ThicknessMM: assets.CouponThicknessMM}); p.changed() })
	for _, l := range []*link{part, more} {
		l.OnKey = escapeKey(leave)
	}
	p.scroll = newScroller(newPile(0, newHeading("Fit the sag to a fired coupon"), gap(4), p.intro, newFlow(8, 0, part), gap(8),
		p.rows, newFlow(8, 0, more), gap(8), p.note, gap(8), p.result, gap(8)))
	p.keep = newEscButton("Keep in my records", p.keepIt, leave)
	p.keep.Importance = widget.HighImportance
	back := newEscButton("Back to the brief", leave, leave)
	p.box = container.NewBorder(nil, newPile(4, p.report, newFlow(6, 4, p.keep, back)), nil, nil, p.scroll)
	return p
}

// Begin shows the beams of the built-in coupon, not yet measured.
func (p *couponPanel) Begin() {
	p.beams, p.rows.Objects = nil, []fyne.CanvasObject{beamTitles()}
	for _, span := range assets.CouponSpansMM() {
		p.add(furnace.Coupon{SpanMM: span, ThicknessMM: assets.CouponThicknessMM})
	}
	p.note.SetText("")
	p.report.SetText("")
	p.changed()
	p.scroll.Top()
}

// add adds a beam.
func (p *couponPanel) add(c furnace.Coupon) {
	b := newBeamRow(c, p.changed, func() { call(p.OnDone) })
	p.beams = append(p.beams, b)
	p.rows.Add(b.box)
}

// Beams gives those that are filled in.
func (p *couponPanel) Beams() []furnace.Coupon {
	var out []furnace.Coupon
	for _, b := range p.beams {
		if c, ok := b.Beam(); ok {
			out = append(out, c)
		}
	}
	return out
}

// changed shows the fit of what is filled in.
func (p *couponPanel) changed() {
	lines, ok := []string{"No beam is filled in yet."}, false
	if beams := p.Beams(); len(beams) > 0 && p.OnFit != nil {
		lines, ok = p.OnFit(beams)
	}
	p.result.Objects = nil
	for _, l := range lines {
		p.result.Add(newItem(newDash(), newBody(typeset(l))))
	}
	if ok {
		p.keep.Enable()
	} else {
		p.keep.Disable()
	}
	p.scroll.Reflow()
}

func (p *couponPanel) keepIt() {
	if p.OnKeep == nil {
		return
	}
	p.report.SetText(p.OnKeep(p.Beams(), strings.TrimSpace(p.note.Text)))
	p.box.Refresh()
}

// beamRow takes one beam.
type beamRow struct {
	hold                  *escSelect
	span, thickness, drop *numberEntry
	box                   *fyne.Container
}

// The ways a beam is held, in the order of furnace.Hold.
func holdNames() []string { return []string{"one end held", "laid on both", "both ends held"} }

func newBeamRow(c furnace.Coupon, changed, escape func()) *beamRow {
	b := &beamRow{hold: newEscSelect(nil, escape)}
	b.hold.Options = holdNames()
	b.hold.SetSelectedIndex(int(c.Hold))
	b.hold.OnChanged = func(string) { changed() }
	entry := func(v float64) *numberEntry {
		e := newNumberEntry(0.001, 1000, beamEntry)
		if v > 0 {
			e.SetNumber(v)
		}
		e.OnNumber = func(float64) { changed() }
		e.OnEscape = escape
		return e
	}
	b.span, b.thickness, b.drop = entry(c.SpanMM), entry(c.ThicknessMM), entry(c.SagMM)
	b.box = container.New(&beamLayout{}, b.hold, b.span, b.thickness, b.drop)
	return b
}

// Beam gives the beam; false while it is not filled in.
func (b *beamRow) Beam() (furnace.Coupon, bool) {
	var v [3]float64
	for i, e := range []*numberEntry{b.span, b.thickness, b.drop} {
		n, err := e.parse(e.Text)
		if err != nil {
			return furnace.Coupon{}, false
		}
		v[i] = n
	}
	return furnace.Coupon{
		Hold: furnace.Hold(b.hold.SelectedIndex()), SpanMM: v[0], ThicknessMM: v[1], SagMM: v[2],
	}, true
}

// beamTitles heads the columns of the beams.
func beamTitles() *fyne.Container {
	return container.New(&beamLayout{}, newSmall("beam"), newSmall("span, mm"), newSmall("thick, mm"), newSmall("sag, mm"))
}

// beamLayout sets a wide column and three of numbers.
type beamLayout struct{}

const beamEntry = 66

// Layout places the columns.
func (*beamLayout) Layout(objects []fyne.CanvasObject, size fyne.Size) {
	const space = 6
	first := size.Width - 3*(beamEntry+space)
	x := float32(0)
	for i, o := range objects {
		w := float32(beamEntry)
		if i == 0 {
			w = first
		}
		o.Move(fyne.NewPos(x, 0))
		o.Resize(fyne.NewSize(w, size.Height))
		x += w + space
	}
}

// MinSize is as high as the highest column.
func (*beamLayout) MinSize(objects []fyne.CanvasObject) fyne.Size {
	var h float32
	for _, o := range objects {
		h = max(h, o.MinSize().Height)
	}
	return fyne.NewSize(300, h)
}
