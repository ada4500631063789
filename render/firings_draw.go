package render

import (
	"fmt"
	"image/color"
	"math"
	"time"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg"
)

// addLines draws the band, the mean, the record and the drift.
func (d *firingDrawing) addLines(c *plot.Plot) error {
	p := d.palette
	if low, high := d.inside(100*d.Low), d.inside(100*d.High); low < high {
		band, err := plotter.NewPolygon(plotter.XYs{{X: d.first, Y: low}, {X: d.last, Y: low}, {X: d.last, Y: high}, {X: d.first, Y: high}})
		if err != nil {
			return err
		}
		band.Color, band.LineStyle.Width = color.NRGBA{p.Accent.R, p.Accent.G, p.Accent.B, 38}, 0
		c.Add(band)
	}
	for _, l := range []struct {
		x1, y1, x2, y2 float64
		color          color.Color
		width          vg.Length
		dashes         []vg.Length
	}{
		{d.first, d.Record, d.last, d.Record, p.Quiet, 1.1, []vg.Length{5, 3}},
		{d.first, d.Mean, d.last, d.Mean, p.Accent, 1.6, nil},
		{d.driftFirst, d.DriftFrom, d.driftLast, d.DriftTo, p.Accent, 1.4, []vg.Length{1.5, 2.5}},
	} {
		if !isNumber(l.y1) || !isNumber(l.y2) {
			continue
		}
		line, err := plotter.NewLine(plotter.XYs{{X: l.x1, Y: 100 * l.y1}, {X: l.x2, Y: 100 * l.y2}})
		if err != nil {
			return err
		}
		line.Color, line.Width, line.Dashes = l.color, l.width, l.dashes
		c.Add(line)
	}
	return nil
}

// inside keeps a value within the chart; NaN stays.
func (d *firingDrawing) inside(v float64) float64 { return math.Min(math.Max(v, d.low), d.high) }

// spread places the points: those of one day side by side about it.
func (d *firingDrawing) spread() {
	const apart, widest = 7, 56 // points
	perPoint := (d.last - d.first) / math.Max(d.wide-wordRoom-60, 60)
	count, seen := map[float64]int{}, map[float64]int{}
	for _, q := range d.kept {
		count[dayOf(q.Date)]++
	}
	for _, q := range d.kept {
		day := dayOf(q.Date)
		n := float64(count[day])
		step := math.Min(apart, widest/n) * perPoint
		d.places = append(d.places, plotter.XY{X: day + step*(float64(seen[day])-(n-1)/2), Y: 100 * q.Shrinkage})
		seen[day]++
	}
}

// addBars draws the instrument's uncertainty of each reading that counts.
func (d *firingDrawing) addBars(c *plot.Plot) error {
	var data struct {
		plotter.XYs
		plotter.YErrors
	}
	for i, q := range d.kept {
		if e := 100 * orNone(q.Error); e > 0 && !q.LeftOut {
			data.XYs = append(data.XYs, d.places[i])
			data.YErrors = append(data.YErrors, struct{ Low, High float64 }{e, e})
		}
	}
	if len(data.XYs) == 0 {
		return nil
	}
	bars, err := plotter.NewYErrorBars(data)
	if err != nil {
		return err
	}
	bars.Color, bars.Width, bars.CapWidth = d.palette.Quiet, 0.8, 3
	c.Add(bars)
	return nil
}

