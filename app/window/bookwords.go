package window

import (
	"fmt"
	"math"
	"strings"
	"time"

	"kilnpoise/app/book"
	"kilnpoise/app/window/kit"
	"kilnpoise/orient/process"
)

// firingTitle names a firing in the list.
func firingTitle(f *book.Firing) string {
	text := fmt.Sprintf("%d.%s%s", f.ID, kit.NBSP, f.Date.Format(time.DateOnly))
	if f.Part != "" {
		text += ", " + f.Part
	}
	return text
}

// firingState tells what was measured of a firing; complete is false while a length
// or a sag is still to come.
func firingState(f *book.Firing) (text string, complete bool) {
	both, open := 0, 0
	for i := range f.Readings {
		if r := &f.Readings[i]; r.GreenMM > 0 && r.SinteredMM > 0 {
			both++
		} else {
			open++
		}
	}
	measured := 0
	for _, s := range f.Sags {
		if s.SagMM > 0 {
			measured++
		} else {
			open++
		}
	}
	var parts []string
	if f.Run != "" {
		parts = append(parts, runName(f.Run))
	}
	if both > 0 {
		parts = append(parts, kit.Plural(both, "length"))
	}
	if measured > 0 {
		parts = append(parts, kit.Plural(measured, "beam"))
	}
	if f.GreenMassG > 0 && f.SinteredMassG > 0 {
		parts = append(parts, "weighed")
	}
	if open > 0 {
		parts = append(parts, fmt.Sprintf("%d still to be completed", open))
	}
	if len(parts) == 0 {
		return "nothing measured yet", false
	}
	return strings.Join(parts, ", "), open == 0
}

// points writes a fraction as points of shrinkage.
func points(v float64) string { return kit.Fixed(100*v, 2) + " points" }

func percent(v float64, decimals int) string { return kit.Fixed(100*v, decimals) + " %" }

// axisLines tells what the firings say of one axis, and how that compares with the
// record.
func axisLines(a *process.AxisFit, confidence float64, record float64) []string {
	if !a.Known {
		return []string{"Not known: " + a.Why + "."}
	}
	var out []string
	say := func(format string, args ...any) { out = append(out, fmt.Sprintf(format, args...)) }
	if isKnown(a.Low) {
		say("%s to %s (%.0f %% interval)", kit.Fixed(100*a.Low, 2), percent(a.High, 2), 100*confidence)
	} else {
		say("no interval from one firing")
	}
	if isKnown(a.Spread) {
		out = append(out, spreadLine(a))
	}
	say("%s in %s", kit.Plural(a.Readings, "reading"), kit.Plural(a.Firings, "firing"))
	out = append(out, driftLine(&a.Drift))
	switch {
	case !isKnown(record):
	case isKnown(a.Low) && (record < a.Low || record > a.High):
		say("the record’s %s lies outside", percent(record, 2))
	case isKnown(a.Low):
		say("the record’s %s lies within", percent(record, 2))
	default:
		say("the record has %s", percent(record, 2))
	}
	return out
}

// spreadLine tells how far firings differ, and places and parts within one.
func spreadLine(a *process.AxisFit) string {
	const least = 5e-5 // shown as nothing
	between, within := "by less than the instrument tells", "as little"
	if a.Between >= least {
		between, within = "by "+points(a.Between), "by less than the instrument tells"
	}
	if a.Within >= least {
		within = "by " + points(a.Within)
	}
	if !isKnown(a.Within) {
		return "firings differ " + between
	}
	return "firings differ " + between + ", places within one " + within
}

func isKnown(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }

// driftLine tells the change over time.
func driftLine(d *process.Drift) string {
	switch {
	case !isKnown(d.P):
		return "drift: " + d.Why
	case d.Found:
		return kit.Minus(fmt.Sprintf("drifts by %+.2f points in 30 days (P = %s)", 100*d.Per30Days, chance(d.P)))
	default:
		return fmt.Sprintf("no drift to be seen (P = %s)", chance(d.P))
	}
}

// chance writes a probability.
func chance(p float64) string {
	if p < 0.001 {
		return "under 0.001"
	}
	return fmt.Sprintf("%.2g", p)
}

// fitLine says what the fit is made from.
func fitLine(f *process.ShrinkageFit) string {
	text := fmt.Sprintf("From %s and %s", kit.Plural(len(f.Firings), "firing"), kit.Plural(f.Readings, "reading"))
	if !f.First.IsZero() {
		text += ", " + f.First.Format(time.DateOnly)
		if !f.Last.Equal(f.First) {
			text += " to " + f.Last.Format(time.DateOnly)
		}
	}
	return text + ". Shrinkage is (green − sintered) / green, along the axes of the print."
}

// chartNote explains the charts.
const chartNote = "Dot: a reading, with one standard uncertainty of its instrument. Ring: one aslant, less what the other axes explain. " +
	"Triangle: an outlier. Cross: left out. Line: the mean, in its interval. Dashes: the record. Dotted: a drift. Click a reading to open its firing."

// densityLine tells the density check of one firing.
func densityLine(w *weighed) string {
	c := &w.check
	var parts []string
	if isKnown(c.Relative) {
		text := percent(c.Relative, 1) + " of full density, by the volume measured"
		if !c.Measured {
			text = fmt.Sprintf("%s ± %s of full density, worked out of green volume and shrinkage", kit.Fixed(100*c.Relative, 1), percent(c.RelativeError, 1))
		}
		parts = append(parts, text)
	}
	if isKnown(c.MassLoss) {
		parts = append(parts, fmt.Sprintf("mass loss %s, the binder is %s by the record", percent(c.MassLoss, 1), percent(c.ExpectedLoss, 1)))
	}
	if isKnown(c.GreenDensityGCM3) {
		parts = append(parts, fmt.Sprintf("green %.2f g/cm3", c.GreenDensityGCM3))
	}
	return firingName(w.id, w.part) + ": " + strings.Join(parts, "; ") + "."
}

// densityText sets a sentence on densities.
func densityText(s string) string {
	return kit.Typeset(strings.ReplaceAll(s, " g/cm3", kit.NBSP+"g/cm³"))
}

func firingName(id int64, part string) string {
	if part == "" {
		return fmt.Sprintf("Firing %d", id)
	}
	return fmt.Sprintf("Firing %d, %s", id, part)
}

// sagLines tells what the coupons of the book fit to.
func (f *bookFit) sagLines() []string {
	if f.sagWhy != nil {
		return append(fullStops(f.sag.Remarks), kit.FullStop(kit.UpperFirst(strings.TrimPrefix(f.sagWhy.Error(), "furnace: "))))
	}
	lines := []string{fmt.Sprintf("Creep compliance %s 1/Pa; for the next part %s to %s (%.0f %%), from %d of %s.",
		compliance(f.sag.CompliancePerPa), compliance(f.sag.LowPerPa), compliance(f.sag.HighPerPa), 100*f.sag.Confidence, f.sag.Used, kit.Plural(len(f.beams), "beam"))}
	return append(lines, fullStops(f.sag.Remarks)...)
}

// runName names a run of the furnace; many a shop's own name begins with that word.
func runName(run string) string {
	if strings.HasPrefix(strings.ToLower(run), "run") {
		return run
	}
	return "run " + run
}
