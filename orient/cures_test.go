package orient

import (
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh/meshtest"
)

// What is not passed says what to do next, and what is passed says nothing.
func TestGatesSayWhatToDo(t *testing.T) {
	for _, tt := range []struct {
		gate  string
		spoil func(b *Brief, m *Measures, size *r3.Vec)
		want  string
	}{
		{GatePrinter, func(_ *Brief, _ *Measures, s *r3.Vec) { s.Z = 900 }, "None of the records holds it: make it in pieces"},
		{GateFurnace, func(_ *Brief, _ *Measures, s *r3.Vec) { s.X, s.Y = 240, 160 }, "enter the record of a larger furnace"},
		{GateStands, func(_ *Brief, m *Measures, _ *r3.Vec) { m.TipAngleDeg = 2 }, "Give it a broader foot"},
		{GateLean, func(_ *Brief, m *Measures, _ *r3.Vec) { m.LeanGrowthLow, m.LeanGrowth, m.LeanGrowthHigh = 1.2, 1.7, 8 }, "prop it in the furnace"},
		{GateReach, func(_ *Brief, m *Measures, _ *r3.Vec) { m.SupportVolumeMM3, m.OutOfReachMM3 = 100, 50 }, "steeper than 45 deg from the plate"},
		{GateDebinding, func(_ *Brief, m *Measures, _ *r3.Vec) { m.ThickestGreenWallMM = 25 }, "no wall is thicker than 10.0 mm at finished size"},
		{GateDebinding, func(_ *Brief, m *Measures, _ *r3.Vec) { m.ThickestGreenWallMM, m.ThickestWallAtCavity = 25, true }, "Open the cavity, or make no wall beside it thicker than 5.0 mm"},
		{GateThin, func(_ *Brief, m *Measures, _ *r3.Vec) { m.ThinnestGreenWallMM = 0.5 }, "no thinner than 0.84 mm at finished size."},
		{GateThin, func(b *Brief, m *Measures, _ *r3.Vec) { m.ThinnestGreenWallMM, b.Printer.NozzleMM = 0.5, 0.8 }, "no thinner than 1.34 mm at finished size, or print it with a finer nozzle."},
		{GateSag, func(_ *Brief, m *Measures, _ *r3.Vec) { m.SagLowMM, m.SagMM, m.SagHighMM = 0.4, 1.2, 4.8 }, "carry it on a shaped setter block. The creep coupon tells"},
		{GateSag, func(_ *Brief, m *Measures, _ *r3.Vec) { m.SagLowMM, m.SagMM, m.SagHighMM = 0.2, 0.6, 2.4 }, "Fire the creep coupon, which narrows the range."},
		{GateSag, func(b *Brief, m *Measures, _ *r3.Vec) {
			m.SagLowMM, m.SagMM, m.SagHighMM = 0.2, 0.6, 2.4
			b.Material.Creep.Calibrated = "2026-03-14"
		}, "Shorten or stiffen what hangs free"},
	} {
		b := wallBrief(t)
		b.Printer.HeightMM = 200
		m, size := Measures{TipAngleDeg: 30, ThickestGreenWallMM: 5, ThinnestGreenWallMM: 3}, r3.Vec{X: 40, Y: 30, Z: 20}
		tt.spoil(&b, &m, &size)
		all := []Candidate{boxed(&b, m, size)}
		all[0].Measures.ThinnestGreenWallMM = m.ThinnestGreenWallMM
		rank(all, testYard(), b)
		for _, g := range all[0].Gates {
			switch {
			case g.Name == tt.gate && !strings.Contains(g.Cure, tt.want):
				t.Errorf("%s: it says %q, want %q", g.Name, g.Cure, tt.want)
			case g.Passed != (g.Cure == ""):
				t.Errorf("%s, passed %v, says %q", g.Name, g.Passed, g.Cure)
			}
			if strings.HasPrefix(g.Fault(), "fails") {
				t.Errorf("gate %q has no words of its own", g.Name)
			}
		}
	}
}

// wallBrief is a brief with the usual limits of walls.
func wallBrief(t *testing.T) Brief {
	t.Helper()
	b := testBrief(t)
	b.Material.Shrinkage = [3]float64{0.16, 0.16, 0.2}
	b.Material.Debinding.LargestWallMM, b.Material.Debinding.SmallestWallMM = 12.5, 1
	b.Material.Creep.Calibrated, b.Printer.NozzleMM = "", 0.4
	return b
}

// A part made as the cures say passes whichever way it lies, and a little beyond it
// fails in one.
func TestCuresOfWallsHold(t *testing.T) {
	b := wallBrief(t)
	ways := []r3.Vec{{X: 1}, {Y: 1}, {Z: 1}}
	for _, tt := range []struct {
		name       string
		wall       float64
		gate       int
		passes     bool
		wide, tall float64
	}{
		{"thick enough", b.largestWallSinteredMM() - 0.01, gateDebinding, true, 30, 40},
		{"too thick", b.largestWallSinteredMM() + 0.05, gateDebinding, false, 30, 40},
		{"not too thin", b.smallestWallSinteredMM() + 0.01, gateThin, true, 8, 9},
		{"too thin", b.smallestWallSinteredMM() - 0.02, gateThin, false, 8, 9},
	} {
		part := mendedPart(t, tt.name, meshtest.Block(tt.wall, tt.wide, tt.tall))
		passes := true
		for _, up := range ways {
			m := measured(t, b, part, up)
			v := b.judge(&m, fitting{}, &Lying{})
			passes = passes && v.gates[tt.gate].state == Passed
		}
		if passes != tt.passes {
			t.Errorf("%s: a wall of %.2f mm passes whichever way it lies: %v", tt.name, tt.wall, passes)
		}
	}
}
