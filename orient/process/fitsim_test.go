package process

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"gonum.org/v1/gonum/spatial/r3"
)

// shop is a furnace with a known truth that firings are simulated with. It follows
// the geometry itself, not the linear model: each reading is the length of a line
// or the distance of two faces after its own three stretches.
type shop struct {
	shrinkage, between, within [3]float64
	instrumentMM               float64
	driftPerFiring             float64 // of Z
	firings                    int
	directions                 []r3.Vec // of each firing
	lengthsMM                  []float64
	aslant                     Across
	uneven                     bool // some firings have fewer readings
}

// usualShop has what a shop might have: six firings of a part with three lengths
// along each axis and two aslant.
func usualShop() shop {
	return shop{
		shrinkage: [3]float64{0.162, 0.158, 0.205}, between: [3]float64{0.003, 0.003, 0.006}, within: [3]float64{0.002, 0.002, 0.003},
		instrumentMM: 0.02, firings: 6,
		directions: []r3.Vec{{X: 1}, {X: 1}, {Y: 1}, {Y: 1}, {Z: 1}, {Z: 1}, {X: 1, Z: 1}, {X: 1, Y: -2, Z: 1}},
		lengthsMM:  []float64{40, 12, 30, 15, 25, 10, 30, 40},
	}
}

func (s shop) fire(rng *rand.Rand) []Reading {
	var out []Reading
	for j := range s.firings {
		mean := s.shrinkage
		mean[2] += s.driftPerFiring * float64(j)
		for k := range mean {
			mean[k] += s.between[k] * rng.NormFloat64()
		}
		for i, n := range s.directions {
			if s.uneven && (i+j)%3 == 0 {
				continue
			}
			here := mean
			for k := range here {
				here[k] += s.within[k] * rng.NormFloat64()
			}
			r := Reading{
				Firing: fmt.Sprint(j + 1), Name: fmt.Sprint("d", i), Date: time.Date(2026, 1, 1+7*j, 0, 0, 0, 0, time.UTC),
				Direction: n, Across: s.aslant, GreenErrorMM: s.instrumentMM, SinteredErrorMM: s.instrumentMM,
			}
			green := s.lengthsMM[i]
			r.GreenMM = green + s.instrumentMM*rng.NormFloat64()
			r.SinteredMM = green*stretched(s.aslant, r3.Unit(n), here) + s.instrumentMM*rng.NormFloat64()
			out = append(out, r)
		}
	}
	return out
}

// stretched is the finished over the green length by moving the points or faces
// themselves: for two points of finished direction n, the green ones are found by
// undoing the shrinkage; for two faces, points are moved until the finished faces
// are known by three points each.
func stretched(a Across, n r3.Vec, s [3]float64) float64 {
	shrink := func(v r3.Vec) r3.Vec { return r3.Vec{X: v.X * (1 - s[0]), Y: v.Y * (1 - s[1]), Z: v.Z * (1 - s[2])} }
	grow := func(v r3.Vec) r3.Vec { return r3.Vec{X: v.X / (1 - s[0]), Y: v.Y / (1 - s[1]), Z: v.Z / (1 - s[2])} }
	if a == Points {
		return 1 / r3.Norm(grow(n))
	}
	// two vectors in the finished face, brought back to the green part
	u := r3.Unit(r3.Cross(n, r3.Vec{X: 0.3, Y: 0.5, Z: -0.7}))
	v := r3.Cross(n, u)
	normal := r3.Unit(r3.Cross(grow(u), grow(v))) // of the green face
	step := r3.Scale(1/r3.Dot(normal, grow(n)), grow(n))
	return math.Abs(r3.Dot(n, shrink(step))) // green faces one apart
}

// margin is how far a rate of a true chance p may lie off over so many runs: 3.3
// standard deviations of the binomial, once in a thousand.
func margin(p float64, runs int) float64 { return 3.3 * math.Sqrt(p*(1-p)/float64(runs)) }

