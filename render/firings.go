package render

import (
	"fmt"
	"image"
	"image/draw"
	"math"
	"time"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg"
	vgdraw "gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/vgimg"
)

// FiringPoint is one reading in a chart of firings. Shrinkages are fractions.
type FiringPoint struct {
	Date time.Time
	// Shrinkage is what the reading shows, Error its standard uncertainty by the
	// instrument, drawn as a bar either way; NaN or 0 for none.
	Shrinkage, Error float64
	// Outlier, LeftOut and Aslant are told by shape: a triangle, a cross and a ring
	// in place of a dot.
	Outlier, LeftOut, Aslant bool
}

// Firings is the shrinkage along one axis, firing by firing. NaN leaves a line
// out.
type Firings struct {
	// Label names the axis of the chart: "shrinkage along X, %".
	Label  string
	Points []FiringPoint
	// Mean is drawn as a line, Low to High as a band about it, Record as a line of
	// dashes.
	Mean, Low, High, Record float64
	// DriftFrom and DriftTo are where a drift stands at the first and the last
	// date: dots join them.
	DriftFrom, DriftTo float64
	// First and Last bound the dates, so that charts below each other agree; zero
	// takes those of the points.
	First, Last time.Time
}

// DrawFirings draws the chart. Points without a date or a number are left out.
// Width and height in device pixels; density is pixels for each unit of the type. A
// background without alpha leaves the picture clear.
// Points of the chart that is given are those of f.
func DrawFirings(f Firings, width, height int, density float64, p Palette) (*Chart, error) {
	if p.Ramp == nil {
		p = LightPalette()
	}
	if !(density > 0) {
		density = 1
	}
	width, height = max(width, 1), max(height, 1)
	d := firingDrawing{Firings: f, palette: p, wide: float64(width) / density}
	d.pick()
	chart := newChart(Axes{Y: f.Label}, p)
	d.setRanges(chart)
	if err := d.add(chart); err != nil {
		return nil, fmt.Errorf("chart of firings: %w", err)
	}
	dpi := int(math.Round(72 * density)) // a point of the chart is a unit of the type
	c := vgimg.NewWith(
		vgimg.UseWH(vg.Length(float64(width)/density), vg.Length(float64(height)/density)),
		vgimg.UseDPI(dpi), vgimg.UseBackgroundColor(p.Background))
	canvas := vgdraw.New(c)
	chart.Draw(canvas)
	out := &Chart{Image: image.NewRGBA(image.Rect(0, 0, width, height)), reach: 12 * density}
	pour(out.Image, p.Background)
	draw.Draw(out.Image, out.Image.Rect, c.Image(), image.Point{}, draw.Src)
	data := chart.DataCanvas(canvas)
	toX, toY := chart.Transforms(&data)
	perPoint, high := float64(dpi)/72, float64(c.Image().Bounds().Dy())
	for i, at := range d.places {
		out.dots = append(out.dots, chartDot{x: float64(toX(at.X)) * perPoint, y: high - float64(toY(at.Y))*perPoint, of: d.of[i]})
	}
	return out, nil
}

// firingDrawing is a chart of firings on its way: x in days, y in percent.
type firingDrawing struct {
	Firings
	palette Palette
	// wide is the width of the picture in points.
	wide float64
	// kept are the points that are drawn, of their places in Points.
	kept   []FiringPoint
	of     []int
	places plotter.XYs
	// first and last are the ends of the lines; what lies beyond last is for words.
	first, last float64
	// driftFirst and driftLast are the first and the last date.
	driftFirst, driftLast float64
	low, high             float64
}

// dayOf counts days, so that a chart has small even numbers.
func dayOf(t time.Time) float64 { return float64(t.Unix()) / (24 * 60 * 60) }

// pick takes the points that can be drawn and finds the dates.
func (d *firingDrawing) pick() {
	first, last := math.Inf(1), math.Inf(-1)
	see := func(t time.Time) {
		if !t.IsZero() {
			first, last = math.Min(first, dayOf(t)), math.Max(last, dayOf(t))
		}
	}
	for i, q := range d.Points {
		if q.Date.IsZero() || !isNumber(q.Shrinkage) {
			continue
		}
		d.kept, d.of = append(d.kept, q), append(d.of, i)
		see(q.Date)
	}
	see(d.First)
	see(d.Last)
	if first > last {
		first, last = dayOf(time.Date(2000, 1, 1, 0, 0, 0, 0, time.UTC)), dayOf(time.Date(2000, 1, 11, 0, 0, 0, 0, time.UTC))
	}
	d.driftFirst, d.driftLast = first, last
	const leastDays, pad = 8, 0.06
	if short := leastDays - (last - first); short > 0 {
		first, last = first-short/2, last+short/2
	}
	margin := pad * (last - first)
	d.first, d.last = first-margin, last+margin
}

