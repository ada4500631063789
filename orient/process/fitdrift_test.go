package process

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"gonum.org/v1/gonum/mat"
)

// One mean a firing and an instrument without error make the drift a plain
// regression of the means: slope and t by the least-squares routine.
func TestDriftIsTheRegressionOfTheMeans(t *testing.T) {
	means := []float64{0.160, 0.163, 0.161, 0.166, 0.165, 0.170}
	readings := alongX(nil)
	x, at := mat.NewDense(len(means), 2, nil), []int{0, 3, 10, 11, 20, 30}
	for j, s := range means {
		r := alongX([][]float64{{s}})[0]
		r.Firing, r.Date = string(rune('a'+j)), r.Date.AddDate(0, 0, at[j])
		readings = append(readings, r)
		x.SetRow(j, []float64{1, float64(at[j])})
	}
	line, err := leastSquares(x, means, nil)
	if err != nil {
		t.Fatal(err)
	}
	se := math.Sqrt(line.sum / float64(line.freedom) * line.inverse.At(1, 1))
	d := fitted(t, readings, FitOptions{}).Axes[0].Drift
	near(t, "slope", d.Per30Days, 30*line.beta[1], 1e-7)
	near(t, "latest", d.Latest, line.beta[0]+30*line.beta[1], 1e-7)
	// The error is the robust one, equal in the mean only; its freedom is at most
	// that of the line.
	if r := d.StandardError / (30 * se); r < 0.6 || r > 1.6 || d.Freedom > 4.001 || d.Freedom < 1.5 {
		t.Errorf("standard error %g (plain %g), freedom %g", d.StandardError, 30*se, d.Freedom)
	}
	near(t, "T", d.T, d.Per30Days/d.StandardError, 1e-12)
	if !d.Found || d.P > DriftLevel {
		t.Errorf("drift %+v is not found", d)
	}
}

// A shop that drifts is told so, and only on the axis that does.
func TestDriftIsFound(t *testing.T) {
	s := usualShop()
	s.firings, s.driftPerFiring = 12, 0.004
	rng := rand.New(rand.NewPCG(31, 32))
	runs, found := 20, 0
	for range runs {
		f := fitted(t, s.fire(rng), FitOptions{})
		d := f.Axes[2].Drift
		if !d.Found {
			continue
		}
		found++
		// 0.004 in 7 days
		if math.Abs(d.Per30Days-0.004/7*30) > 6*d.StandardError {
			t.Errorf("drift %g in 30 days, error %g", d.Per30Days, d.StandardError)
		}
		if math.Abs(d.Latest-(0.205+11*0.004)) > 0.02 {
			t.Errorf("it stands at %g", d.Latest)
		}
		if !strings.Contains(strings.Join(f.Remarks, " "), "Z drifts by +") {
			t.Errorf("remarks %q", f.Remarks)
		}
	}
	if found < runs*9/10 {
		t.Errorf("found %d of %d times", found, runs)
	}
}

// A line that the instrument could not have seen is none, however straight it is.
func TestDriftIsNotFinerThanTheInstrument(t *testing.T) {
	readings := alongX([][]float64{{0.1600}, {0.1601}, {0.1602}, {0.1603}, {0.1604}})
	if d := fitted(t, readings, FitOptions{}).Axes[0].Drift; !d.Found {
		t.Errorf("read exactly: %+v", d)
	}
	for i := range readings {
		readings[i].GreenErrorMM, readings[i].SinteredErrorMM = 0.02, 0.02
	}
	x := fitted(t, readings, FitOptions{}).Axes[0]
	if x.Drift.Found {
		t.Errorf("read by calliper: %+v", x.Drift)
	}
	// by hand: 0.02/100 on the sintered and 0.84 times that on the green length
	near(t, "standard error", x.StandardError, 0.0002*math.Hypot(1, 0.84)/math.Sqrt(5), 1e-6)
}

func TestDriftNeedsFiringsAndDates(t *testing.T) {
	four := alongX([][]float64{{0.16}, {0.161}, {0.162}, {0.1635}})
	three := four[:3]
	undated := append([]Reading(nil), four...)
	undated[1].Date = time.Time{}
	sameDay := append([]Reading(nil), four...)
	for i := range sameDay[1:] {
		sameDay[i+1].Date = sameDay[1].Date
	}
	for want, readings := range map[string][]Reading{"four firings": three, "no date": undated, "three days": sameDay} {
		d := fitted(t, readings, FitOptions{}).Axes[0].Drift
		if !strings.Contains(d.Why, want) || !math.IsNaN(d.Per30Days) || d.Found {
			t.Errorf("drift %+v, want %q", d, want)
		}
	}
	if d := fitted(t, four, FitOptions{}).Axes[0].Drift; d.Why != "" || math.IsNaN(d.P) {
		t.Errorf("four firings: %+v", d)
	}
}
