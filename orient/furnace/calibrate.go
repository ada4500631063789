package furnace

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"
)

// Coupon is one measured beam of a fired calibration block, at sintered size.
type Coupon struct {
	Hold Hold
	// SpanMM is the free length, ThicknessMM the height of the section.
	SpanMM, ThicknessMM float64
	// SagMM is the measured sag of the end or the middle, against the same beam
	// before firing.
	SagMM float64
	// ErrorMM is one standard deviation of the measurement of the sag; 0 takes
	// 0.02 mm, a caliper in careful hands (judgement).
	ErrorMM float64
}

const defaultReadingMM = 0.02

// CouponConfidence is what the ranges of a calibration are usually asked for with:
// they hold for nine firings in ten (judgement).
const CouponConfidence = 0.9

// Fit is a compliance found from coupons.
type Fit struct {
	// CompliancePerPa is the best J. SureLow and SureHigh hold the true J of
	// this firing with the confidence asked for; LowPerPa and HighPerPa hold, so
	// far as these coupons tell, the next coupon's: that is the range to use for
	// parts, since it has the spread from place to place and beam to beam in it.
	CompliancePerPa      float64
	SureLow, SureHigh    float64
	LowPerPa, HighPerPa  float64
	LogSpread            float64   // standard deviation of ln J between coupons
	Confidence           float64   // of both ranges
	Used                 int       // coupons that counted
	Each                 []float64 // J of every coupon; NaN for those left out
	Remarks              []string  // why coupons were left out, and what to mind
	MeasurementDominates bool      // the spread is no more than reading errors explain
}

// Calibrate finds J from coupons: each is inverted by its handbook form with
// shear (see ComplianceFromSag) and the logarithms are averaged, weighted with
// the variance of their readings plus that between beams, which is what makes
// the scatter seen the scatter expected (Paule and Mandel, J. Res. Nat. Bur.
// Stand. 87 (1982) 377). Confidence, say 0.9, is for the ranges (Student's t;
// for the next coupon with one degree of freedom less, after Higgins, Thompson
// and Spiegelhalter, J. R. Stat. Soc. A 172 (2009) 137). Logarithms, because J
// is positive and uncertain by a factor. A coupon past a tenth of its span has
// collapsed, where the forms no longer hold, and one that hardly sags tells
// nothing: both are left out, with a remark. It fails when none is left.
//
// With one coupon the spread cannot be seen; it is then taken as a factor of 1.5
// (judgement), and a remark says so.
func Calibrate(coupons []Coupon, densityKGM3, poisson, confidence float64) (Fit, error) {
	if err := (Creep{1, 1, 1, poisson, densityKGM3}).Validate(); err != nil {
		return Fit{}, err
	}
	if !(confidence > 0 && confidence < 1) {
		return Fit{}, fmt.Errorf("furnace: confidence is %g, it must lie between 0 and 1", confidence)
	}
	f := Fit{Confidence: confidence, Each: make([]float64, len(coupons))}
	var used []inverted
	for i, c := range coupons {
		j, err := c.invert(densityKGM3, poisson)
		f.Each[i] = j
		if err != nil {
			f.Remarks = append(f.Remarks, fmt.Sprintf("coupon %d is left out: %v", i+1, err))
			continue
		}
		used = append(used, inverted{math.Log(j), c.reading() / c.SagMM * j})
	}
	if f.Used = len(used); f.Used == 0 {
		return f, errors.New("furnace: no coupon is left to calibrate with: measure beams that sag by more than twice the reading error and less than a tenth of their span")
	}
	f.estimate(used)
	return f, nil
}

// inverted is the result of one coupon: ln J, and the standard deviation that
// its reading gives to J.
type inverted struct{ log, error float64 }

// reading gives the standard deviation of the measured sag.
func (c Coupon) reading() float64 {
	if c.ErrorMM > 0 {
		return c.ErrorMM
	}
	return defaultReadingMM
}