// addWords names the lines at their right ends.
func (d *firingDrawing) addWords(c *plot.Plot) error {
	data := plotter.XYLabels{}
	var colors []color.Color
	say := func(text string, at, lift float64, ink color.Color) {
		if isNumber(at) {
			data.XYs = append(data.XYs, plotter.XY{X: d.last, Y: 100*at + lift})
			data.Labels = append(data.Labels, fmt.Sprintf("%s %.2f", text, 100*at))
			colors = append(colors, ink)
		}
	}
	// Words that would lie on each other move apart, the higher one up.
	const lineShare = 0.115
	near := lineShare * (d.high - d.low)
	lift := 0.0
	if gap := 100 * math.Abs(d.Mean-d.Record); gap < near {
		lift = (near - gap) / 2
		if d.Mean < d.Record {
			lift = -lift
		}
	}
	say("mean", d.Mean, lift, d.palette.Accent)
	say("record", d.Record, -lift, d.palette.Ink)
	if len(colors) == 0 {
		return nil
	}
	labels, err := plotter.NewLabels(data)
	if err != nil {
		return err
	}
	for i := range labels.TextStyle {
		labels.TextStyle[i].Font = font.Font{Typeface: "Liberation", Variant: "Sans", Size: 9.5}
		labels.TextStyle[i].Color = colors[i]
		labels.TextStyle[i].YAlign = -0.5
	}
	labels.Offset = vg.Point{X: 4}
	c.Add(labels)
	return nil
}

// percentTicks are a few ticks at even steps.
type percentTicks struct{ most int }

// Ticks gives the ticks of a range.
func (t percentTicks) Ticks(low, high float64) []plot.Tick {
	step := 1e-3
	for i := 0; (high-low)/step > float64(t.most); i++ {
		step *= []float64{2, 2.5, 2}[i%3] // 1, 2, 5, 10 and so on
	}
	decimals := max(0, int(math.Ceil(-math.Log10(step)-1e-9)))
	var out []plot.Tick
	for k := math.Ceil(low/step - 1e-9); k*step <= high+1e-9*step; k++ {
		out = append(out, plot.Tick{Value: k * step, Label: fmt.Sprintf("%.*f", decimals, k*step)})
	}
	return out
}

// dateTicks are a few dates, at most as many as fit, up to last.
type dateTicks struct {
	last float64
	most int
}

// Ticks gives the ticks of a range of days.
func (t dateTicks) Ticks(low, high float64) []plot.Tick {
	high = math.Min(high, t.last)
	out := t.even(low, high)
	if len(out) >= 2 || t.most < 2 {
		return out
	}
	// One date does not show how long the time is.
	ends := daysApart(low, high, 1)
	if len(ends) < 2 {
		return ends
	}
	return []plot.Tick{ends[len(ends)/8], ends[len(ends)-1-len(ends)/8]}
}

// even gives ticks at even steps, as many as fit.
func (t dateTicks) even(low, high float64) []plot.Tick {
	for _, days := range []int{1, 2, 7, 14} {
		if out := daysApart(low, high, days); len(out) <= t.most {
			return out
		}
	}
	for _, months := range []int{1, 2, 3, 6, 12, 24, 60, 120} {
		if out := monthsApart(low, high, months); len(out) <= t.most {
			return out
		}
	}
	return monthsApart(low, high, 600)
}

func dateTick(t time.Time) plot.Tick {
	return plot.Tick{Value: dayOf(t), Label: t.Format(time.DateOnly)}
}

// daysApart begins in the week's grid of Mondays where it can.
func daysApart(low, high float64, days int) []plot.Tick {
	const monday = 4 // 1970-01-05
	var out []plot.Tick
	for k := math.Ceil((low - monday) / float64(days)); monday+k*float64(days) <= high; k++ {
		out = append(out, dateTick(time.Unix(int64(monday+k*float64(days))*24*60*60, 0).UTC()))
	}
	return out
}

func monthsApart(low, high float64, months int) []plot.Tick {
	from := time.Unix(int64(low)*24*60*60, 0).UTC()
	at := time.Date(from.Year(), 1, 1, 0, 0, 0, 0, time.UTC)
	if months > 12 {
		at = time.Date(from.Year()/(months/12)*(months/12), 1, 1, 0, 0, 0, 0, time.UTC)
	}
	var out []plot.Tick
	for ; dayOf(at) <= high; at = at.AddDate(0, months, 0) {
		if dayOf(at) >= low {
			out = append(out, dateTick(at))
		}
	}
	return out
}
