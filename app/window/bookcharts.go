package window

import (
	"image/color"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/app/window/machines"
	"kilnpoise/orient/process"
	"kilnpoise/render"
)

// axisChart sets the readings that bear on an axis most as points of a chart, and
// tells which reading each is. What one shows that runs aslant is less what the
// other axes explain, to first order.
func (f *bookFit) axisChart(axis int) (render.Firings, []int) {
	a := &f.shrink.Axes[axis]
	nan := math.NaN()
	out := render.Firings{
		Label: "shrinkage " + "XYZ"[axis:axis+1] + ", %", Mean: a.Shrinkage, Low: a.Low, High: a.High,
		Record: nan, DriftFrom: nan, DriftTo: nan, First: f.shrink.First, Last: f.shrink.Last,
	}
	if f.known {
		out.Record = f.record.Shrinkage[axis]
	}
	if d := a.Drift; d.Found {
		const month = 30
		out.DriftTo = d.Latest
		out.DriftFrom = d.Latest - d.Per30Days/month*f.shrink.Last.Sub(f.shrink.First).Hours()/24
	}
	off := f.outlying(axis)
	var of []int
	for i, r := range f.readings {
		share := squares(r.Direction)
		if axis != leadingAxis(share) {
			continue
		}
		seen, ok := f.onAxis(r, axis, share)
		if !ok {
			continue
		}
		out.Points = append(out.Points, render.FiringPoint{
			Date: r.Date, Shrinkage: seen, Error: readingError(r) / share[axis],
			Outlier: off(i), LeftOut: r.LeftOut, Aslant: share[axis] < alongAxis,
		})
		of = append(of, i)
	}
	return out, of
}

// alongAxis is the share of an axis in a reading from which on it counts as along
// it: 2 degrees.
const alongAxis = 0.9988

// squares gives the share of each axis in a direction, as squares.
func squares(v r3.Vec) (out [3]float64) {
	if n := r3.Norm2(v); n > 0 {
		out = [3]float64{v.X * v.X / n, v.Y * v.Y / n, v.Z * v.Z / n}
	}
	return out
}

// leadingAxis gives the axis with the largest share.
func leadingAxis(share [3]float64) int {
	best := 0
	for k := range share {
		if share[k] > share[best]+1e-9 {
			best = k
		}
	}
	return best
}

// onAxis gives what a reading shows of the axis that leads in it; false where that
// cannot be told.
func (f *bookFit) onAxis(r process.Reading, axis int, share [3]float64) (float64, bool) {
	seen := r.ShrinkageSeen()
	if math.IsNaN(seen) || r.Check() != nil {
		return 0, false
	}
	if share[axis] >= alongAxis {
		return seen, true
	}
	for k, c := range share {
		if k != axis {
			seen -= c * f.shrink.Axes[k].Shrinkage
		}
	}
	seen /= share[axis]
	return seen, !math.IsNaN(seen)
}

// readingError is the standard uncertainty of what a reading shows, by the
// instrument.
func readingError(r process.Reading) float64 {
	return math.Hypot(r.SinteredErrorMM, r.SinteredMM/r.GreenMM*r.GreenErrorMM) / r.GreenMM
}

// outlying tells which readings are named as outliers, by themselves or with their
// firing.
func (f *bookFit) outlying(axis int) func(i int) bool {
	return func(i int) bool {
		for _, o := range f.shrink.Outliers {
			if o.Index == i || o.Index < 0 && o.Axis == axis && o.Firing == f.readings[i].Firing {
				return true
			}
		}
		return false
	}
}

// drawCharts draws the three charts as wide as they are shown, in the background.
func (b *bookWindow) drawCharts() {
	fit := b.fit
	if fit == nil || !fit.fitted {
		return
	}
	scale := b.win.Canvas().Scale()
	palette := machines.PicturePalette()
	palette.Background = color.RGBA{} // the page shows through
	var widths [3]float32
	for k, c := range b.results.charts {
		widths[k] = c.Size().Width
	}
	_, ticket := b.charting.begin(b.main.ctx)
	var drawn [3]*render.Chart
	b.main.background("drawing the charts of firings", func() error {
		for k := range drawn {
			if !fit.shrink.Axes[k].Known || widths[k] < 40 {
				continue
			}
			f, _ := fit.axisChart(k)
			if c, err := render.DrawFirings(f, int(widths[k]*scale), int(bookChartHeight*scale), float64(scale), palette); err == nil {
				drawn[k] = c
			}
		}
		return nil
	}, func(err error) {
		b.main.tellFault(err)
		if !b.charting.done(ticket) || err != nil {
			return
		}
		for k, c := range b.results.charts {
			c.Set(drawn[k])
		}
	})
}

// pickReading opens the firing of a reading that is clicked in the chart of an axis.
func (b *bookWindow) pickReading(axis, point int) {
	if b.fit == nil {
		return
	}
	if _, of := b.fit.axisChart(axis); point < len(of) {
		b.change(b.fit.owners[of[point]])
	}
}
