package process

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
	"gonum.org/v1/gonum/stat"
)

// For one reading a firing it is Grubbs's test. His statistic G = (largest -
// mean)/s has the critical values of the table for n = 8 and a two-sided 5 %: 2.126
// (Grubbs and Beck, Technometrics 14 (1972) 847, from memory; it follows from
// Student's t as below). Half the level is kept for whole firings here, so the limit
// is that of 2.5 %.
func TestOutlierIsGrubbs(t *testing.T) {
	const n = 8
	grubbs := func(level float64) float64 {
		v := studentQuantile(1-level/n, n-2)
		return (n - 1) / math.Sqrt(n) * math.Sqrt(v*v/(n-2+v*v))
	}
	near(t, "table", grubbs(0.05), 2.126, 0.001)
	base := []float64{0.1600, 0.1606, 0.1595, 0.1611, 0.1603, 0.1598, 0.1608}
	// put the eighth so far off that G is just below or above the limit
	for _, tt := range []struct {
		factor float64
		named  bool
	}{{0.999, false}, {1.001, true}} {
		want := grubbs(OutlierLevel/2) * tt.factor
		low, high := 0.1605, 0.4 // the statistic grows with the eighth between these
		all := append(append([]float64(nil), base...), 0)
		for range 60 {
			all[7] = (low + high) / 2
			if mean, sd := stat.MeanStdDev(all, nil); (all[7]-mean)/sd < want {
				low = all[7]
			} else {
				high = all[7]
			}
		}
		var firings [][]float64
		for _, s := range all {
			firings = append(firings, []float64{s})
		}
		got := fitted(t, alongX(firings), FitOptions{}).Outliers
		if (len(got) == 1) != tt.named {
			t.Errorf("G at %.3f of the limit: outliers %v", tt.factor, got)
		}
		if len(got) == 1 && (got[0].Firing != "8" || got[0].Freedom != n-2 || got[0].Index != 7) {
			t.Errorf("named %+v", got[0])
		}
	}
}

// A slip of one reading and a firing gone wrong are both named, even two at a time
// and beside each other.
func TestOutliersAreNamed(t *testing.T) {
	s := usualShop()
	s.firings = 10
	slip := func(readings []Reading, firing, name string, byMM float64) {
		for i := range readings {
			if readings[i].Firing == firing && readings[i].Name == name {
				readings[i].SinteredMM += byMM
			}
		}
	}
	hot := func(readings []Reading, firing string, by float64) {
		for i := range readings {
			if readings[i].Firing == firing {
				readings[i].SinteredMM *= 1 - by*math.Pow(r3.Unit(readings[i].Direction).Y, 2)
			}
		}
	}
	tests := []struct {
		name   string
		spoil  func([]Reading)
		wanted []string
	}{
		{"one slip", func(r []Reading) { slip(r, "4", "d0", 1) }, []string{"d0 of firing 4 is off by -2"}},
		{"two slips in one firing", func(r []Reading) { slip(r, "4", "d0", 1); slip(r, "4", "d1", -0.4) }, []string{"d0 of firing 4", "d1 of firing 4"}},
		{"two alike in two firings", func(r []Reading) { slip(r, "2", "d4", -1); slip(r, "7", "d4", -1) }, []string{"d4 of firing 2", "d4 of firing 7"}},
		{"a firing too hot", func(r []Reading) { hot(r, "9", 0.05) }, []string{"firing 9 as a whole along Y is off by +3"}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			readings := s.fire(rand.New(rand.NewPCG(41, 42)))
			if o := fitted(t, readings, FitOptions{}).Outliers; len(o) != 0 {
				t.Fatalf("outliers %v before anything was spoilt", o)
			}
			tt.spoil(readings)
			got := fitted(t, readings, FitOptions{}).Outliers
			if len(got) != len(tt.wanted) {
				t.Errorf("%d outliers, want %d", len(got), len(tt.wanted))
			}
			var text strings.Builder
			for _, o := range got {
				text.WriteString(o.Text() + "\n")
				if math.Abs(o.T) <= o.Limit {
					t.Errorf("named below its limit: %+v", o)
				}
			}
			for _, want := range tt.wanted {
				if !strings.Contains(text.String(), want) {
					t.Errorf("named %q, want %q", text.String(), want)
				}
			}
		})
	}
}
