package process

import (
	"context"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
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
				GreenMM: 100, SinteredMM: 100 * (1 - s), GreenErrorMM: 1e-5, SinteredErrorMM: 1e-5,
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

// Aslant lengths follow the points and faces themselves, moved one by one.
func TestRatioFollowsTheGeometry(t *testing.T) {
	s := [3]float64{0.15, 0.17, 0.21}
	for _, n := range []r3.Vec{{X: 1}, {Z: -2}, {X: 1, Z: 1}, {X: 1, Y: -2, Z: 3}, {X: 0.1, Y: 0.9}} {
		for _, a := range []Across{Faces, Points} {
			d := Reading{Direction: n}.direction()
			got, loss := ratio(a, d, s)
			near(t, fmt.Sprint("ratio ", n), got, stretched(a, r3.Unit(n), s), 1e-12)
			for k := range s {
				const step = 1e-6
				up, down := s, s
				up[k], down[k] = s[k]+step, s[k]-step
				high, _ := ratio(a, d, up)
				low, _ := ratio(a, d, down)
				near(t, fmt.Sprint("loss ", n), loss[k], (low-high)/(2*step), 1e-8)
			}
		}
	}
	// 45 degrees between 16 and 20 %: faces sqrt((0.84^2+0.8^2)/2), points
	// sqrt(2/(0.84^-2+0.8^-2)).
	half := Reading{Direction: r3.Vec{X: 1, Z: 1}}.direction()
	faces, _ := ratio(Faces, half, [3]float64{0.16, 0.16, 0.20})
	points, _ := ratio(Points, half, [3]float64{0.16, 0.16, 0.20})
	near(t, "faces", faces, 0.8202439, 1e-7)
	near(t, "points", points, 0.8192681, 1e-6)
}

// Readings without error give the truth back, aslant ones alone too, from a start
// far off.
func TestExactReadingsGiveTheTruth(t *testing.T) {
	truth := [3]float64{0.151, 0.173, 0.214}
	for _, a := range []Across{Faces, Points} {
		var readings []Reading
		for j := range 3 {
			for i, n := range []r3.Vec{{X: 1, Y: 1}, {X: 1, Y: -1, Z: 0.5}, {X: 0.2, Z: 1}, {Y: 1, Z: 1}} {
				readings = append(readings, Reading{
					Firing: fmt.Sprint(j), Name: fmt.Sprint(i), Direction: n, Across: a,
					GreenMM: 30, SinteredMM: 30 * stretched(a, r3.Unit(n), truth), GreenErrorMM: 0.02, SinteredErrorMM: 0.02,
				})
			}
		}
		f := fitted(t, readings, FitOptions{Start: [3]float64{0.4, 0.4, 0.01}})
		for k, x := range f.Axes {
			near(t, "shrinkage", x.Shrinkage, truth[k], 1e-9)
			near(t, "spread", x.Spread, 0, 1e-6)
			for _, one := range f.Firings {
				near(t, "one firing", one.Shrinkage[k], truth[k], 1e-8)
				near(t, "likely", one.Likely[k], truth[k], 1e-8)
			}
		}
		if len(f.Outliers) > 0 || f.Axes[0].Drift.Why == "" {
			t.Errorf("outliers %v, drift %+v without dates", f.Outliers, f.Axes[0].Drift)
		}
	}
}

// Readings in another order give the same to the last digit.
func TestOrderDoesNotMatter(t *testing.T) {
	shop := usualShop()
	readings := shop.fire(rand.New(rand.NewPCG(3, 4)))
	want := fitted(t, readings, FitOptions{})
	rand.New(rand.NewPCG(5, 6)).Shuffle(len(readings), func(i, j int) { readings[i], readings[j] = readings[j], readings[i] })
	got := fitted(t, readings, FitOptions{})
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
}

func TestAxesThatAreNotTold(t *testing.T) {
	read := func(firing string, n r3.Vec) Reading {
		return Reading{Firing: firing, Direction: n, GreenMM: 30, SinteredMM: 25, GreenErrorMM: 0.02, SinteredErrorMM: 0.02}
	}
	tests := []struct {
		name       string
		directions []r3.Vec
		known      [3]bool
		skipped    int
		why        string
	}{
		{"all straight", []r3.Vec{{X: 1}, {Y: 1}, {Z: 1}}, [3]bool{true, true, true}, 0, ""},
		{"only X", []r3.Vec{{X: 1}, {X: 1, Y: 0.001}}, [3]bool{true, false, false}, 0, "no dimension along it"},
		{"X and Z only together", []r3.Vec{{X: 1, Z: 1}, {X: 1, Z: -1}, {Y: 1}}, [3]bool{false, true, false}, 4, "tell X and Z apart"},
		{"X and Z told by two slopes", []r3.Vec{{X: 1, Z: 1}, {X: 2, Z: -1}}, [3]bool{true, false, true}, 0, "no dimension along it"},
		{"one slope over all three", []r3.Vec{{X: 1, Y: 1, Z: 1}}, [3]bool{}, 2, ""},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			var readings []Reading
			for _, firing := range []string{"a", "b"} {
				for _, n := range tt.directions {
					readings = append(readings, read(firing, n))
				}
			}
			f, err := FitShrinkage(context.Background(), readings, FitOptions{})
			if tt.known == [3]bool{} {
				if !errors.Is(err, errNothingToFit) {
					t.Errorf("error %v", err)
				}
				return
			}
			if err != nil {
				t.Fatal(err)
			}
			why := ""
			for k, a := range f.Axes {
				if a.Known != tt.known[k] {
					t.Errorf("%s known: %t", string("XYZ"[k]), a.Known)
				}
				why += a.Why
			}
			if len(f.Skipped) != tt.skipped || !strings.Contains(why, tt.why) {
				t.Errorf("skipped %d (%v), why %q", len(f.Skipped), f.Skipped, why)
			}
		})
	}
}

