package window

import (
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/widget"

	"kilnpoise/app/window/kit"
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
	scroll *kit.Scroller
	intro  *kit.Prose
	rows   *fyne.Container
	beams  []*beamRow
	note   *kit.EscEntry
	result *fyne.Container
	keep   *kit.EscButton
	report *kit.Prose
}

// couponVerdict stands in place of a verdict on the coupon, whose way up is fixed.
const couponVerdict = "Print and fire the coupon as it is loaded, on its foot, the arms level; its sheet says how to measure it."

// couponIntro says what to do; the beams of the built-in coupon are filled in.
const couponIntro = "Print the built-in coupon, fire it with your parts, and measure on the top face of each beam how far its tip " +
	"has come down against its root, where it leaves the block. Sizes are of the sintered beam, mm; leave a beam empty that was not measured or has broken off."

func newCouponPanel() *couponPanel {
	p := &couponPanel{intro: kit.NewBody(couponIntro), rows: kit.NewPile(4), result: kit.NewPile(4), report: kit.NewSmall("")}
	leave := func() { kit.Call(p.OnDone) }
	p.note = kit.NewEscEntry(leave)
	p.note.SetPlaceHolder("note, such as the number of the firing")
	part := kit.NewLink("Open the built-in coupon", func() { kit.Call(p.OnPart) })
	more := kit.NewLink("One more beam", func() { p.add(furnace.Coupon{ThicknessMM: assets.CouponThicknessMM}); p.changed() })
	for _, l := range []*kit.Link{part, more} {
		l.OnKey = kit.EscapeKey(leave)
	}
	p.scroll = kit.NewScroller(kit.NewPile(0, kit.NewHeading("Fit the sag to a fired coupon"), kit.Gap(4), p.intro, kit.NewFlow(8, 0, part), kit.Gap(8),
		p.rows, kit.NewFlow(8, 0, more), kit.Gap(8), p.note, kit.Gap(8), p.result, kit.Gap(8)))
	p.keep = kit.NewEscButton("Keep in my records", p.keepIt, leave)
	p.keep.Importance = widget.HighImportance
	back := kit.NewEscButton("Back to the brief", leave, leave)
	p.box = container.NewBorder(nil, kit.NewPile(4, p.report, kit.NewFlow(6, 4, p.keep, back)), nil, nil, p.scroll)
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
	b := newBeamRow(c, p.changed, func() { kit.Call(p.OnDone) })
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
		p.result.Add(kit.NewItem(kit.NewDash(), kit.NewBody(kit.Typeset(l))))
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
	hold                  *kit.EscSelect
	span, thickness, drop *kit.NumberEntry
	box                   *fyne.Container
}

// The ways a beam is held, in the order of furnace.Hold.
func holdNames() []string { return []string{"one end held", "laid on both", "both ends held"} }

func newBeamRow(c furnace.Coupon, changed, escape func()) *beamRow {
	b := &beamRow{hold: kit.NewEscSelect(nil, escape)}
	b.hold.Options = holdNames()
	b.hold.SetSelectedIndex(int(c.Hold))
	b.hold.OnChanged = func(string) { changed() }
	entry := func(v float64) *kit.NumberEntry {
		e := kit.NewNumberEntry(0.001, 1000, beamEntry)
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
	for i, e := range []*kit.NumberEntry{b.span, b.thickness, b.drop} {
		n, err := e.Parse(e.Text)
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
	return container.New(&beamLayout{}, kit.NewSmall("beam"), kit.NewSmall("span, mm"), kit.NewSmall("thick, mm"), kit.NewSmall("sag, mm"))
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
