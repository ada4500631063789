package orient

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh/meshtest"
)

// loaded gives the measures of a mesh as loaded.
func loaded(t *testing.T, b Brief, name string, size r3.Vec) Candidate {
	t.Helper()
	b.OnlyGiven = true
	return *advise(t, partOf(name, meshtest.Block(size.X, size.Y, size.Z)), b).AsLoaded()
}

// Facts 2 (derived): 16/16/20 makes the green volume 1.77154 times the sintered.
func TestMassAndFilament(t *testing.T) {
	b := testBrief(t)
	m := loaded(t, b, "block", r3.Vec{X: 10, Y: 10, Z: 10}).Measures
	volume := 1000 * 1.77154
	if want := volume / 1000 * b.Material.GreenDensityGCM3; math.Abs(m.GreenMassG-want) > 1e-3*want {
		t.Errorf("green mass = %g g, want %g", m.GreenMassG, want)
	}
	d := b.Material.FilamentDiameterMM
	if want := volume / (math.Pi / 4 * d * d) / 1000; math.Abs(m.FilamentLengthM-want) > 1e-3*want {
		t.Errorf("filament = %g m, want %g", m.FilamentLengthM, want)
	}
}

// One standard deviation of each overall dimension, by exact propagation: along
// an axis of the print frame a length L varies by L ds/(1-s).
func TestDimensionSpread(t *testing.T) {
	b := testBrief(t)
	b.Material.Shrinkage = [3]float64{0.16, 0.16, 0.2}
	b.Material.ShrinkageSpread = [3]float64{0.004, 0.004, 0.008}
	got := loaded(t, b, "block", r3.Vec{X: 40, Y: 20, Z: 60}).Measures.DimensionSpreadMM
	x, y, z := 40*0.004/0.84, 20*0.004/0.84, 60*0.008/0.8
	if want := math.Sqrt((x*x + y*y + z*z) / 3); math.Abs(got-want) > 1e-9 {
		t.Errorf("spread = %g mm, want %g", got, want)
	}
}

// Facts 6 (derived): a face at 45 degrees with 0.15 mm layers has cusps of
// 0.10607 mm. A square bar on its edge has nothing else but its flat ends.
func TestStepHeight(t *testing.T) {
	b := testBrief(t)
	b.OnlyGiven = true
	b.Material.Shrinkage = [3]float64{}
	b.Material.LayerHeightMM = 0.15
	b.Directions = []r3.Vec{{X: 1, Y: 1}}
	a := advise(t, partOf("bar", meshtest.Block(10, 10, 100)), b)
	for _, c := range a.Candidates {
		if c.Origin != Given {
			continue
		}
		side, ends := 4*10*100.0, 2*100.0
		if want := 0.10607 * side / (side + ends); math.Abs(c.Measures.StepHeightMM-want) > 1e-4*want {
			t.Errorf("step height = %g mm, want %g", c.Measures.StepHeightMM, want)
		}
	}
}
