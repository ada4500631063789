package orient

import (
	"math"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/assets"
	"kilnpoise/mesh"
	"kilnpoise/mesh/meshtest"
	"kilnpoise/orient/furnace"
	"kilnpoise/orient/process"
)

// boxed makes a candidate of a green box of the given size.
func boxed(b *Brief, m Measures, size r3.Vec) Candidate {
	c := made(0, m)
	c.GreenSize = size
	corners := meshtest.Block(size.X, size.Y, size.Z).Vertices
	c.plate, _ = b.plateFit(corners, mesh.Identity())
	c.setter, _ = b.setterFit(corners, mesh.Identity())
	return c
}

// Each gate has three states: passed, in doubt where only the likely value is over the
// limit, failed where the low end is too; and the miss grows with what is missed.
func TestGates(t *testing.T) {
	for _, tt := range []struct {
		name  string
		spoil func(m *Measures, size *r3.Vec)
		gate  string
		state State
		miss  float64
	}{
		{"all well", func(*Measures, *r3.Vec) {}, "", Passed, 0},
		{"too tall for the printer", func(_ *Measures, s *r3.Vec) { s.Z = 300 }, GatePrinter, Failed, 0.5},
		{"too long for the setter", func(_ *Measures, s *r3.Vec) { s.X, s.Y = 240, 160 }, GateFurnace, Failed, 0.2},
		{"long, but fits on the slant", func(_ *Measures, s *r3.Vec) { s.X, s.Y = 208.3, 23.8 }, GateFurnace, Passed, 0},
		{"tips", func(m *Measures, _ *r3.Vec) { m.TipAngleDeg = 2 }, GateStands, Failed, 0.75},
		{"does not stand", func(m *Measures, _ *r3.Vec) { m.TipAngleDeg = 0 }, GateStands, Failed, 1},
		{"leans for sure", func(m *Measures, _ *r3.Vec) { m.LeanGrowthLow, m.LeanGrowth, m.LeanGrowthHigh = 1.2, 1.7, 8 }, GateLean, Failed, 6},
		{"may lean", func(m *Measures, _ *r3.Vec) { m.LeanGrowthLow, m.LeanGrowth, m.LeanGrowthHigh = 1.05, 1.2, 2 }, GateLean, Doubtful, 1},
		{"leans at the high end only", func(m *Measures, _ *r3.Vec) { m.LeanGrowthLow, m.LeanGrowth, m.LeanGrowthHigh = 1.01, 1.05, 1.3 }, GateLean, Passed, 0},
		{"trapped support", func(m *Measures, _ *r3.Vec) { m.SupportVolumeMM3, m.OutOfReachMM3, m.partMM3 = 100, 50, 100 }, GateReach, Failed, 0.5},
		{"thick wall", func(m *Measures, _ *r3.Vec) { m.ThickestGreenWallMM = 25 }, GateDebinding, Failed, 1},
		{"thin wall", func(m *Measures, _ *r3.Vec) { m.ThinnestGreenWallMM = 0.5 }, GateThin, Failed, 0.5},
		{"sags for sure", func(m *Measures, _ *r3.Vec) { m.SagLowMM, m.SagMM, m.SagHighMM = 0.4, 1.2, 4.8 }, GateSag, Failed, 3},
		{"may sag", func(m *Measures, _ *r3.Vec) { m.SagLowMM, m.SagMM, m.SagHighMM = 0.2, 0.6, 2.4 }, GateSag, Doubtful, 1},
		{"sags at the high end only", func(m *Measures, _ *r3.Vec) { m.SagLowMM, m.SagMM, m.SagHighMM = 0.05, 0.2, 0.8 }, GateSag, Passed, 0},
	} {
		b := testBrief(t)
		b.Printer.HeightMM = 200
		m, size := Measures{TipAngleDeg: 30, ThickestGreenWallMM: 5}, r3.Vec{X: 40, Y: 30, Z: 20}
		m.ThinnestGreenWallMM = 3
		tt.spoil(&m, &size)
		c := boxed(&b, m, size)
		c.Measures.ThinnestGreenWallMM = m.ThinnestGreenWallMM
		all := []Candidate{c}
		rank(all, testYard(), b)
		for _, g := range all[0].Gates {
			if g.Reason == "" || g.Passed != (g.State == Passed) {
				t.Errorf("%s: gate %q is %s, passed %v, with the reason %q", tt.name, g.Name, g.State, g.Passed, g.Reason)
			}
			want, miss := Passed, 0.0
			if g.Name == tt.gate {
				want, miss = tt.state, tt.miss
			}
			if m.TipAngleDeg <= 0 && (g.Name == GateLean || g.Name == GateSag) {
				want = Doubtful // nobody knows before it stands
			}
			if g.Name == GateFurnace && tt.gate == GatePrinter {
				continue // it is no less tall for the furnace
			}
			if g.State != want || math.Abs(g.Miss-miss) > 1e-9 {
				t.Errorf("%s: gate %q is %s, missed by %g, want %s by %g: %s", tt.name, g.Name, g.State, g.Miss, want, miss, g.Reason)
			}
		}
		if got := all[0].State(); tt.state != got {
			t.Errorf("%s: it is %s", tt.name, got)
		}
	}
}

