package window

import (
	"context"
	"image/color"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/app/book"
	"kilnpoise/orient/furnace"
	"kilnpoise/orient/process"
	"kilnpoise/render"
)

// bookFit is what follows from the firings of a material in a furnace. It is not
// changed once it is made.
type bookFit struct {
	firings []book.Firing
	// record is the record of the material; known is false where there is none.
	record process.Material
	known  bool
	// readings are those of the firings, owners the firings they belong to.
	readings []process.Reading
	owners   []int64
	shrink   process.ShrinkageFit
	// fitted is false where nothing can be fitted, and why says so.
	fitted bool
	why    string
	// density holds what was weighed, the newest first.
	density []weighed
	// beams are those of coupons that were measured, sag what they fit to, where
	// sagWhy is nil.
	beams  []furnace.Coupon
	sag    furnace.Fit
	sagWhy error
}

// weighed is the density check of one firing.
type weighed struct {
	id    int64
	part  string
	check process.DensityCheck
}

// fitBook works out what follows from firings, given oldest first. It is worker's
// work; nil when ctx has ended.
func fitBook(ctx context.Context, firings []book.Firing, record process.Material, known bool) *bookFit {
	f := &bookFit{firings: firings, record: record, known: known, readings: book.Readings(firings)}
	for i := range firings {
		for _, r := range firings[i].Readings {
			if r.SinteredMM != 0 { // as book.Readings has them
				f.owners = append(f.owners, firings[i].ID)
			}
		}
	}
	shrink, err := process.FitShrinkage(ctx, f.readings, process.FitOptions{Start: record.Shrinkage})
	if ctx.Err() != nil {
		return nil
	}
	f.shrink, f.fitted = shrink, err == nil
	if err != nil {
		f.why = sentence(err)
	}
	for i := len(firings) - 1; i >= 0 && known; i-- {
		g := &firings[i]
		c := shrink.CheckDensity(record, g.Weighing())
		if !math.IsNaN(c.MassLoss) || !math.IsNaN(c.Relative) || !math.IsNaN(c.GreenDensityGCM3) {
			f.density = append(f.density, weighed{g.ID, g.Part, c})
		}
	}
	for _, c := range book.Coupons(firings) {
		if c.SagMM > 0 {
			f.beams = append(f.beams, c)
		}
	}
	if len(f.beams) > 0 {
		f.sag, f.sagWhy = furnace.Calibrate(f.beams, record.Creep.DensityKGM3, record.Creep.Poisson, furnace.CouponConfidence)
	}
	return f
}

// refit works out what follows from the firings shown, in the background.
func (b *bookWindow) refit() {
	ctx, ticket := b.fitting.begin(b.main.ctx)
	firings := b.firings
	record, err := b.main.records.Materials.Get(b.material)
	b.results.SetBusy(len(firings) > 0)
	go func() {
		fit := fitBook(ctx, firings, record, err == nil)
		b.post(func() {
			if !b.fitting.done(ticket) || fit == nil {
				return
			}
			b.fit = fit
			b.results.Set(fit)
			b.drawCharts()
		})
	}()
}

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

// firingOf gives the number of the firing that an outlier belongs to; 0 where it is
// several parts.
func (f *bookFit) firingOf(o process.Outlier) int64 {
	if o.Index >= 0 && o.Index < len(f.owners) {
		return f.owners[o.Index]
	}
	var found int64
	for i, r := range f.readings {
		if r.Firing != o.Firing {
			continue
		}
		if found != 0 && found != f.owners[i] {
			return 0
		}
		found = f.owners[i]
	}
	return found
}

// drawCharts draws the three charts as wide as they are shown, in the background.
func (b *bookWindow) drawCharts() {
	fit := b.fit
	if fit == nil || !fit.fitted {
		return
	}
	scale := b.win.Canvas().Scale()
	palette := picturePalette()
	palette.Background = color.RGBA{} // the page shows through
	var widths [3]float32
	for k, c := range b.results.charts {
		widths[k] = c.Size().Width
	}
	_, ticket := b.charting.begin(b.main.ctx)
	go func() {
		var drawn [3]*render.Chart
		for k := range drawn {
			if !fit.shrink.Axes[k].Known || widths[k] < 40 {
				continue
			}
			f, _ := fit.axisChart(k)
			if c, err := render.DrawFirings(f, int(widths[k]*scale), int(bookChartHeight*scale), float64(scale), palette); err == nil {
				drawn[k] = c
			}
		}
		b.post(func() {
			if !b.charting.done(ticket) {
				return
			}
			for k, c := range b.results.charts {
				c.Set(drawn[k])
			}
		})
	}()
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
