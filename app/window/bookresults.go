package window

import (
	"fmt"
	"math"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/widget"

	"kilnpoise/app/book"
	"kilnpoise/app/window/kit"
)

// bookResults shows what follows from the firings: the shrinkage of each axis with
// a chart, what lies off, densities and coupons.
type bookResults struct {
	// OnTake and OnSag ask to take shrinkage or sag over into the record, OnFiring
	// to open a firing.
	OnTake, OnSag, OnEscape func()
	OnFiring                func(id int64)
	// OnPair asks for the firings of another material and furnace.
	OnPair func(material, furnace string)

	box    *fyne.Container
	column *fyne.Container
	scroll *kit.Scroller
	charts [3]*bookChart
	take   *kit.EscButton
	why    *kit.Prose
	// others are the materials and furnaces besides that have firings.
	others   []book.Pair
	pairName func(book.Pair) string
}

func newBookResults() *bookResults {
	r := &bookResults{column: kit.NewPile(0), why: kit.NewSmall("")}
	for k := range r.charts {
		r.charts[k] = newBookChart()
	}
	r.scroll = kit.NewScroller(r.column)
	escape := func() { kit.Call(r.OnEscape) }
	r.take = kit.NewEscButton("Take over into my record…", func() { kit.Call(r.OnTake) }, escape)
	r.take.Importance = widget.HighImportance
	r.take.Disable()
	bottom := newMiddleCells(10, []float32{natural, 0}, r.take, r.why)
	r.box = container.NewBorder(nil, kit.NewInset(0, 6, 0, 0, bottom), nil, nil, r.scroll)
	return r
}

// SetBusy says that the fit is being worked out.
func (r *bookResults) SetBusy(any bool) {
	r.take.Disable()
	r.why.SetText("")
	if any {
		r.why.SetText("Working out what follows …")
	}
	r.box.Refresh()
}

// Set shows the outcome.
func (r *bookResults) Set(f *bookFit) {
	var out []fyne.CanvasObject
	switch {
	case len(f.firings) == 0:
		out = append(out, kit.NewHeading("No firing yet"), kit.Gap(4), kit.NewBody(emptyBook), kit.Gap(10))
		out = append(out, r.elsewhere()...)
	case !f.fitted:
		out = append(out, kit.NewHeading("Shrinkage"), kit.Gap(4), kit.NewBody(f.why), kit.Gap(10))
	default:
		out = append(out, kit.NewHeading("Shrinkage"), kit.Gap(2), kit.NewSmall(fitLine(&f.shrink)), kit.Gap(8))
		out = append(out, r.axes(f)...)
		out = append(out, kit.NewSmall(chartNote), kit.Gap(12))
		out = append(out, r.outliers(f)...)
		out = append(out, noted("What to mind", fullStops(f.shrink.Remarks))...)
	}
	out = append(out, r.densities(f)...)
	out = append(out, r.coupons(f)...)
	r.column.Objects = out
	r.settle(f)
	r.column.Refresh()
	r.scroll.Reflow()
	r.box.Refresh()
}

// emptyBook says how to begin.
const emptyBook = "When a part comes back from the furnace, enter what it measured green and what it measures now. " +
	"A part can be entered green on the day it is printed and completed when it is back. From the second firing on the book says how far firings differ."

// elsewhere leads to the firings that there are.
func (r *bookResults) elsewhere() []fyne.CanvasObject {
	var out []fyne.CanvasObject
	for _, p := range r.others {
		l := kit.NewLink(r.pairName(p)+": "+kit.Plural(p.Firings, "firing"), func() {
			if r.OnPair != nil {
				r.OnPair(p.Material, p.Furnace)
			}
		})
		l.OnKey = kit.EscapeKey(func() { kit.Call(r.OnEscape) })
		out = append(out, kit.NewFlow(0, 0, l))
	}
	if len(out) > 0 {
		out = append([]fyne.CanvasObject{kit.NewBody("The book has firings of:"), kit.Gap(2)}, out...)
	}
	return out
}

// settle says whether the figures can be taken over.
func (r *bookResults) settle(f *bookFit) {
	text := ""
	switch {
	case !f.fitted:
		text = "There is nothing to take over yet."
	case !f.known:
		text = "There is no record of this material to take the figures over into."
	}
	enable(r.take, text == "")
	r.why.SetText(text)
}

// The width of the words beside a chart.
const axisWords = 196