// Where a record is too small, one that would do is named.
func TestMisfitNamesARecordThatFits(t *testing.T) {
	library := process.OpenLibrary(assets.Records(), "")
	b := testBrief(t)
	b.OtherFurnaces = library.Furnaces.List()
	for _, tt := range []struct {
		size   r3.Vec
		reason string
	}{
		{r3.Vec{X: 250, Y: 200, Z: 20}, "it fits setter-300x250."},
		{r3.Vec{X: 250, Y: 240, Z: 240}, "it fits setter-300x250."},
		{r3.Vec{X: 400, Y: 300, Z: 20}, "at any turn about Z."},
	} {
		c := boxed(&b, Measures{TipAngleDeg: 30}, tt.size)
		all := []Candidate{c}
		rank(all, testYard(), b)
		if g := all[0].Gates[gateFurnace]; g.State != Failed || !strings.HasSuffix(g.Reason, tt.reason) {
			t.Errorf("%v: %s: %q, want it to end with %q", tt.size, g.State, g.Reason, tt.reason)
		}
	}
}

// What topples or collapses in every pose comes after what stands, whatever that
// misses; a misfit that another record cures weighs least of all that is missed.
func TestWhatFallsComesLast(t *testing.T) {
	b := testBrief(t)
	b.OtherFurnaces = []process.Furnace{{ID: "large", SetterMM: [2]float64{400, 400}, HeightMM: 300}}
	stands := Measures{TipAngleDeg: 40, SupportVolumeMM3: 9000, SupportContactMM2: 400, PrintTimeS: 9000}
	falls, collapses, thick, sags := Measures{}, Measures{TipAngleDeg: 40}, stands, stands
	collapses.SagMM, collapses.SagLowMM, collapses.SagSpanMM, collapses.SagCollapses = 0.28, 0.1, 2, true
	thick.ThickestGreenWallMM = 80
	sags.SagMM, sags.SagLowMM = 0.5, 0.2
	small := r3.Vec{X: 20, Y: 20, Z: 20}
	all := []Candidate{
		boxed(&b, falls, small), boxed(&b, collapses, small), boxed(&b, thick, small),
		boxed(&b, stands, r3.Vec{X: 300, Y: 200, Z: 20}), boxed(&b, sags, small), boxed(&b, stands, small),
	}
	for i := range all {
		all[i].Name = []string{"falls", "collapses", "thick", "misfit", "sags", "stands"}[i]
	}
	rank(all, testYard(), b)
	var order []string
	for _, c := range all {
		order = append(order, c.Name)
	}
	if got := strings.Join(order, " "); got != "stands sags misfit thick collapses falls" && got != "stands sags misfit thick falls collapses" {
		t.Errorf("order %s", got)
	}
	if !all[5].Falls() || !all[4].Falls() || all[3].Falls() {
		t.Error("what falls is not told from what stands")
	}
}

// A part that leans while it is printed is in doubt where its supports hold it and it
// is laid on another face, and both are said; else it falls.
func TestLeaningPrintLaidDown(t *testing.T) {
	b := testBrief(t)
	m := Measures{HeldTipDeg: 20, RaftMM3: 500, SupportVolumeMM3: 3000}
	c := boxed(&b, m, r3.Vec{X: 40, Y: 30, Z: 30})
	flat := Lying{TipAngleDeg: 50, Lean: furnace.Lean{Growth: 1, Low: 1, High: 1}}
	c.Resting = &Resting{laid: []Lying{c.Measures.lyingAsPrinted(c.setter), flat}, Chosen: b.chooseLying([]Lying{c.Measures.lyingAsPrinted(c.setter), flat}, unavoidable{})}
	all := []Candidate{c}
	rank(all, testYard(), b)
	g := all[0].Gates[gateStands]
	if g.State != Doubtful || all[0].Falls() || !strings.Contains(g.Reason, "raft") || !strings.Contains(g.Reason, "50.0 deg") {
		t.Errorf("held in print and laid flat: %+v", g)
	}
	all[0].Measures.HeldTipDeg = 0
	rank(all, testYard(), b)
	if g := all[0].Gates[gateStands]; g.Passed || !all[0].Falls() || !strings.Contains(g.Reason, "Nothing holds it") {
		t.Errorf("not held in print: %+v", g)
	}
}
