package furnace

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat"
)

// Coupon is one measured beam of a fired calibration block, at sintered size.
type Coupon struct {
	// Hold is how it was held; a cantilever is an arm of the creep coupon, or one on a
	// block like that.
	Hold Hold
	// SpanMM is the free length, ThicknessMM the height of the section.
	SpanMM, ThicknessMM float64
	// SagMM is the measured sag against the same beam before firing: of an arm the tip
	// minus the root, on the top face; else of the middle.
	SagMM float64
	// ErrorMM is one standard deviation of the measurement of the sag; 0 takes
	// 0.02 mm, a caliper in careful hands (judgement).
	ErrorMM float64
}

const defaultReadingMM = 0.02

// Firing is what is known of the coupons besides what was measured on them.
type Firing struct {
	DensityKGM3, Poisson float64
	// SpanSpread and ThicknessSpread are one standard deviation of the two sizes from
	// what is believed of them, relative: the spread of the shrinkage, which moves all
	// beams of a firing together.
	SpanSpread, ThicknessSpread float64
}

// sizeError is the standard deviation that the spread of the sizes gives to ln J: the
// sag goes with the fourth power of the span and the inverse square of the thickness.
func (f Firing) sizeError() float64 { return math.Hypot(4*f.SpanSpread, 2*f.ThicknessSpread) }

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
// shear (see ComplianceFromSag), that of an arm with what the root and the block yield
// (coupon.go), and the logarithms are averaged, weighted with the variance of their
// readings plus that between beams. How much beams differ is not known, so every spread
// counts as likely as it explains the scatter (believed); LogSpread is the one that
// explains it just so (Paule and Mandel, J. Res. Nat. Bur. Stand. 87 (1982) 377).
// Confidence, say 0.9, is for the ranges, which have in them what the spread of the
// shrinkage may have made of the sizes of all beams together. Logarithms, because J
// is positive and uncertain by a factor. A coupon past a tenth of its span has
// collapsed, where the forms no longer hold, and one that hardly sags tells
// nothing: both are left out, with a remark. It fails when none is left.
//
// With one coupon the spread cannot be seen; it is then taken as a factor of 1.5
// (judgement), and a remark says so.
func Calibrate(coupons []Coupon, in Firing, confidence float64) (Fit, error) {
	if err := (Creep{1, 1, 1, in.Poisson, in.DensityKGM3}).Validate(); err != nil {
		return Fit{}, err
	}
	if e := in.sizeError(); !(e >= 0 && e < 1) {
		return Fit{}, fmt.Errorf("furnace: the spread of the shrinkage, %g and %g, is none of sizes that are known", in.SpanSpread, in.ThicknessSpread)
	}
	if !(confidence > 0 && confidence < 1) {
		return Fit{}, fmt.Errorf("furnace: confidence is %g, it must lie between 0 and 1", confidence)
	}
	f := Fit{Confidence: confidence, Each: make([]float64, len(coupons))}
	var used []inverted
	for i, c := range coupons {
		j, err := c.invert(in.DensityKGM3, in.Poisson)
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
	f.estimate(used, in.sizeError())
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
	j := ComplianceFromSag(c.Hold, density, poisson, c.SpanMM, c.ThicknessMM, c.SagMM)
	if c.Hold == Cantilever {
		j /= rootFactor(poisson, c.SpanMM, c.ThicknessMM)
	}
	return j, nil
}

// estimate averages the logarithms; sizes is the standard deviation that they have in
// common.
func (f *Fit) estimate(used []inverted, sizes float64) {
	logs, variances, between := average(used)
	likely := believed(logs, variances)
	if len(used) == 1 {
		between = math.Pow(math.Log(oneCoupon), 2)
		f.Remarks = append(f.Remarks, fmt.Sprintf("one coupon does not show the spread: it is taken as a factor of %g either way (judgement); fire three or more", oneCoupon))
		likely = belief{{1, logs[0], variances[0] + between, between}}
	}
	f.CompliancePerPa = math.Exp(likely.mean())
	low, high := (1-f.Confidence)/2, (1+f.Confidence)/2
	f.SureLow, f.SureHigh = math.Exp(likely.quantile(low, sizes, false)), math.Exp(likely.quantile(high, sizes, false))
	f.LowPerPa, f.HighPerPa = math.Exp(likely.quantile(low, sizes, true)), math.Exp(likely.quantile(high, sizes, true))
	f.LogSpread = math.Sqrt(between)
	f.MeasurementDominates = between == 0
}

// belief is what coupons make of ln J: for each of some spreads between beams how likely
// it is, and the mean and variance of ln J if it is that.
type belief []struct{ share, mean, variance, between float64 }

// usualSpread is the standard deviation of ln J from beam to beam of one firing up to
// which every one is as likely before anything was seen; beyond, every factor is.
// Judgement: so chosen that over shops whose beams differ by 0 to 20 % the ranges hold
// the truth as often as they say (TestSimulatedFirings). Where beams do not differ at
// all they hold it more often, where they differ by 20 % a little less.
const usualSpread = 0.003

// believed weighs the spreads between beams by how well they explain the scatter.
func believed(logs, variances []float64) belief {
	const spreads, most = 64, 3.0 // ln J; beyond all that beams of one firing can differ by
	out := make(belief, spreads)
	least := math.Inf(1)
	for k := range out {
		spread := usualSpread * (math.Pow(1+most/usualSpread, (float64(k)+0.5)/spreads) - 1)
		mean, total, chi := scatter(logs, variances, spread*spread)
		misfit := chi + math.Log(total)
		for _, v := range variances {
			misfit += math.Log(v + spread*spread)
		}
		out[k].share, out[k].mean, out[k].variance, out[k].between = misfit, mean, 1/total, spread*spread
		least = min(least, misfit)
	}
	var sum float64
	for k := range out {
		out[k].share = math.Exp((least - out[k].share) / 2)
		sum += out[k].share
	}
	for k := range out {
		out[k].share /= sum
	}
	return out
}

// mean gives that of ln J.
func (b belief) mean() (sum float64) {
	for _, c := range b {
		sum += c.share * c.mean
	}
	return sum
}

// quantile gives that of ln J, or of one more beam, with a further standard deviation
// that all beams have in common.
func (b belief) quantile(p, common float64, another bool) float64 {
	below := func(x float64) (sum float64) {
		for _, c := range b {
			v := c.variance + common*common
			if another {
				v += c.between
			}
			sum += c.share * math.Erfc((c.mean-x)/math.Sqrt(2*v)) / 2
		}
		return sum
	}
	const far, halvings = 20, 40 // in ln J: beyond all compliances
	lo, hi := b.mean()-far, b.mean()+far
	for range halvings {
		if mid := (lo + hi) / 2; below(mid) < p {
			lo = mid
		} else {
			hi = mid
		}
	}
	return (lo + hi) / 2
}

// oneCoupon is the spread, one standard deviation as a factor, where a single
// coupon cannot show it (judgement).
const oneCoupon = 1.5

// average gives the logarithms, the variances of their readings, and that between
// coupons which makes the scatter seen the scatter expected. The error of a reading is one
// of the sag, so what it means for ln J is taken at the mean and not at the reading itself,
// which would give most weight to beams that happened to be read high.
func average(used []inverted) (logs, variances []float64, between float64) {
	logs, variances = make([]float64, len(used)), make([]float64, len(used))
	var mean float64
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
		mean, _, _ = scatter(logs, variances, between)
	}
	return logs, variances, between
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