// invert gives the J of one coupon, or NaN and why it does not count.
func (c Coupon) invert(density, poisson float64) (float64, error) {
	switch {
	case !(c.SpanMM > 0 && c.ThicknessMM > 0) || math.IsNaN(c.SagMM) || math.IsInf(c.SpanMM*c.ThicknessMM*c.SagMM, 0):
		return math.NaN(), errors.New("span and thickness must be above 0, and the sag a number")
	case c.Hold < Cantilever || c.Hold > BuiltIn:
		return math.NaN(), errors.New("it is not said how it was held")
	case c.SagMM > collapseShare*c.SpanMM:
		return math.NaN(), fmt.Errorf("its sag of %.2f mm is past a tenth of its span, it has collapsed; use a shorter or thicker one", c.SagMM)
	case c.SagMM < 2*c.reading():
		return math.NaN(), fmt.Errorf("its sag of %.2f mm is lost in the reading error of %.2f mm; use a longer or thinner one", c.SagMM, c.reading())
	}
	return ComplianceFromSag(c.Hold, density, poisson, c.SpanMM, c.ThicknessMM, c.SagMM), nil
}

// estimate averages the logarithms.
func (f *Fit) estimate(used []inverted) {
	mean, between, total := average(used)
	n := float64(len(used))
	p := (1 + f.Confidence) / 2
	t := distuv.Normal{Sigma: 1}.Quantile(p)
	tNext := t
	if n == 1 {
		between = math.Pow(math.Log(oneCoupon), 2)
		f.Remarks = append(f.Remarks, fmt.Sprintf("one coupon does not show the spread: it is taken as a factor of %g either way (judgement); fire three or more", oneCoupon))
		total = 1 / (1/total + between)
	} else { // one degree of freedom for the mean, one more for the spread
		t = distuv.StudentsT{Sigma: 1, Nu: n - 1}.Quantile(p)
		tNext = distuv.StudentsT{Sigma: 1, Nu: max(n-2, 1)}.Quantile(p)
	}
	sure := t * math.Sqrt(1/total)
	next := tNext * math.Sqrt(1/total+between)
	f.CompliancePerPa = math.Exp(mean)
	f.SureLow, f.SureHigh = math.Exp(mean-sure), math.Exp(mean+sure)
	f.LowPerPa, f.HighPerPa = math.Exp(mean-next), math.Exp(mean+next)
	f.LogSpread = math.Sqrt(between)
	f.MeasurementDominates = between == 0
}

// oneCoupon is the spread, one standard deviation as a factor, where a single
// coupon cannot show it (judgement).
const oneCoupon = 1.5

// average gives the weighted mean of the logarithms, the variance between
// coupons, and the sum of the weights. The error of a reading is one of the sag,
// so what it means for ln J is taken at the mean and not at the reading itself,
// which would give most weight to beams that happened to be read high.
func average(used []inverted) (mean, between, total float64) {
	logs, variances := make([]float64, len(used)), make([]float64, len(used))
	for i, u := range used {
		logs[i] = u.log
		mean += u.log / float64(len(used))
	}
	const rounds = 20
	for range rounds {
		for i, u := range used {
			variances[i] = math.Pow(u.error/math.Exp(mean), 2)
		}
		between = betweenVariance(logs, variances)
		mean, total, _ = scatter(logs, variances, between)
	}
	return mean, between, total
}

// betweenVariance finds the variance between coupons at which the weighted
// scatter is what it should be, by bisection; 0 where readings explain it all.
func betweenVariance(logs, variances []float64) float64 {
	free := float64(len(logs) - 1)
	excess := func(v float64) float64 {
		_, _, chi := scatter(logs, variances, v)
		return chi - free
	}
	if free == 0 || excess(0) <= 0 {
		return 0
	}
	lo, hi := 0.0, 1.0
	for excess(hi) > 0 {
		hi *= 2
	}
	for range 60 {
		if mid := (lo + hi) / 2; excess(mid) > 0 {
			lo = mid
		} else {
			hi = mid
		}
	}
	return hi
}

// scatter gives the weighted mean, the sum of weights and the weighted sum of
// squares about the mean.
func scatter(logs, variances []float64, between float64) (mean, total, chi float64) {
	weights := make([]float64, len(logs))
	for i, v := range variances {
		weights[i] = 1 / (v + between)
		total += weights[i]
	}
	mean = stat.Mean(logs, weights)
	for i, x := range logs {
		chi += weights[i] * (x - mean) * (x - mean)
	}
	return mean, total, chi
}
