package process

import (
	"context"
	"errors"
	"fmt"
	"math"
	"time"
)

// FitOptions says how FitShrinkage is to work; the zero value will do.
type FitOptions struct {
	// Confidence of all intervals, between 0 and 1; 0 takes 0.95.
	Confidence float64
	// Start is where the search begins, usually the shrinkage of the record in
	// use; zeros take 0.18. The outcome does not depend on it.
	Start [3]float64
	// Plain leaves out drift and outliers, which takes most of the time.
	Plain bool
}

const (
	usualConfidence = 0.95
	usualStart      = 0.18
)

// ShrinkageFit is what the readings of many firings say together.
type ShrinkageFit struct {
	// Confidence is that of the intervals.
	Confidence float64
	// Axes are X, Y and Z of the print frame.
	Axes [3]AxisFit
	// Firings are the single firings by date, for a chart.
	Firings []FiringFit
	// Outliers are named, not left out: whoever knows what happened in the furnace
	// decides. The furthest comes first.
	Outliers []Outlier
	// Readings is how many of the readings given were used; Skipped says why others
	// were not. Readings that are LeftOut are in neither.
	Readings int
	Skipped  []Skipped
	// First and Last are the dates of the firings; zero where none is dated.
	First, Last time.Time
	// Remarks are sentences on what to mind.
	Remarks []string
}

// AxisFit is the outcome for one axis of the print frame. All shrinkages are
// fractions; figures that the readings cannot give are NaN.
type AxisFit struct {
	// Known tells whether the readings say anything about the axis; Why is the
	// sentence when they do not.
	Known bool
	Why   string
	// Shrinkage is the mean over firings. StandardError is the uncertainty of that
	// mean, which falls with more firings; Low and High hold the true mean with
	// the confidence asked for, by Student's t with Freedom degrees of freedom. One
	// firing gives no interval, since it does not show how firings differ.
	Shrinkage, StandardError, Low, High, Freedom float64
	// Spread is one standard deviation of the shrinkage of a part in a new firing,
	// which does not fall with more firings: this is the shrinkage_spread of a
	// record. It is made of Between firings and Within them (place on the part, part
	// in the furnace); the error of the instrument is taken out. Within is NaN, and
	// all of the spread laid on Between, where no firing measured the axis twice.
	// SpreadLow and SpreadHigh hold the true spread, about, with the confidence.
	Spread, SpreadLow, SpreadHigh, Between, Within float64
	// NextLow and NextHigh hold what a part in the next firing will show.
	NextLow, NextHigh float64
	// Firings and Readings are how many bear on the axis.
	Firings, Readings int
	// Drift is its change over time.
	Drift Drift
}

// FiringFit is what one firing says of each axis by itself.
type FiringFit struct {
	Firing string
	Date   time.Time
	// Shrinkage per axis, as a fraction, and its standard error from instrument and
	// spread within the firing; NaN where the firing does not tell the axis.
	Shrinkage, StandardError [3]float64
	// Likely is the shrinkage of this firing in the light of all: drawn towards the
	// mean as far as its own readings are weak (best linear unbiased prediction;
	// Robinson, Stat. Sci. 6 (1991) 15). It is the mean where the firing says
	// nothing, NaN for an axis not known.
	Likely [3]float64
}

// Skipped is a reading that could not be used.
type Skipped struct {
	// Index is that of the reading in the list given.
	Index int
	Why   string
}

// errNothingToFit is given when no reading can be used at all.
var errNothingToFit = errors.New("no reading can be fitted; give dimensions measured both green and sintered, with their direction in the print frame")

// FitShrinkage estimates the shrinkage per print axis from readings in any
// direction by weighted least squares with a random deviation of each firing. The
// weights are one over the variance by the instrument plus that found within and
// between firings (see model); aslant lengths are made linear about the estimate
// and solved again until it stands (Gauss-Newton). Intervals hold up when the
// variances are poorly known, as with few firings: see interval. The papers named
// in these files are named from memory; what they are used for is checked by tests
// against full matrices, textbook sums and simulated firings.
//
// The readings are neither kept nor changed, and their order does not matter.
// One that cannot be used is skipped with a reason; an error means none could, or
// that ctx ended. An error that an instrument makes everywhere alike is not seen.
func FitShrinkage(ctx context.Context, readings []Reading, o FitOptions) (ShrinkageFit, error) {
	if o.Confidence == 0 {
		o.Confidence = usualConfidence
	}
	if !(o.Confidence > 0 && o.Confidence < 1) {
		return ShrinkageFit{}, fmt.Errorf("the confidence is %g; give one between 0 and 1, such as 0.95", o.Confidence)
	}
	out := ShrinkageFit{Confidence: o.Confidence}
	s := newSurvey(readings, o.Start, &out)
	if !s.anyKnown() {
		return out, errNothingToFit
	}
	m, err := s.fit(ctx, s.columns(nil), nil)
	if err != nil {
		return out, err
	}
	out.First, out.Last = s.dates()
	for k := range out.Axes {
		out.Axes[k] = s.axis(m, k, o.Confidence)
	}
	out.Firings = s.firings(m)
	if !o.Plain {
		if err := s.drifts(ctx, m, &out); err != nil {
			return out, err
		}
		if out.Outliers, err = s.outliers(ctx, m); err != nil {
			return out, err
		}
	}
	out.remark()
	return out, nil
}

// remark says what to mind about the fit as a whole.
func (f *ShrinkageFit) remark() {
	for k, a := range f.Axes {
		name := string("XYZ"[k])
		switch {
		case !a.Known:
			f.Remarks = append(f.Remarks, fmt.Sprintf("%s is not known: %s", name, a.Why))
		case a.Firings == 1:
			f.Remarks = append(f.Remarks, name+" was measured in one firing, which does not show how firings differ: no interval and no spread can be given; fire three or more")
		case a.Firings == 2:
			f.Remarks = append(f.Remarks, name+" was measured in two firings: interval and spread are very wide; fire three or more")
		}
		if a.Drift.Found {
			f.Remarks = append(f.Remarks, fmt.Sprintf("%s drifts by %+.2f points in 30 days (P = %.2g): the mean over all firings lags behind; it stood at %.2f %% at the last firing",
				name, 100*a.Drift.Per30Days, a.Drift.P, 100*a.Drift.Latest))
		}
	}
	if n := len(f.Skipped); n > 0 {
		f.Remarks = append(f.Remarks, fmt.Sprintf("%d of %d readings were not used; the first because %s", n, n+f.Readings, f.Skipped[0].Why))
	}
}

// unknownAxis is the outcome for an axis that is not told.
func unknownAxis(why string) AxisFit {
	n := math.NaN()
	return AxisFit{
		Why: why, Shrinkage: n, StandardError: n, Low: n, High: n, Freedom: n, Spread: n, SpreadLow: n, SpreadHigh: n,
		Between: n, Within: n, NextLow: n, NextHigh: n, Drift: noDrift(why),
	}
}
