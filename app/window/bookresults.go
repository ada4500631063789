package window

import (
	"fmt"
	"image"
	"math"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/app/book"
	"kilnpoise/orient/process"
	"kilnpoise/render"
)

// bookResults shows what follows from the firings: the shrinkage of each axis with a
// chart, what lies off, densities, and what would change in the record.
type bookResults struct {
	OnTake, OnCoupons, OnEscape func()

	box    *fyne.Container
	column *fyne.Container
	scroll *scroller
	take   *escButton
}

func newBookResults() *bookResults {
	r := &bookResults{column: newPile(0)}
	r.scroll = newScroller(r.column)
	r.take = newEscButton("Take it over into my record", func() { call(r.OnTake) }, func() { call(r.OnEscape) })
	r.take.Importance = widget.HighImportance
	r.box = container.NewBorder(nil, nil, nil, nil, r.scroll)
	return r
}

// The size of a chart of one axis, in units of the window.
const firingChartWidth, firingChartHeight = 600, 150

// Set shows the outcome; scale is device pixels per unit.
func (r *bookResults) Set(v *bookView, scale float32) {
	out := []fyne.CanvasObject{newHeading("Shrinkage of this furnace"), gap(4)}
	if !v.fitted {
		out = append(out, newBody(v.why))
	} else {
		out = append(out, r.axes(v, scale)...)
		out = append(out, remarks("What to mind", append(outlierLines(&v.fit), append(v.density, v.fit.Remarks...)...))...)
		out = append(out, r.proposal(v)...)
	}
	if n := len(book.Coupons(v.firings)); n > 0 {
		fit := newLink("Fit the sag to "+plural(n, "beam")+" of the book", func() { call(r.OnCoupons) })
		fit.OnKey = escapeKey(func() { call(r.OnEscape) })
		out = append(out, newHeading("Creep coupons"), gap(2), newFlow(0, 0, fit), gap(8))
	}
	r.column.Objects = out
	r.column.Refresh()
	r.scroll.Reflow()
}

// axes tells and draws the three axes.
func (r *bookResults) axes(v *bookView, scale float32) []fyne.CanvasObject {
	var out []fyne.CanvasObject
	for k := range v.fit.Axes {
		out = append(out, newProse(roleStrong, theme.ColorNameForeground, "XYZ"[k:k+1]+" of the print"), newBody(typeset(axisLine(&v.fit.Axes[k], v.fit.Confidence))))
		if v.fit.Axes[k].Known {
			out = append(out, gap(2), newPictureOf(chartOfAxis(v, k, scale)))
		}
		out = append(out, gap(8))
	}
	return out
}

// axisLine tells what the firings say of one axis.
func axisLine(a *process.AxisFit, confidence float64) string {
	if !a.Known {
		return fullStop(upperFirst(a.Why))
	}
	text := fmt.Sprintf("%s on average, over %s and %s", percentage(a.Shrinkage, 2), plural(a.Firings, "firing"), plural(a.Readings, "reading"))
	if !math.IsNaN(a.Low) {
		text += fmt.Sprintf("; %.0f %% sure between %s and %s", 100*confidence, percentage(a.Low, 2), percentage(a.High, 2))
	}
	if !math.IsNaN(a.Spread) {
		text += fmt.Sprintf("; from part to part it spreads by %s (one standard deviation)", percentage(a.Spread, 2))
	}
	if d := a.Drift; !math.IsNaN(d.Per30Days) && d.Found {
		text += fmt.Sprintf("; it drifts by %s points in 30 days", minus(fmt.Sprintf("%+.2f", 100*d.Per30Days)))
	}
	return text + "."
}

func percentage(v float64, n int) string { return fixed(100*v, n) + " %" }

// outlierLines names what lies off.
func outlierLines(f *process.ShrinkageFit) []string {
	var out []string
	for _, o := range f.Outliers {
		out = append(out, o.Text())
	}
	return out
}

