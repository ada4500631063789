package render

import (
	"cmp"
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"math"
	"slices"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg"
	vgdraw "gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/vgimg"
)

// Point is one candidate in a trade-off chart.
type Point struct {
	X, Y float64
	// Label is short: the rank.
	Label string
	// OnFront says that no other candidate beats this one in everything; the
	// rest are drawn lighter.
	OnFront bool
	// OffScale says that Y is beyond what can be given as a number (sag that
	// collapses): the point is drawn as a triangle at the top, Y is not used.
	OffScale bool
	// Chosen and AsLoaded are told by shape as well as by colour. Fails marks a
	// candidate that fails a gate: drawn as a cross.
	Chosen, AsLoaded, Fails bool
}

// Axes names what a trade-off chart shows: "support volume, mm³".
type Axes struct{ X, Y string }

// TradeOff draws one measure of the candidates against another, lower being
// better in both, and joins by steps those that no other candidate that passes
// its gates beats in these two. Points with NaN or infinite coordinates are left
// out. Width and height in device pixels.
func TradeOff(points []Point, axes Axes, width, height int, density float64, p Palette) (*image.RGBA, error) {
	if p.Ramp == nil {
		p = LightPalette()
	}
	if !(density > 0) {
		density = 1
	}
	points = slices.DeleteFunc(slices.Clone(points), func(q Point) bool {
		return !isNumber(q.X) || !q.OffScale && !isNumber(q.Y)
	})
	chart := newChart(axes, p)
	if err := addTradeOff(chart, points, p); err != nil {
		return nil, fmt.Errorf("trade-off chart: %w", err)
	}
	// At 72 dots per inch and density 1 a point of the chart is a pixel.
	c := vgimg.NewWith(
		vgimg.UseWH(vg.Length(float64(max(width, 1))/density), vg.Length(float64(max(height, 1))/density)),
		vgimg.UseDPI(int(math.Round(72*density))), vgimg.UseBackgroundColor(p.Background))
	chart.Draw(vgdraw.New(c))
	out := image.NewRGBA(image.Rect(0, 0, width, height))
	pour(out, p.Background)
	draw.Draw(out, out.Rect, c.Image(), image.Point{}, draw.Src)
	return out, nil
}

func isNumber(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }

// newChart gives an empty chart in the style of the house.
func newChart(axes Axes, p Palette) *plot.Plot {
	c := plot.New()
	c.BackgroundColor = p.Background
	sans := font.Font{Typeface: "Liberation", Variant: "Sans", Size: 10.5}
	small := sans
	small.Size = 9.5
	for _, a := range []struct {
		axis *plot.Axis
		text string
	}{{&c.X, axes.X}, {&c.Y, axes.Y}} {
		a.axis.Label.Text = a.text
		a.axis.Label.TextStyle.Font, a.axis.Label.TextStyle.Color = sans, p.Ink
		a.axis.Label.Padding = 3
		a.axis.Tick.Label.Font, a.axis.Tick.Label.Color = small, p.Quiet
		a.axis.Tick.Marker = fewTicks{}
		a.axis.LineStyle.Color, a.axis.Tick.LineStyle.Color = p.Quiet, p.Quiet
		a.axis.LineStyle.Width, a.axis.Tick.LineStyle.Width = 0.7, 0.7
		a.axis.Padding = 5
	}
	return c
}

// fewTicks are the default ticks without the unlabelled ones.
type fewTicks struct{}

// Ticks gives the labelled ticks of a range.
func (fewTicks) Ticks(lo, hi float64) []plot.Tick {
	return slices.DeleteFunc(plot.DefaultTicks{}.Ticks(lo, hi), func(t plot.Tick) bool { return t.IsMinor() })
}

// addTradeOff puts grid, joined front, marks and labels on the chart.
func addTradeOff(c *plot.Plot, points []Point, p Palette) error {
	grid := plotter.NewGrid()
	grid.Vertical.Color, grid.Horizontal.Color = faint(p.Quiet), faint(p.Quiet)
	c.Add(grid)
	setRanges(c, points)
	for i := range points { // a copy, see TradeOff
		if points[i].OffScale {
			points[i].Y = c.Y.Max - 0.04*(c.Y.Max-c.Y.Min)
		}
	}
	if len(points) == 0 {
		return nil
	}
	if front := lowerLeft(points); len(front) > 1 {
		line, err := plotter.NewLine(front)
		if err != nil {
			return err
		}
		line.StepStyle = plotter.PostStep
		line.Color, line.Width = p.Accent, 1.2
		line.Dashes = []vg.Length{4, 2.5}
		c.Add(line)
	}
	for _, q := range points {
		s, err := plotter.NewScatter(plotter.XYs{{X: q.X, Y: q.Y}})
		if err != nil {
			return err
		}
		s.GlyphStyle = glyphOf(q, p)
		c.Add(s)
	}
	return addLabels(c, points, p)
}

