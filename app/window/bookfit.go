package window

import (
	"context"
	"math"

	"kilnpoise/app/book"
	"kilnpoise/app/handover"
	"kilnpoise/app/window/kit"
	"kilnpoise/orient/furnace"
	"kilnpoise/orient/process"
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
		f.why = kit.Sentence(err)
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
		f.sag, f.sagWhy = handover.FitCoupons(&record, f.beams)
	}
	return f
}

// refit works out what follows from the firings shown, in the background.
func (b *bookWindow) refit() {
	ctx, ticket := b.fitting.begin(b.main.ctx)
	firings := b.firings
	record, err := b.main.records.Materials.Get(b.material)
	b.results.SetBusy(len(firings) > 0)
	var fit *bookFit
	b.main.background("working out what follows from the firings", func() error {
		fit = fitBook(ctx, firings, record, err == nil)
		return nil
	}, func(err error) {
		b.main.tellFault(err)
		if !b.fitting.done(ticket) || fit == nil {
			return
		}
		b.fit = fit
		b.results.Set(fit)
		b.drawCharts()
	})
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
