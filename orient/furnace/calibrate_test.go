package furnace

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"
)

// coupons makes the beams of a block, fired with compliance j, read with the
// given error, each with its own deviation from j.
func coupons(j, spread, reading float64, random *rand.Rand) []Coupon {
	var out []Coupon
	for i, b := range []struct {
		hold Hold
		span float64
	}{{Cantilever, 10}, {Cantilever, 15}, {Cantilever, 18}, {SimplySupported, 25}, {BuiltIn, 35}, {Cantilever, 12}} {
		own := DefaultCreep()
		own.CompliancePerPa = j * math.Exp(spread*random.NormFloat64())
		h := 3 + 0.2*float64(i%3)
		sag := BeamSagMM(b.hold, own, b.span, h) * BeamShearFactor(b.hold, own.Poisson, b.span, h)
		out = append(out, Coupon{Hold: b.hold, SpanMM: b.span, ThicknessMM: h, SagMM: sag + reading*random.NormFloat64(), ErrorMM: reading})
	}
	return out
}

func TestCalibrateExact(t *testing.T) {
	const j = 1.7e-6
	f, err := Calibrate(coupons(j, 0, 1e-6, rand.New(rand.NewPCG(1, 1))), 7000, 0.45, 0.9)
	if err != nil {
		t.Fatal(err)
	}
	about(t, "J", f.CompliancePerPa, j, 1e-4)
	if f.Used != 6 || len(f.Remarks) != 0 || f.LogSpread > 1e-4 {
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
	const j, blocks = 1.5e-6, 3000
	random := rand.New(rand.NewPCG(7, 11))
	for _, tt := range []struct{ spread, confidence, tol float64 }{
		{0.2, 0.9, 0.03}, {0.4, 0.9, 0.03}, {0.2, 0.5, 0.05},
	} {
		var sure, next int
		for range blocks {
			f, err := Calibrate(coupons(j, tt.spread, 0.02, random), 7000, 0.45, tt.confidence)
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
			f, err := Calibrate(tt.coupons, 7000, 0.45, 0.9)
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
	for _, bad := range [][3]float64{{0, 0.45, 0.9}, {7000, 0.6, 0.9}, {7000, 0.45, 1}} {
		if _, err := Calibrate([]Coupon{good}, bad[0], bad[1], bad[2]); err == nil {
			t.Errorf("accepted %v", bad)
		}
	}
}