func TestReadingsThatCannotBeUsed(t *testing.T) {
	good := Reading{Firing: "4", Name: "width", Direction: r3.Vec{X: 1}, GreenMM: 30, SinteredMM: 25, GreenErrorMM: 0.02, SinteredErrorMM: 0.02}
	for want, change := range map[string]func(*Reading){
		"green length is missing":    func(r *Reading) { r.GreenMM = 0 },
		"sintered length is missing": func(r *Reading) { r.SinteredMM = math.NaN() },
		"uncertainty":                func(r *Reading) { r.SinteredErrorMM = 0 },
		"points nowhere":             func(r *Reading) { r.Direction = r3.Vec{} },
		"swapped":                    func(r *Reading) { r.GreenMM, r.SinteredMM = 25, 30 },
		"mistyped":                   func(r *Reading) { r.SinteredMM = 2.5 },
		"faces or points":            func(r *Reading) { r.Across = 7 },
	} {
		bad := good
		change(&bad)
		f := fitted(t, []Reading{good, bad}, FitOptions{})
		if len(f.Skipped) != 1 || f.Skipped[0].Index != 1 || !strings.Contains(f.Skipped[0].Why, want) || !strings.Contains(f.Skipped[0].Why, "width of firing 4") {
			t.Errorf("skipped %+v, want %q", f.Skipped, want)
		}
		if _, err := FitShrinkage(context.Background(), []Reading{bad}, FitOptions{}); !errors.Is(err, errNothingToFit) {
			t.Errorf("%s alone: %v", want, err)
		}
	}
	left := good
	left.LeftOut, left.SinteredMM = true, 28
	if f := fitted(t, []Reading{good, left}, FitOptions{}); f.Readings != 1 || len(f.Skipped) != 0 || math.Abs(f.Axes[0].Shrinkage-1.0/6) > 1e-9 {
		t.Errorf("with one left out: %d readings, skipped %v, %g", f.Readings, f.Skipped, f.Axes[0].Shrinkage)
	}
	if _, err := FitShrinkage(context.Background(), []Reading{good}, FitOptions{Confidence: 95}); err == nil {
		t.Error("a confidence of 95 is taken")
	}
}

// One firing gives a mean, and says that it gives no more.
func TestOneFiringGivesNoInterval(t *testing.T) {
	f := fitted(t, alongX([][]float64{{0.16, 0.162, 0.164}}), FitOptions{})
	x := f.Axes[0]
	near(t, "shrinkage", x.Shrinkage, 0.162, 1e-9)
	for name, v := range map[string]float64{"low": x.Low, "spread": x.Spread, "error": x.StandardError, "next": x.NextHigh} {
		if !math.IsNaN(v) {
			t.Errorf("%s = %g from one firing", name, v)
		}
	}
	if len(f.Remarks) == 0 || !strings.Contains(f.Remarks[0], "does not show how firings differ") {
		t.Errorf("remarks %q", f.Remarks)
	}
}