// simulations gives how many runs a test makes.
func simulations(usual int) int {
	if testing.Short() {
		return usual / 10
	}
	return usual
}

// shops are the ones that the rates are tested in.
func shops() map[string]shop {
	usual, few, uneven, single := usualShop(), usualShop(), usualShop(), usualShop()
	few.firings, few.between = 3, [3]float64{0.003, 0.003, 0}
	uneven.uneven, uneven.aslant = true, Points
	single.directions, single.within = []r3.Vec{{X: 1}, {Y: 1}, {Z: 1}}, [3]float64{}
	return map[string]shop{"six firings": usual, "three firings": few, "uneven, between points": uneven, "one reading an axis": single}
}

// In simulated shops the intervals hold the truth as often as they say: that of
// the mean to the margin of the count; that of the spread and of the next firing
// about, as their comments say.
func TestIntervalsCoverTheTruth(t *testing.T) {
	runs := simulations(1000)
	for name, s := range shops() {
		t.Run(name, func(t *testing.T) {
			rng := rand.New(rand.NewPCG(11, 12))
			var mean, spread, next, bias [3]float64
			for range runs {
				f := fitted(t, s.fire(rng), FitOptions{Plain: true})
				for k, a := range f.Axes {
					truth := math.Hypot(s.between[k], s.within[k])
					count := func(in *[3]float64, low, v, high float64) {
						if low <= v && v <= high {
							in[k] += 1 / float64(runs)
						}
					}
					count(&mean, a.Low, s.shrinkage[k], a.High)
					count(&spread, a.SpreadLow, truth, a.SpreadHigh)
					count(&next, a.NextLow, s.shrinkage[k]+truth*rng.NormFloat64(), a.NextHigh)
					bias[k] += (a.Shrinkage - s.shrinkage[k]) / float64(runs)
				}
			}
			t.Logf("of 95 %%: mean %.3f, spread %.3f, next %.3f; bias %.5f", mean, spread, next, bias)
			for k := range mean {
				if math.Abs(mean[k]-0.95) > margin(0.95, runs) {
					t.Errorf("axis %d: the interval of 95 %% holds the truth in %.3f", k, mean[k])
				}
				if spread[k] < 0.89-margin(0.95, runs) {
					t.Errorf("axis %d: the interval of the spread holds the truth in %.3f", k, spread[k])
				}
				if next[k] < 0.88-margin(0.95, runs) || next[k] > 0.98+margin(0.95, runs) {
					t.Errorf("axis %d: the next firing lies within in %.3f", k, next[k])
				}
				if math.Abs(bias[k]) > 4*math.Hypot(s.between[k], 0.003)/math.Sqrt(float64(runs*s.firings)) {
					t.Errorf("axis %d: the mean is off by %.5f", k, bias[k])
				}
			}
		})
	}
}

// What is found where there is nothing stays below the level; what is there is
// found.
func TestDriftAndOutliersKeepTheirLevel(t *testing.T) {
	runs := simulations(300)
	s := usualShop()
	rng := rand.New(rand.NewPCG(21, 22))
	var drifts, outliers float64
	for range runs {
		f := fitted(t, s.fire(rng), FitOptions{})
		if f.Axes[0].Drift.Found || f.Axes[1].Drift.Found || f.Axes[2].Drift.Found {
			drifts++
		}
		if len(f.Outliers) > 0 {
			outliers++
		}
	}
	drifts, outliers = drifts/float64(runs), outliers/float64(runs)
	t.Logf("drift found in %.3f, outliers in %.3f of shops without", drifts, outliers)
	if drifts > DriftLevel+margin(DriftLevel, runs) || outliers > OutlierLevel+margin(OutlierLevel, runs) {
		t.Errorf("drift %.3f, outliers %.3f; the levels are %.2f and %.2f", drifts, outliers, DriftLevel, OutlierLevel)
	}
	if drifts+outliers == 0 {
		t.Error("neither is ever found: the levels are not what they say")
	}
}
