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

	"kilnpoise/orient"
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
	// OffScaleX is the same for X, at the right.
	OffScale, OffScaleX bool
	// Chosen and AsLoaded are told by shape as well as by colour. Fails marks a
	// candidate that fails a gate: drawn as a cross.
	Chosen, AsLoaded, Fails bool
}

// off tells whether the point has no place of its own.
func (q *Point) off() bool { return q.OffScale || q.OffScaleX }

// Axes names what a trade-off chart shows: "support volume, mm³". Less is better
// unless MoreX or MoreY say otherwise.
type Axes struct {
	X, Y         string
	MoreX, MoreY bool
}

// TradeOffOf sets candidates as points of a chart of any two measures; chosen is
// the rank of the one that stands out. Point i is all[i].
func TradeOffOf(all []orient.Candidate, chosen int, x, y Measure) ([]Point, Axes) {
	points := make([]Point, len(all))
	for i := range all {
		c := &all[i]
		p := Point{
			X: x.OfCandidate(c), Y: y.OfCandidate(c), Label: fmt.Sprint(c.Rank), OnFront: c.OnFront, Chosen: c.Rank == chosen,
			AsLoaded: c.Origin == orient.AsLoaded, Fails: !c.Passes(),
		}
		p.OffScaleX, p.OffScale = math.IsInf(p.X, 1), math.IsInf(p.Y, 1)
		points[i] = p
	}
	return points, Axes{X: axisText(x), Y: axisText(y), MoreX: x.MoreIsBetter, MoreY: y.MoreIsBetter}
}

func axisText(m Measure) string {
	if m.MoreIsBetter {
		return m.Label() + " (more is better)"
	}
	return m.Label()
}

// TradeOff draws one measure of the candidates against another and joins by steps
// those that no other candidate that passes its gates beats in these two. Points
// with NaN or infinite coordinates are left out, but for those off the scale.
// Width and height in device pixels.
func TradeOff(points []Point, axes Axes, width, height int, density float64, p Palette) (*image.RGBA, error) {
	c, err := DrawTradeOff(points, axes, width, height, density, p)
	if err != nil {
		return nil, err
	}
	return c.Image, nil
}

// Chart is a trade-off chart as drawn. It is not changed any more.
type Chart struct {
	Image *image.RGBA
	dots  []chartDot
	reach float64
}

// chartDot is where a point is drawn, pixels.
type chartDot struct {
	x, y   float64
	of     int
	chosen bool
}

// PointAt gives the index of the point nearest to x, y, pixels from the upper left
// corner; false where none is near enough to be meant. Of several at one place
// one that is not chosen is given, so that a second click takes the next.
func (c *Chart) PointAt(x, y float64) (index int, ok bool) {
	const same = 0.5 // pixels
	best := c.reach
	beaten := false // what was found is the chosen one
	for _, d := range c.dots {
		away := math.Hypot(d.x-x, d.y-y)
		if away < best-same || ok && beaten && away <= best+same || !ok && away <= best {
			index, best, beaten, ok = d.of, away, d.chosen, true
		}
	}
	return index, ok
}

// DrawTradeOff is TradeOff for a chart that is clicked on.
func DrawTradeOff(points []Point, axes Axes, width, height int, density float64, p Palette) (*Chart, error) {
	if p.Ramp == nil {
		p = LightPalette()
	}
	if !(density > 0) {
		density = 1
	}
	width, height = max(width, 1), max(height, 1)
	var kept []Point
	var of []int
	for i, q := range points {
		if (q.OffScaleX || isNumber(q.X)) && (q.OffScale || isNumber(q.Y)) {
			kept, of = append(kept, q), append(of, i)
		}
	}
	chart := newChart(axes, p)
	if err := addTradeOff(chart, kept, axes, p); err != nil {
		return nil, fmt.Errorf("trade-off chart: %w", err)
	}
	// At 72 dots per inch and density 1 a point of the chart is a pixel.
	dpi := int(math.Round(72 * density))
	c := vgimg.NewWith(
		vgimg.UseWH(vg.Length(float64(width)/density), vg.Length(float64(height)/density)),
		vgimg.UseDPI(dpi), vgimg.UseBackgroundColor(p.Background))
	canvas := vgdraw.New(c)
	chart.Draw(canvas)
	out := &Chart{Image: image.NewRGBA(image.Rect(0, 0, width, height)), reach: 16 * density}
	pour(out.Image, p.Background)
	draw.Draw(out.Image, out.Image.Rect, c.Image(), image.Point{}, draw.Src)
	data := chart.DataCanvas(canvas)
	toX, toY := chart.Transforms(&data)
	perPoint, high := float64(dpi)/72, float64(c.Image().Bounds().Dy())
	for i, q := range kept {
		out.dots = append(out.dots, chartDot{
			x: float64(toX(q.X)) * perPoint, y: high - float64(toY(q.Y))*perPoint, of: of[i], chosen: q.Chosen,
		})
	}
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

// addTradeOff puts grid, joined front, marks and labels on the chart. It sets the
// points that are off the scale on its edge.
func addTradeOff(c *plot.Plot, points []Point, axes Axes, p Palette) error {
	grid := plotter.NewGrid()
	grid.Vertical.Color, grid.Horizontal.Color = faint(p.Quiet), faint(p.Quiet)
	c.Add(grid)
	setRanges(c, points)
	const inset = 0.04
	for i := range points {
		if points[i].OffScale {
			points[i].Y = c.Y.Max - inset*(c.Y.Max-c.Y.Min)
		}
		if points[i].OffScaleX {
			points[i].X = c.X.Max - inset*(c.X.Max-c.X.Min)
		}
	}
	if len(points) == 0 {
		return nil
	}
	if front := unbeaten(points, axes); len(front) > 1 {
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
		if !q.OffScaleX {
			c.X.Min, c.X.Max = min(c.X.Min, q.X), max(c.X.Max, q.X)
		}
		if !q.OffScale {
			c.Y.Min, c.Y.Max = min(c.Y.Min, q.Y), max(c.Y.Max, q.Y)
		}
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

// unbeaten gives, from the best X on, the points that pass and that no other that
// passes beats in both measures.
func unbeaten(points []Point, axes Axes) plotter.XYs {
	x, y := 1.0, 1.0 // times these, less is better
	if axes.MoreX {
		x = -1
	}
	if axes.MoreY {
		y = -1
	}
	sorted := slices.DeleteFunc(slices.Clone(points), func(q Point) bool { return q.Fails || q.off() })
	slices.SortStableFunc(sorted, func(a, b Point) int {
		return cmp.Or(cmp.Compare(x*a.X, x*b.X), cmp.Compare(y*a.Y, y*b.Y))
	})
	var out plotter.XYs
	for _, q := range sorted {
		if len(out) == 0 || y*q.Y < y*out[len(out)-1].Y {
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
	if q.off() {
		g.Shape = vgdraw.PyramidGlyph{}
	}
	if q.AsLoaded && !q.off() {
		g.Shape, g.Radius = vgdraw.SquareGlyph{}, 3.4
		if !q.Fails {
			g.Shape = vgdraw.BoxGlyph{}
		}
	}
	if q.Chosen {
		g.Color, g.Radius = p.Accent, 4.6
		if !q.AsLoaded && !q.Fails && !q.off() {
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