// axes tells and draws the three axes.
func (r *bookResults) axes(f *bookFit) []fyne.CanvasObject {
	var out []fyne.CanvasObject
	for k := range f.shrink.Axes {
		a := &f.shrink.Axes[k]
		record := math.NaN()
		if f.known {
			record = f.record.Shrinkage[k]
		}
		title := "XYZ"[k : k+1]
		if a.Known {
			title += ":" + kit.NBSP + percent(a.Shrinkage, 2)
		}
		words := kit.NewPile(1, kit.NewHeading(kit.Typeset(title)))
		for _, l := range axisLines(a, f.shrink.Confidence, record) {
			words.Add(kit.NewSmall(kit.Typeset(kit.UpperFirst(l))))
		}
		if !a.Known {
			out = append(out, words, kit.Gap(10))
			continue
		}
		out = append(out, newCells(14, []float32{axisWords, 0}, words, r.charts[k]), kit.Gap(10))
	}
	return out
}

// outliers names what lies off, with the way to it.
func (r *bookResults) outliers(f *bookFit) []fyne.CanvasObject {
	if len(f.shrink.Outliers) == 0 {
		return nil
	}
	out := []fyne.CanvasObject{kit.NewHeading("What lies off"), kit.Gap(4)}
	for _, o := range f.shrink.Outliers {
		out = append(out, kit.NewItem(kit.NewMark(kit.MarkNote), kit.NewBody(kit.Typeset(kit.FullStop(kit.UpperFirst(o.Text()))))))
		if id := f.firingOf(o); id != 0 {
			l := kit.NewLink("Open the firing", func() {
				if r.OnFiring != nil {
					r.OnFiring(id)
				}
			})
			l.OnKey = kit.EscapeKey(func() { kit.Call(r.OnEscape) })
			out = append(out, kit.NewInset(14, 0, 0, 0, kit.NewFlow(0, 0, l)))
		}
		out = append(out, kit.Gap(5))
	}
	return append(out, kit.NewSmall("Nothing is left out by itself. Where you know that it was a slip, leave the length out of the fit in its firing."), kit.Gap(12))
}

// noted lists sentences under a heading; nothing where there are none.
func noted(title string, lines []string) []fyne.CanvasObject {
	if len(lines) == 0 {
		return nil
	}
	out := []fyne.CanvasObject{kit.NewHeading(title), kit.Gap(4)}
	for _, l := range lines {
		out = append(out, kit.NewItem(kit.NewMark(kit.MarkNote), kit.NewBody(kit.Typeset(l))), kit.Gap(5))
	}
	return append(out, kit.Gap(7))
}

// mostWeighed is how many density checks are shown.
const mostWeighed = 5

// densities shows what was weighed, the newest first.
func (r *bookResults) densities(f *bookFit) []fyne.CanvasObject {
	if len(f.density) == 0 {
		return nil
	}
	out := []fyne.CanvasObject{kit.NewHeading("Density"), kit.Gap(4)}
	for i := range f.density {
		if i == mostWeighed {
			out = append(out, kit.NewSmall(fmt.Sprintf("And %d older ones.", len(f.density)-i)), kit.Gap(5))
			break
		}
		w := &f.density[i]
		if len(w.check.Remarks) == 0 {
			out = append(out, kit.NewItem(kit.NewDash(), kit.NewBody(densityText(densityLine(w)))), kit.Gap(5))
			continue
		}
		out = append(out, kit.NewItem(kit.NewMark(kit.MarkNote), kit.NewBody(densityText(densityLine(w)))))
		for _, t := range fullStops(w.check.Remarks) {
			out = append(out, kit.NewInset(18, 0, 0, 0, kit.NewSmall(densityText(t))))
		}
		out = append(out, kit.Gap(5))
	}
	return append(out, kit.Gap(7))
}

// coupons shows what the beams of the book fit to.
func (r *bookResults) coupons(f *bookFit) []fyne.CanvasObject {
	if len(f.beams) == 0 {
		return nil
	}
	out := []fyne.CanvasObject{kit.NewHeading("Sag of coupons"), kit.Gap(4)}
	for _, l := range f.sagLines() {
		out = append(out, kit.NewItem(kit.NewDash(), kit.NewBody(kit.Typeset(l))), kit.Gap(5))
	}
	if f.sagWhy == nil && f.known {
		take := kit.NewEscButton("Take the sag over…", func() { kit.Call(r.OnSag) }, func() { kit.Call(r.OnEscape) })
		out = append(out, kit.NewFlow(0, 0, take))
	}
	return append(out, kit.Gap(12))
}
