package process

import (
	"context"
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

func TestExplore(t *testing.T) {
	for _, c := range []struct {
		name string
		do   func(*shop)
	}{
		{"usual", func(s *shop) {}},
		{"points", func(s *shop) { s.aslant = Points }},
		{"uneven", func(s *shop) { s.uneven = true }},
		{"three", func(s *shop) { s.firings = 3 }},
		{"twenty", func(s *shop) { s.firings = 20 }},
		{"no between", func(s *shop) { s.between = [3]float64{} }},
		{"no within", func(s *shop) { s.within = [3]float64{} }},
		{"instrument", func(s *shop) { s.within = [3]float64{}; s.between = [3]float64{}; s.instrumentMM = 0.05 }},
		{"single", func(s *shop) { s.directions = []r3.Vec{{X: 1}, {Y: 1}, {Z: 1}} }},
		{"drift", func(s *shop) { s.driftPerFiring = 0.004; s.firings = 10 }},
	} {
		s := usualShop()
		c.do(&s)
		rng := rand.New(rand.NewPCG(1, 2))
		const runs = 100
		var cover, spread, drift, next [3]float64
		var outl float64
		var meanS, meanSE [3]float64
		var ratio [3]float64
		begin := time.Now()
		for range runs {
			f, err := FitShrinkage(context.Background(), s.fire(rng), FitOptions{Plain: testing.Short()})
			if err != nil {
				t.Fatal(err)
			}
			for k, a := range f.Axes {
				if a.Low <= s.shrinkage[k] && s.shrinkage[k] <= a.High {
					cover[k]++
				}
				tr := math.Hypot(s.between[k], s.within[k])
				if a.SpreadLow <= tr && tr <= a.SpreadHigh {
					spread[k]++
				}
				nx := s.shrinkage[k] + tr*rng.NormFloat64()
				if a.NextLow <= nx && nx <= a.NextHigh {
					next[k]++
				}
				if a.Drift.Found {
					drift[k]++
				}
				meanS[k] += (a.Shrinkage - s.shrinkage[k]) / runs
				meanSE[k] += a.StandardError / runs
				ratio[k] += a.Spread * a.Spread / tr / tr / runs
			}
			if len(f.Outliers) > 0 {
				outl++
			}
		}
		t.Logf("%-10s cover %.3f %.3f %.3f spread %.3f %.3f %.3f next %.3f %.3f %.3f drift %.3f %.3f %.3f outl %.3f bias %.2g %.2g %.2g ratio %.2f %.2f %.2f  %.1f ms", c.name, cover[0]/runs, cover[1]/runs, cover[2]/runs,
			spread[0]/runs, spread[1]/runs, spread[2]/runs, next[0]/runs, next[1]/runs, next[2]/runs, drift[0]/runs, drift[1]/runs, drift[2]/runs, outl/runs, meanS[0], meanS[1], meanS[2], ratio[0], ratio[1], ratio[2], float64(time.Since(begin).Milliseconds())/runs)
	}
}
