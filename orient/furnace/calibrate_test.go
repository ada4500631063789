package furnace

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"kilnpoise/assets"
)

// coupons makes the beams of a block, fired with compliance j, read with the
// given error, each with its own deviation from j.
func coupons(j, spread, reading float64, random *rand.Rand) []Coupon {
	var out []Coupon
	for i, b := range []struct {
		hold Hold
		span float64
	}{{Cantilever, 10}, {Cantilever, 15}, {Cantilever, 16}, {SimplySupported, 25}, {BuiltIn, 35}, {Cantilever, 12}} {
		own := DefaultCreep()
		own.CompliancePerPa = j * math.Exp(spread*random.NormFloat64())
		h := 3 + 0.2*float64(i%3)
		sag := BeamSagMM(b.hold, own, b.span, h) * BeamShearFactor(b.hold, own.Poisson, b.span, h)
		if b.hold == Cantilever {
			sag = ArmSagMM(own, b.span, h)
		}
		out = append(out, Coupon{Hold: b.hold, SpanMM: b.span, ThicknessMM: h, SagMM: sag + reading*random.NormFloat64(), ErrorMM: reading})
	}
	return out
}

func TestCalibrateExact(t *testing.T) {
	const j = 1.7e-6
	f, err := Calibrate(coupons(j, 0, 1e-6, rand.New(rand.NewPCG(1, 1))), Firing{DensityKGM3: 7000, Poisson: 0.45}, 0.9)
	if err != nil {
		t.Fatal(err)
	}
	about(t, "J", f.CompliancePerPa, j, 1e-4)
	if f.Used != 6 || len(f.Remarks) != 0 || f.LogSpread > 1e-4 || f.SureHigh > f.SureLow*(1+1e-3) {
		t.Errorf("%+v", f)
	}
	c := Creep{f.CompliancePerPa, f.LowPerPa, f.HighPerPa, 0.45, 7000}
	if err := c.Validate(); err != nil {
		t.Error(err)
	}
}

// TestCalibrateCovers: over many blocks of known truth the ranges hold it as
// often as they say.
func TestCalibrateCovers(t *testing.T) {
	if testing.Short() {
		t.Skip("short: numbers alone, and many of them")
	}
	const j, blocks = 1.5e-6, 1500
	random := rand.New(rand.NewPCG(7, 11))
	for _, tt := range []struct{ spread, confidence, tol float64 }{
		{0.2, 0.9, 0.03}, {0.4, 0.9, 0.03}, {0.2, 0.5, 0.05},
	} {
		var sure, next int
		for range blocks {
			f, err := Calibrate(coupons(j, tt.spread, 0.02, random), Firing{DensityKGM3: 7000, Poisson: 0.45}, tt.confidence)
			if err != nil {
				t.Fatal(err)
			}
			if f.SureLow <= j && j <= f.SureHigh {
				sure++
			}
			if other := j * math.Exp(tt.spread*random.NormFloat64()); f.LowPerPa <= other && other <= f.HighPerPa {
				next++
			}
		}
		for name, n := range map[string]int{"true J": sure, "next coupon": next} {
			if got := float64(n) / blocks; math.Abs(got-tt.confidence) > tt.tol {
				t.Errorf("spread %v: the range holds the %s in %.3f of blocks, it says %.2f", tt.spread, name, got, tt.confidence)
			}
		}
	}
}

func TestCalibrateGuards(t *testing.T) {
	good := Coupon{Hold: Cantilever, SpanMM: 15, ThicknessMM: 3, SagMM: 0.9}
	tests := []struct {
		name    string
		coupons []Coupon
		used    int
		remark  string // "": none
	}{
		{"one", []Coupon{good}, 1, "one coupon"},
		{"collapsed", []Coupon{good, good, {Hold: Cantilever, SpanMM: 20, ThicknessMM: 2, SagMM: 6}}, 2, "collapsed"},
		{"too stiff", []Coupon{good, good, {Hold: Cantilever, SpanMM: 5, ThicknessMM: 3, SagMM: 0.01}}, 2, "reading error"},
		{"no span", []Coupon{good, good, {SagMM: 0.3}}, 2, "above 0"},
		{"not a number", []Coupon{good, good, {SpanMM: 10, ThicknessMM: 3, SagMM: math.NaN()}}, 2, "a number"},
		{"unknown hold", []Coupon{good, good, {Hold: 9, SpanMM: 10, ThicknessMM: 3, SagMM: 0.3}}, 2, "held"},
		{"none", nil, 0, ""},
		{"none that counts", []Coupon{{Hold: Cantilever, SpanMM: 20, ThicknessMM: 2, SagMM: 6}}, 0, "collapsed"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			f, err := Calibrate(tt.coupons, Firing{DensityKGM3: 7000, Poisson: 0.45}, 0.9)
			if (err != nil) != (tt.used == 0) || f.Used != tt.used {
				t.Fatalf("used %d, error %v", f.Used, err)
			}
			if all := strings.Join(f.Remarks, "\n"); !strings.Contains(all, tt.remark) {
				t.Errorf("remarks %q lack %q", all, tt.remark)
			}
			if err == nil && !(f.LowPerPa < f.CompliancePerPa && f.CompliancePerPa < f.HighPerPa && f.LowPerPa <= f.SureLow) {
				t.Errorf("ranges %+v", f)
			}
		})
	}
	for _, bad := range [][4]float64{{0, 0.45, 0.9}, {7000, 0.6, 0.9}, {7000, 0.45, 1}, {7000, 0.45, 0.9, -1}, {7000, 0.45, 0.9, 2}} {
		if _, err := Calibrate([]Coupon{good}, Firing{DensityKGM3: bad[0], Poisson: bad[1], SpanSpread: bad[3]}, bad[2]); err == nil {
			t.Errorf("accepted %v", bad)
		}
	}
}