// wordRoom is what the words beside the lines take, in points.
const wordRoom = 74

// setRanges makes room for everything that is drawn; the band may reach beyond,
// since that of two firings is far wider than what there is to see.
func (d *firingDrawing) setRanges(c *plot.Plot) {
	low, high := math.Inf(1), math.Inf(-1)
	see := func(v float64) {
		if isNumber(v) {
			low, high = math.Min(low, 100*v), math.Max(high, 100*v)
		}
	}
	for _, q := range d.kept {
		see(q.Shrinkage - orNone(q.Error))
		see(q.Shrinkage + orNone(q.Error))
	}
	for _, v := range []float64{d.Mean, d.Record, d.DriftFrom, d.DriftTo} {
		see(v)
	}
	if low > high {
		low, high = 15, 20
	}
	const leastSpan, bandShare, pad = 0.2, 0.75, 0.08
	if short := leastSpan - (high - low); short > 0 {
		low, high = low-short/2, high+short/2
	}
	if reach := bandShare * (high - low); isNumber(d.Low) && isNumber(d.High) {
		low, high = math.Min(low, math.Max(100*d.Low, low-reach)), math.Max(high, math.Min(100*d.High, high+reach))
	}
	margin := pad * (high - low)
	d.low, d.high = low-margin, high+margin
	c.Y.Min, c.Y.Max = d.low, d.high
	c.X.Min = d.first
	c.X.Max = d.last + (d.last-d.first)*wordRoom/math.Max(d.wide-wordRoom-60, 60)
	c.X.Tick.Marker = dateTicks{last: d.last, most: int(math.Max((d.wide-wordRoom-60)/68, 1))}
	c.Y.Tick.Marker = percentTicks{most: 5}
	c.X.Padding, c.Y.Padding = 2, 2
	c.X.Tick.Length, c.Y.Tick.Length = 4, 4
}

// orNone gives 0 for an error that is not known.
func orNone(v float64) float64 {
	if v > 0 && isNumber(v) {
		return v
	}
	return 0
}

// add puts everything on the chart, the lines below the points.
func (d *firingDrawing) add(c *plot.Plot) error {
	grid := plotter.NewGrid()
	grid.Vertical.Color, grid.Horizontal.Color = nil, faint(d.palette.Quiet)
	c.Add(grid)
	if err := d.addLines(c); err != nil {
		return err
	}
	d.spread()
	if err := d.addBars(c); err != nil {
		return err
	}
	for i, q := range d.kept {
		ground := vgdraw.GlyphStyle{Color: d.palette.Background, Radius: 2.6, Shape: vgdraw.CircleGlyph{}}
		styles := []vgdraw.GlyphStyle{ground, firingGlyph(q, d.palette)} // a ring hides its bar
		if !q.Aslant || d.palette.Background.A == 0 {
			styles = styles[1:]
		}
		for _, style := range styles {
			s, err := plotter.NewScatter(plotter.XYs{d.places[i]})
			if err != nil {
				return err
			}
			s.GlyphStyle = style
			c.Add(s)
		}
	}
	return d.addWords(c)
}

// firingGlyph tells the kinds of reading apart by shape, size and colour.
func firingGlyph(q FiringPoint, p Palette) vgdraw.GlyphStyle {
	switch {
	case q.LeftOut:
		return vgdraw.GlyphStyle{Color: p.Ink, Radius: 3.4, Shape: vgdraw.CrossGlyph{}}
	case q.Outlier:
		return vgdraw.GlyphStyle{Color: p.Ink, Radius: 4.4, Shape: vgdraw.PyramidGlyph{}}
	case q.Aslant:
		return vgdraw.GlyphStyle{Color: p.Ink, Radius: 2.6, Shape: vgdraw.RingGlyph{}}
	default:
		return vgdraw.GlyphStyle{Color: p.Ink, Radius: 2.4, Shape: vgdraw.CircleGlyph{}}
	}
}
