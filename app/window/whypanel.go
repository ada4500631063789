package window

import (
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/widget"

	"kilnpoise/app/window/kit"
	"kilnpoise/orient"
)

// whyPanel says why: the reasons in sentences, what stands in the way, the table
// of measures, the doubts, and at the end the way out.
type whyPanel struct {
	widget.BaseWidget
	// OnHandOver is called by the button at the end.
	OnHandOver func()
	// OnRegion asks to be shown a region of the support plan, by its place there;
	// OnLeave to leave it out, or to take it back.
	OnRegion, OnLeave func(item int)
	// OnKey gets the keys that the button has no use for.
	OnKey func(*fyne.KeyEvent)

	column *fyne.Container
	scroll *kit.Scroller
	table  *measureTable
	trade  *tradeView
	hand   *kit.EscButton
	sphere *sphereView
}

func newWhyPanel() *whyPanel {
	p := &whyPanel{column: kit.NewPile(0), table: newMeasureTable()}
	p.scroll = kit.NewScroller(p.column)
	p.hand = kit.NewEscButton("Hand over…", func() { kit.Call(p.OnHandOver) }, nil)
	p.hand.OnKey = func(e *fyne.KeyEvent) {
		if p.OnKey != nil {
			p.OnKey(e)
		}
	}
	p.hand.Importance = widget.HighImportance
	p.hand.Disable()
	pass := func(e *fyne.KeyEvent) {
		if p.OnKey != nil {
			p.OnKey(e)
		}
	}
	p.trade, p.sphere = newTradeView(pass), newSphereView(pass)
	p.ExtendBaseWidget(p)
	return p
}

// Set shows the case for c against others; laying is what to do about how it stands in
// the furnace, notes are doubts about the whole.
// ready lets the user hand over; left are the regions of the support plan that are
// left out; mapped shows the map of every way up.
func (p *whyPanel) Set(c *orient.Candidate, others []comparison, laying, notes []string, ready bool, left []int, mapped bool) {
	var out []fyne.CanvasObject
	if c != nil {
		out = append(out, kit.NewHeading("Why"), kit.Gap(4))
		out = append(out, reasonItems(c)...)
		out = append(out, kit.NewSmall(turnsLine(c)))
		out = append(out, toleranceItems(c)...)
		out = append(out, kit.Gap(12), kit.NewHeading("Measured"), kit.Gap(2), p.table, kit.Gap(4))
		out = append(out, kit.NewSmall("Arrows: the number is higher or lower than this one’s."), kit.Gap(10))
		p.setTable(c, others)
		out = append(out, p.supportItems(c, left)...)
		out = append(out, furnaceItems(c, laying)...)
		if ready {
			out = append(out, p.trade.box)
			if mapped {
				out = append(out, p.sphere.box)
			}
		}
	}
	if len(notes) > 0 {
		out = append(out, kit.NewHeading("Doubts"), kit.Gap(4))
		for _, n := range notes {
			out = append(out, kit.NewItem(kit.NewMark(kit.MarkNote), kit.NewBody(kit.Typeset(kit.FullStop(kit.UpperFirst(n))))), kit.Gap(5))
		}
	}
	p.column.Objects = out
	if ready {
		p.hand.Enable()
	} else {
		p.hand.Disable()
	}
	p.column.Refresh()
	p.scroll.Reflow()
}

func (p *whyPanel) setTable(c *orient.Candidate, others []comparison) {
	titles := []string{"this one"}
	for _, o := range others {
		titles = append(titles, o.title)
	}
	p.table.Set(titles, tableLines(c, others))
}

// reasonItems lists the reasons; those that tell of a failed gate come first and
// are marked.
func reasonItems(c *orient.Candidate) []fyne.CanvasObject {
	var out []fyne.CanvasObject
	for _, r := range c.OtherReasons() {
		var mark fyne.CanvasObject = kit.NewDash()
		switch {
		case strings.HasPrefix(r, "Fails the gate"):
			mark = kit.NewMark(kit.MarkFails)
		case strings.HasPrefix(r, "In doubt at the gate"):
			mark = kit.NewMark(kit.MarkNote)
		}
		out = append(out, kit.NewItem(mark, kit.NewBody(kit.Typeset(r))), kit.Gap(5))
	}
	if line := passedLine(c); line != "" {
		out = append(out, kit.NewItem(kit.NewMark(kit.MarkPasses), kit.NewBody(line)), kit.Gap(2))
	}
	return out
}

const handBarHeight = 52

// CreateRenderer makes the renderer.
func (p *whyPanel) CreateRenderer() fyne.WidgetRenderer {
	return &whyRenderer{panel: p, rule: kit.Hairline()}
}

type whyRenderer struct {
	panel *whyPanel
	rule  fyne.CanvasObject
}

func (r *whyRenderer) MinSize() fyne.Size { return fyne.NewSize(300, 160) }

func (r *whyRenderer) Layout(size fyne.Size) {
	p := r.panel
	top := size.Height - handBarHeight
	p.scroll.Resize(fyne.NewSize(size.Width, top))
	r.rule.Move(fyne.NewPos(0, top))
	r.rule.Resize(fyne.NewSize(size.Width, 1))
	h := p.hand.MinSize().Height + 4
	p.hand.Move(fyne.NewPos(0, top+(handBarHeight-h)/2))
	p.hand.Resize(fyne.NewSize(size.Width, h))
}

func (r *whyRenderer) Refresh() { r.Layout(r.panel.Size()) }

func (r *whyRenderer) Objects() []fyne.CanvasObject {
	return []fyne.CanvasObject{r.panel.scroll, r.rule, r.panel.hand}
}

func (r *whyRenderer) Destroy() {}