// simulatedFiring fires the built-in coupon: the shrinkage makes all arms of a firing
// longer and thicker than believed, each arm gives way a little otherwise, and the sag is
// read with an error. What is entered are the sizes of the drawing.
func simulatedFiring(j, each float64, in Firing, random *rand.Rand) (arms []Coupon) {
	long, thick := math.Exp(in.SpanSpread*random.NormFloat64()), math.Exp(in.ThicknessSpread*random.NormFloat64())
	for _, span := range assets.CouponSpansMM() {
		c := Creep{CompliancePerPa: j * math.Exp(each*random.NormFloat64()), Poisson: in.Poisson, DensityKGM3: in.DensityKGM3}
		h := float64(assets.CouponThicknessMM)
		arms = append(arms, Coupon{SpanMM: span, ThicknessMM: h, SagMM: ArmSagMM(c, span*long, h*thick) + defaultReadingMM*random.NormFloat64()})
	}
	return arms
}

// TestSimulatedFirings: over many firings of known truth, in shops whose arms differ by
// 0 to 20 % from one another, the range of J holds it as often as it says, and that for
// the next part the J of a further arm, within what chance allows (three standard
// deviations of the binomial). In no shop is it far below, and the fit is without bias.
func TestSimulatedFirings(t *testing.T) {
	if testing.Short() {
		t.Skip("short: numbers alone, and many of them")
	}
	const firings = 600                                                                       // in each shop
	in := Firing{DensityKGM3: 7000, Poisson: 0.45, SpanSpread: 0.0048, ThicknessSpread: 0.01} // of the built-in 316L
	shops := []float64{0, 0.03, 0.05, 0.1, 0.2}
	for _, tt := range []struct{ confidence, least float64 }{{0.9, 0.8}, {0.5, 0.36}} {
		random := rand.New(rand.NewPCG(3, 17))
		var sure, next int
		for _, each := range shops {
			var own, further int
			var bias float64
			for range firings {
				j := 0.5e-6 * math.Pow(12, random.Float64())
				f, err := Calibrate(simulatedFiring(j, each, in, random), in, tt.confidence)
				if err != nil {
					t.Fatal(err)
				}
				if f.SureLow <= j && j <= f.SureHigh {
					own++
				}
				if other := j * math.Exp(each*random.NormFloat64()); f.LowPerPa <= other && other <= f.HighPerPa {
					further++
				}
				bias += math.Log(f.CompliancePerPa/j) / firings
			}
			t.Logf("arms differ by %.2f: %.3f of ranges of %.2f hold J, %.3f the next arm's; bias %+.3f", each,
				float64(own)/firings, tt.confidence, float64(further)/firings, bias)
			if math.Abs(bias) > 0.03 || float64(min(own, further))/firings < tt.least {
				t.Errorf("arms differ by %.2f: bias %.3f, ranges of %.2f hold J in %d and the next arm's in %d of %d", each, bias, tt.confidence, own, further, firings)
			}
			sure, next = sure+own, next+further
		}
		total := float64(firings * len(shops))
		bound := 3 * math.Sqrt(tt.confidence*(1-tt.confidence)/total)
		for what, n := range map[string]int{"J": sure, "the next arm's J": next} {
			if rate := float64(n) / total; math.Abs(rate-tt.confidence) > bound {
				t.Errorf("ranges of %.2f hold %s in %.3f of firings", tt.confidence, what, rate)
			}
		}
	}
}
