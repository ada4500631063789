package process

import (
	"math"
	"strings"
	"testing"
)

// A part that follows its record loses the binder and comes out at the density
// that the record implies: 5.0, 1.41, 7.95 g/cm3 and 16/16/20 % give 0.549 metal, so
// 12.7 % of the mass is binder and the part is 97.2 % dense (by hand).
func TestDensityOfAPartByTheRecord(t *testing.T) {
	m := steel(t)
	f := fitted(t, alongX([][]float64{{0.16}, {0.16}, {0.16}}), FitOptions{})
	w := Weighing{Firing: "2", GreenMassG: m.GreenMassG(2000), SinteredMassG: m.SinteredMassG(2000), GreenVolumeMM3: 2000}
	c := f.CheckDensity(m, w)
	near(t, "mass loss", c.MassLoss, 0.1273, 1e-3)
	near(t, "expected", c.MassLoss, c.ExpectedLoss, 1e-12)
	near(t, "green", c.GreenDensityGCM3, 5.0, 1e-12)
	near(t, "relative", c.Relative, m.RelativeSinteredDensity(), 1e-6)
	near(t, "relative by hand", c.Relative, 0.972, 1e-3)
	near(t, "g/cm3", c.SinteredDensityGCM3, m.SinteredDensityGCM3(), 1e-5)
	// Y and Z are not known from the readings: the record's spread is their error.
	near(t, "error", c.RelativeError, 0.972*math.Hypot(0.004/0.84, 0.008/0.80), 1e-4)
	if len(c.Remarks) > 0 || c.Measured {
		t.Errorf("%+v", c)
	}
	w.SinteredVolumeMM3 = 1200
	c = f.CheckDensity(m, w)
	if !c.Measured || c.RelativeError != 0 || math.Abs(c.SinteredDensityGCM3-w.SinteredMassG/1.2) > 1e-12 {
		t.Errorf("with a measured volume: %+v", c)
	}
}

// A firing that shrank more than the rest has a part denser than the rest.
func TestDensityFollowsTheFiring(t *testing.T) {
	m := steel(t)
	f := fitted(t, alongX([][]float64{{0.15, 0.1501}, {0.16, 0.1601}, {0.17, 0.1701}}), FitOptions{})
	w := Weighing{GreenMassG: 10, SinteredMassG: 8.73, GreenVolumeMM3: 2000}
	var last float64
	for _, firing := range []string{"1", "2", "3"} {
		w.Firing = firing
		c := f.CheckDensity(m, w)
		if c.Relative < last*1.005 {
			t.Errorf("firing %s: %g after %g", firing, c.Relative, last)
		}
		last = c.Relative
	}
}

func TestDensityRemarks(t *testing.T) {
	m := steel(t)
	good := Weighing{GreenMassG: 10, SinteredMassG: 8.73, GreenVolumeMM3: 2000}
	for want, change := range map[string]func(*Weighing){
		"":                        func(*Weighing) {},
		"swapped":                 func(w *Weighing) { w.GreenMassG, w.SinteredMassG, w.GreenVolumeMM3 = w.SinteredMassG, w.GreenMassG, 0 },
		"still be in there":       func(w *Weighing) { w.SinteredMassG = 9.2 },
		"break off":               func(w *Weighing) { w.SinteredMassG = 8.4 },
		"not printed full":        func(w *Weighing) { w.GreenVolumeMM3 = 2200 },
		"density is too low":      func(w *Weighing) { w.GreenVolumeMM3 = 1900 },
		"from the volume measure": func(w *Weighing) { w.SinteredVolumeMM3 = 1300 },
	} {
		w := good
		change(&w)
		c := ShrinkageFit{}.CheckDensity(m, w)
		text := strings.Join(c.Remarks, "\n")
		if want == "" && text != "" || !strings.Contains(text, want) {
			t.Errorf("%+v: %q, want %q", w, text, want)
		}
	}
	c := ShrinkageFit{}.CheckDensity(m, Weighing{})
	if !math.IsNaN(c.MassLoss) || !math.IsNaN(c.Relative) || len(c.Remarks) != 0 {
		t.Errorf("nothing weighed: %+v", c)
	}
}