// remarks lists sentences under a heading; nothing where there are none.
func remarks(title string, lines []string) []fyne.CanvasObject {
	if len(lines) == 0 {
		return nil
	}
	out := []fyne.CanvasObject{newHeading(title), gap(4)}
	for _, l := range lines {
		out = append(out, newItem(newMark(markNote), newBody(typeset(fullStop(upperFirst(l))))), gap(4))
	}
	return append(out, gap(6))
}

// proposal shows old and new figures side by side.
func (r *bookResults) proposal(v *bookView) []fyne.CanvasObject {
	out := []fyne.CanvasObject{newHeading("Your record"), gap(4)}
	p := &v.proposal
	if len(p.Changes) == 0 {
		return append(out, newBody("The record in use says the same; nothing is to be changed."), gap(8))
	}
	for _, c := range p.Changes {
		text := fmt.Sprintf("%s %s: %s now, %s by the book", upperFirst(c.Label), c.Axis, percentage(c.Old, 2), percentage(c.New, 2))
		if c.WithinInterval {
			text += "; the firings do not contradict the old one"
		}
		out = append(out, newItem(newDash(), newBody(typeset(text+"."))), gap(3))
	}
	out = append(out, newItem(newDash(), newBody(typeset(fmt.Sprintf("Oversize %.4f, %.4f, %.4f now; %.4f, %.4f, %.4f by the book.",
		p.OversizeOld[0], p.OversizeOld[1], p.OversizeOld[2], p.OversizeNew[0], p.OversizeNew[1], p.OversizeNew[2])))), gap(6))
	for _, m := range p.Remarks {
		out = append(out, newSmall(typeset(fullStop(upperFirst(m)))))
	}
	return append(out, gap(4), newFlow(0, 0, r.take), gap(10))
}

// chartOfAxis draws the readings along an axis over the days.
func chartOfAxis(v *bookView, axis int, scale float32) *image.RGBA {
	a := &v.fit.Axes[axis]
	f := render.Firings{
		Label: "shrinkage " + "XYZ"[axis:axis+1] + ", %", Mean: a.Shrinkage, Low: a.Low, High: a.High,
		Record: recordShrinkage(v, axis), DriftFrom: math.NaN(), DriftTo: math.NaN(), First: v.fit.First, Last: v.fit.Last,
	}
	off := map[int]bool{}
	for _, o := range v.fit.Outliers {
		if o.Axis == axis || o.Index >= 0 {
			off[o.Index] = true
		}
	}
	for i, r := range book.Readings(v.firings) {
		d := r3.Unit(r.Direction)
		along := math.Abs([3]float64{d.X, d.Y, d.Z}[axis])
		const mostly = 0.7 // of the way along the axis
		if along < mostly {
			continue
		}
		f.Points = append(f.Points, render.FiringPoint{
			Date: r.Date, Shrinkage: r.ShrinkageSeen(), Error: math.Hypot(r.GreenErrorMM, r.SinteredErrorMM) / max(r.GreenMM, 1e-9),
			Outlier: off[i], LeftOut: r.LeftOut, Aslant: along < 0.999,
		})
	}
	palette := picturePalette()
	palette.Background = opaque(themed(colorRaised))
	chart, err := render.DrawFirings(f, int(firingChartWidth*scale), int(firingChartHeight*scale), float64(scale), palette)
	if err != nil {
		return image.NewRGBA(image.Rect(0, 0, 1, 1))
	}
	return chart.Image
}

// recordShrinkage gives what the record in use says.
func recordShrinkage(v *bookView, axis int) float64 {
	return 1 - 1/v.proposal.OversizeOld[axis]
}

// newPictureOf shows a chart at its size.
func newPictureOf(img *image.RGBA) fyne.CanvasObject {
	c := canvas.NewImageFromImage(img)
	c.ScaleMode, c.FillMode = canvas.ImageScaleFastest, canvas.ImageFillContain
	c.SetMinSize(fyne.NewSize(firingChartWidth, firingChartHeight))
	return newFlow(0, 0, c)
}
