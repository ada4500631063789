package process

import (
	"math"
	"testing"
)

// Derived from 5.0, 1.41 and 7.95 g/cm3 and 16/16/20: metal fraction 0.549,
// relative density 0.972, 7.73 g/cm3.
func TestSinteredDensity(t *testing.T) {
	m := steel(t)
	near(t, "metal fraction", m.MetalFraction(), 0.549, 5e-4)
	near(t, "relative density", m.RelativeSinteredDensity(), 0.972, 5e-4)
	near(t, "density", m.SinteredDensityGCM3(), 7.73, 5e-3)
}

func TestMasses(t *testing.T) {
	m := steel(t)
	near(t, "green mass of 10 cm3", m.GreenMassG(10_000), 50, 1e-12)
	// binder and metal make up the green mass
	binder := 10 * (1 - m.MetalFraction()) * m.BinderDensityGCM3
	near(t, "sintered mass", m.SinteredMassG(10_000), 50-binder, 1e-12)
	// the sintered mass fills the sintered volume at the sintered density
	sintered := 10 * m.VolumeRatio()
	near(t, "sintered mass", m.SinteredMassG(10_000), sintered*m.SinteredDensityGCM3(), 1e-12)
}

// 1.75 mm filament holds pi/4 1.75^2 = 2.405 mm3 per mm.
func TestFilamentLength(t *testing.T) {
	m := steel(t)
	near(t, "1 m", m.FilamentLengthM(2405.28), 1, 1e-5)
	near(t, "nothing", m.FilamentLengthM(0), 0, 0)
	if got := (Material{}).FilamentLengthM(1); !math.IsInf(got, 1) {
		t.Errorf("without a diameter = %g, want infinity", got)
	}
}

// Derived: half of a wall of 10 mm at 1 and 2 mm/h takes 5 and 2.5 h.
func TestDebindingHours(t *testing.T) {
	low, high := steel(t).DebindingHours(10)
	near(t, "low", low, 2.5, 0)
	near(t, "high", high, 5, 0)
}

// The viscous Poisson ratio of the record: nu = (3r - 1)/(3r + 1) after Skorohod
// and Olevsky (derived: r = 0.6 gives 0.285714), averaged over the relative density
// from 0.60 to 0.97 with the compliance that each step adds, dJ/dr ~ 4/(r(1-r)) +
// 4/r^2 + 1/r^3; and by the same integral the compliance itself, for a radius of
// 5 um and a surface energy of 2 J/m2 (both from memory).
func TestCreepFiguresFollowFromTheModel(t *testing.T) {
	const steps = 20000
	const first, last = 0.60, 0.97
	poisson := func(r float64) float64 { return (3*r - 1) / (3*r + 1) }
	near(t, "Poisson at 0.6", poisson(0.6), 0.285714, 5e-7)
	near(t, "Poisson at 0.9", poisson(0.9), 0.4595, 5e-5)
	var sum, weighted, density float64
	for i := range steps {
		r := first + (last-first)*(float64(i)+0.5)/steps
		j := (4/(r*(1-r)) + 4/(r*r) + 1/(r*r*r)) * (last - first) / steps
		sum += j
		weighted += j * poisson(r)
		density += j * r
	}
	m := steel(t)
	near(t, "mean Poisson ratio", weighted/sum, m.Creep.Poisson, 5e-3)
	compliance := 5e-6 / (27 * 2.0) * sum
	near(t, "compliance", compliance, 1.4521e-6, 5e-11)
	near(t, "compliance of the record", m.Creep.CompliancePerPa, compliance, 0.05e-6)
	mean := density / sum * m.MetalDensityGCM3 * 1000
	near(t, "mean density", mean, 6550, 5)
	if d := m.Creep.DensityKGM3; d < mean || d > 1000*m.SinteredDensityGCM3() {
		t.Errorf("density while creeping = %g kg/m3, want it between the mean %g and the sintered one", d, mean)
	}
}

// As the record says: a lean grows by exp((h/h_c)^3), so a tenth is reached at
// h = 0.457 h_c (derived); and the smallest tip angle is about that of a block
// seven times as high as wide.
func TestLimitsFollowFromTheirSources(t *testing.T) {
	m := steel(t)
	near(t, "height ratio", math.Cbrt(math.Log(1+m.AllowedLeanGrowth)), 0.457, 5e-4)
	near(t, "tip angle", m.SmallestTipDeg, math.Atan(1.0/7)*180/math.Pi, 0.2)
}