// setRanges starts both axes at zero, where nothing is spent, and leaves room
// for the marks at the far ends.
func setRanges(c *plot.Plot, points []Point) {
	c.X.Min, c.Y.Min, c.X.Max, c.Y.Max = 0, 0, 0, 0
	for _, q := range points {
		c.X.Min, c.X.Max = min(c.X.Min, q.X), max(c.X.Max, q.X)
		if q.OffScale {
			continue
		}
		c.Y.Min, c.Y.Max = min(c.Y.Min, q.Y), max(c.Y.Max, q.Y)
	}
	grow := func(a *plot.Axis) {
		if a.Max == a.Min {
			a.Max = a.Min + 1
		}
		a.Max += 0.15 * (a.Max - a.Min)
	}
	grow(&c.X)
	grow(&c.Y)
}

// lowerLeft gives, by rising X, the points that pass and that no other that
// passes beats in both.
func lowerLeft(points []Point) plotter.XYs {
	sorted := slices.DeleteFunc(slices.Clone(points), func(q Point) bool { return q.Fails || q.OffScale })
	slices.SortStableFunc(sorted, func(a, b Point) int {
		return cmp.Or(cmp.Compare(a.X, b.X), cmp.Compare(a.Y, b.Y))
	})
	var out plotter.XYs
	for _, q := range sorted {
		if len(out) == 0 || q.Y < out[len(out)-1].Y {
			out = append(out, plotter.XY{X: q.X, Y: q.Y})
		}
	}
	return out
}

// glyphOf tells the kinds of point apart by shape, size and colour.
func glyphOf(q Point, p Palette) vgdraw.GlyphStyle {
	g := vgdraw.GlyphStyle{Color: p.Quiet, Radius: 3, Shape: vgdraw.CircleGlyph{}}
	if q.OnFront {
		g.Color = p.Ink
	}
	if q.Fails {
		g.Shape = vgdraw.CrossGlyph{}
	}
	if q.OffScale {
		g.Shape = vgdraw.PyramidGlyph{}
	}
	if q.AsLoaded && !q.OffScale {
		g.Shape, g.Radius = vgdraw.SquareGlyph{}, 3.4
		if !q.Fails {
			g.Shape = vgdraw.BoxGlyph{}
		}
	}
	if q.Chosen {
		g.Color, g.Radius = p.Accent, 4.6
		if !q.AsLoaded && !q.Fails && !q.OffScale {
			g.Shape = vgdraw.CircleGlyph{}
		}
	}
	return g
}

// addLabels writes the labels beside the points; points at one place share one.
func addLabels(c *plot.Plot, points []Point, p Palette) error {
	data := plotter.XYLabels{}
	near := func(a, b, span float64) bool { return math.Abs(a-b) < 0.025*span }
	for _, q := range points {
		shared := false
		for i, at := range data.XYs {
			if near(at.X, q.X, c.X.Max-c.X.Min) && near(at.Y, q.Y, c.Y.Max-c.Y.Min) {
				data.Labels[i] += ", " + q.Label
				shared = true
				break
			}
		}
		if !shared {
			data.XYs = append(data.XYs, plotter.XY{X: q.X, Y: q.Y})
			data.Labels = append(data.Labels, q.Label)
		}
	}
	labels, err := plotter.NewLabels(data)
	if err != nil {
		return err
	}
	for i := range labels.TextStyle {
		labels.TextStyle[i].Font = font.Font{Typeface: "Liberation", Variant: "Sans", Size: 9.5}
		labels.TextStyle[i].Color = p.Ink
	}
	labels.Offset = vg.Point{X: 5, Y: 4}
	c.Add(labels)
	return nil
}

// faint is c nearly see-through.
func faint(c color.RGBA) color.NRGBA { return color.NRGBA{c.R, c.G, c.B, 70} }
