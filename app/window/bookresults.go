package window

import (
	"fmt"
	"math"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/widget"

	"kilnpoise/app/book"
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
	scroll *scroller
	charts [3]*bookChart
	take   *escButton
	why    *prose
	// others are the materials and furnaces besides that have firings.
	others   []book.Pair
	pairName func(book.Pair) string
}

func newBookResults() *bookResults {
	r := &bookResults{column: newPile(0), why: newSmall("")}
	for k := range r.charts {
		r.charts[k] = newBookChart()
	}
	r.scroll = newScroller(r.column)
	escape := func() { call(r.OnEscape) }
	r.take = newEscButton("Take over into my record…", func() { call(r.OnTake) }, escape)
	r.take.Importance = widget.HighImportance
	r.take.Disable()
	bottom := newMiddleCells(10, []float32{natural, 0}, r.take, r.why)
	r.box = container.NewBorder(nil, newInset(0, 6, 0, 0, bottom), nil, nil, r.scroll)
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
		out = append(out, newHeading("No firing yet"), gap(4), newBody(emptyBook), gap(10))
		out = append(out, r.elsewhere()...)
	case !f.fitted:
		out = append(out, newHeading("Shrinkage"), gap(4), newBody(f.why), gap(10))
	default:
		out = append(out, newHeading("Shrinkage"), gap(2), newSmall(fitLine(&f.shrink)), gap(8))
		out = append(out, r.axes(f)...)
		out = append(out, newSmall(chartNote), gap(12))
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
		l := newLink(r.pairName(p)+": "+plural(p.Firings, "firing"), func() {
			if r.OnPair != nil {
				r.OnPair(p.Material, p.Furnace)
			}
		})
		l.OnKey = escapeKey(func() { call(r.OnEscape) })
		out = append(out, newFlow(0, 0, l))
	}
	if len(out) > 0 {
		out = append([]fyne.CanvasObject{newBody("The book has firings of:"), gap(2)}, out...)
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
			title += ":" + nbsp + percent(a.Shrinkage, 2)
		}
		words := newPile(1, newHeading(typeset(title)))
		for _, l := range axisLines(a, f.shrink.Confidence, record) {
			words.Add(newSmall(typeset(upperFirst(l))))
		}
		if !a.Known {
			out = append(out, words, gap(10))
			continue
		}
		out = append(out, newCells(14, []float32{axisWords, 0}, words, r.charts[k]), gap(10))
	}
	return out
}

// outliers names what lies off, with the way to it.
func (r *bookResults) outliers(f *bookFit) []fyne.CanvasObject {
	if len(f.shrink.Outliers) == 0 {
		return nil
	}
	out := []fyne.CanvasObject{newHeading("What lies off"), gap(4)}
	for _, o := range f.shrink.Outliers {
		out = append(out, newItem(newMark(markNote), newBody(typeset(fullStop(upperFirst(o.Text()))))))
		if id := f.firingOf(o); id != 0 {
			l := newLink("Open the firing", func() {
				if r.OnFiring != nil {
					r.OnFiring(id)
				}
			})
			l.OnKey = escapeKey(func() { call(r.OnEscape) })
			out = append(out, newInset(14, 0, 0, 0, newFlow(0, 0, l)))
		}
		out = append(out, gap(5))
	}
	return append(out, newSmall("Nothing is left out by itself. Where you know that it was a slip, leave the length out of the fit in its firing."), gap(12))
}

// noted lists sentences under a heading; nothing where there are none.
func noted(title string, lines []string) []fyne.CanvasObject {
	if len(lines) == 0 {
		return nil
	}
	out := []fyne.CanvasObject{newHeading(title), gap(4)}
	for _, l := range lines {
		out = append(out, newItem(newMark(markNote), newBody(typeset(l))), gap(5))
	}
	return append(out, gap(7))
}

// mostWeighed is how many density checks are shown.
const mostWeighed = 5

// densities shows what was weighed, the newest first.
func (r *bookResults) densities(f *bookFit) []fyne.CanvasObject {
	if len(f.density) == 0 {
		return nil
	}
	out := []fyne.CanvasObject{newHeading("Density"), gap(4)}
	for i := range f.density {
		if i == mostWeighed {
			out = append(out, newSmall(fmt.Sprintf("And %d older ones.", len(f.density)-i)), gap(5))
			break
		}
		w := &f.density[i]
		if len(w.check.Remarks) == 0 {
			out = append(out, newItem(newDash(), newBody(densityText(densityLine(w)))), gap(5))
			continue
		}
		out = append(out, newItem(newMark(markNote), newBody(densityText(densityLine(w)))))
		for _, t := range fullStops(w.check.Remarks) {
			out = append(out, newInset(18, 0, 0, 0, newSmall(densityText(t))))
		}
		out = append(out, gap(5))
	}
	return append(out, gap(7))
}

// coupons shows what the beams of the book fit to.
func (r *bookResults) coupons(f *bookFit) []fyne.CanvasObject {
	if len(f.beams) == 0 {
		return nil
	}
	out := []fyne.CanvasObject{newHeading("Sag of coupons"), gap(4)}
	for _, l := range f.sagLines() {
		out = append(out, newItem(newDash(), newBody(typeset(l))), gap(5))
	}
	if f.sagWhy == nil && f.known {
		take := newEscButton("Take the sag over…", func() { call(r.OnSag) }, func() { call(r.OnEscape) })
		out = append(out, newFlow(0, 0, take))
	}
	return append(out, gap(12))
}
