package process

import (
	"context"
	"fmt"
	"math"
	"testing"
	"time"

	"gonum.org/v1/gonum/spatial/r3"
)

// alongX makes readings along X out of firings of shrinkages, read with hardly any
// error.
func alongX(firings [][]float64) []Reading {
	var out []Reading
	for j, shrinkages := range firings {
		for _, s := range shrinkages {
			out = append(out, Reading{
				Firing: fmt.Sprint(j + 1), Date: time.Date(2026, 1, 1+j, 0, 0, 0, 0, time.UTC), Direction: r3.Vec{X: 1},
				GreenMM: 100, SinteredMM: 100 * (1 - s), GreenErrorMM: 1e-7, SinteredErrorMM: 1e-7,
			})
		}
	}
	return out
}

func fitted(t testing.TB, readings []Reading, o FitOptions) ShrinkageFit {
	t.Helper()
	f, err := FitShrinkage(context.Background(), readings, o)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// The yield of dyestuff of six batches, five preparations each, is the textbook's
// one-way random model: Davies and Goldsmith, Statistical Methods in Research and
// Production, 4th ed. 1972. Data from memory; the published estimates are, from
// memory too, 1527.5 for the mean with a standard error of 19.38, and by restricted
// maximum likelihood 42.00 between and 49.51 within batches. Below they follow from
// the sums of squares again.
func TestOneWayModelOfTheTextbook(t *testing.T) {
	yields := [][]float64{
		{1545, 1440, 1440, 1520, 1580}, {1540, 1555, 1490, 1560, 1495}, {1595, 1550, 1605, 1510, 1560},
		{1445, 1440, 1595, 1465, 1545}, {1595, 1630, 1515, 1635, 1625}, {1520, 1455, 1450, 1480, 1445},
	}
	const scale = 1e-4
	var mean, means, inner float64
	average := func(v []float64) (sum float64) {
		for _, x := range v {
			sum += x / float64(len(v))
		}
		return sum
	}
	for j, batch := range yields {
		m := average(batch)
		for i, y := range batch {
			inner += (y - m) * (y - m) / 24
			yields[j][i] = y * scale
		}
		mean += m / 6
	}
	for _, batch := range yields {
		means += math.Pow(average(batch)/scale-mean, 2) / 5
	}
	f := fitted(t, alongX(yields), FitOptions{})
	x := f.Axes[0]
	near(t, "mean", x.Shrinkage/scale, 1527.5, 1e-6)
	near(t, "standard error", x.StandardError/scale, 19.38, 0.005)
	near(t, "standard error by hand", x.StandardError/scale, math.Sqrt(means/6), 1e-6)
	near(t, "degrees of freedom", x.Freedom, 5, 1e-6)
	near(t, "between", x.Between/scale, 42.00, 0.01)
	near(t, "between by hand", x.Between/scale, math.Sqrt(means-inner/5), 1e-2)
	near(t, "within", x.Within/scale, 49.51, 0.01)
	near(t, "within by hand", x.Within/scale, math.Sqrt(inner), 1e-2)
	near(t, "spread", x.Spread, math.Hypot(x.Between, x.Within), 1e-12)
	// Student's t for 95 % and 5 degrees of freedom: 2.571 in every table.
	near(t, "low end", x.Low/scale, 1527.5-2.570582*math.Sqrt(means/6), 1e-4)
	if x.Firings != 6 || x.Readings != 30 || f.Readings != 30 || len(f.Outliers) != 0 {
		t.Errorf("%d firings, %d readings, outliers %v", x.Firings, x.Readings, f.Outliers)
	}
	if f.Axes[1].Known || f.Axes[2].Known || !math.IsNaN(f.Axes[2].Shrinkage) {
		t.Errorf("Y and Z are %+v and %+v, want not known", f.Axes[1], f.Axes[2])
	}
}
