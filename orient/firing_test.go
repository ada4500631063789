package orient

import (
	"context"
	"math"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh/meshtest"
)

// A gallows: as loaded its arm droops; solved, the sag is that of the handbook's
// cantilever and more, since its root and its post give way too, and the ranking
// knows it.
func TestFireSolvesTheCandidates(t *testing.T) {
	m := meshtest.Blocks([]float64{0, 12, 24}, []float64{0, 10}, []float64{0, 12, 15}, func(i, j, k int) bool { return i == 0 || k == 1 })
	b := testBrief(t)
	b.OnlyGiven = true
	b.Directions = []r3.Vec{{Y: 1}}
	a := advise(t, partOf("gallows", m), b)
	last := -1.0
	fired, err := a.Fire(context.Background(), FiringOptions{Elements: 4000}, func(p Progress) {
		if p.Fraction < last {
			t.Errorf("progress falls from %g to %g", last, p.Fraction)
		}
		last = p.Fraction
	})
	if err != nil {
		t.Fatal(err)
	}
	if a.AsLoaded().Solved != nil {
		t.Error("the advice that was fired from has changed")
	}
	c := b.Material.Creep
	// Handbook form 1.5 rho g L^4 J / h^2 with shear, L 12, h 3, for a root that is built in.
	want := 1.5 * c.DensityKGM3 * 9.80665 * math.Pow(12e-3, 4) * c.CompliancePerPa / (3e-3 * 3e-3) * 1e3 * (1 + 1.2*3*3/(12.0*12))
	got := fired.AsLoaded().Measures
	if got.SagMethod != SagBySolver || got.SagMM < want || got.SagMM > 2*want {
		t.Errorf("sag %.3f mm (%s), want 1 to 2 times %.3f", got.SagMM, got.SagMethod, want)
	}
	if ratio := got.SagHighMM / got.SagMM; math.Abs(ratio-c.ComplianceHighPerPa/c.CompliancePerPa) > 1e-6 {
		t.Errorf("the high end is %.3f times the sag", ratio)
	}
	if fired.Candidates[0].Origin != Given {
		t.Errorf("first is %s, want the arm lying on its side", fired.Candidates[0].Name)
	}
	detail, err := fired.Detail(context.Background(), fired.AsLoaded())
	if err != nil {
		t.Fatal(err)
	}
	most := 0.0
	for _, v := range detail.Sag {
		most = max(most, v)
	}
	if math.Abs(most-got.SagMM) > 0.05*got.SagMM || len(detail.SinteredFrom) != len(detail.Sintered.Facets) {
		t.Errorf("the field reaches %.3f mm on %d facets, the measure says %.3f", most, len(detail.SinteredFrom), got.SagMM)
	}
}

// Revising the priorities keeps what the furnace said.
func TestReviseKeepsTheFiring(t *testing.T) {
	b := testBrief(t)
	b.OnlyGiven = true
	a := advise(t, partOf("bench", bench()), b)
	fired, err := a.Fire(context.Background(), FiringOptions{Elements: 2000}, nil)
	if err != nil {
		t.Fatal(err)
	}
	b.Priorities = Priorities{ShorterPrint: 1}
	revised, err := fired.Revise(context.Background(), b, nil)
	if err != nil {
		t.Fatal(err)
	}
	if got, want := revised.AsLoaded().Measures.SagMM, fired.AsLoaded().Measures.SagMM; got != want || revised.AsLoaded().Solved == nil {
		t.Errorf("sag %g mm after revising, was %g", got, want)
	}
}

// A part on its edge cannot be solved: the estimate stays and the reason is given.
func TestWhatTipsStaysAnEstimate(t *testing.T) {
	b := testBrief(t)
	b.OnlyGiven = true
	b.Directions = []r3.Vec{{X: 1, Y: 0.3, Z: 0.2}}
	a := advise(t, partOf("block", meshtest.Block(10, 20, 30)), b)
	fired, err := a.Fire(context.Background(), FiringOptions{Elements: 2000}, nil)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range fired.Candidates {
		if c.Origin == Given && (c.Measures.SagMethod != SagByBeam || c.Unsolved == "" || strings.Contains(c.Unsolved, "furnace:")) {
			t.Errorf("a block on its corner: %s, %q", c.Measures.SagMethod, c.Unsolved)
		}
	}
}

// A table printed on its legs because it must be, fired on its top.
func TestRestingPoseIsOffered(t *testing.T) {
	m := meshtest.Blocks([]float64{0, 4, 36, 40}, []float64{0, 4, 26, 30}, []float64{0, 20, 22}, func(i, j, k int) bool {
		return k == 1 || i != 1 && j != 1
	})
	b := testBrief(t)
	b.OnlyGiven = true
	a := advise(t, partOf("table", m), b)
	fired, err := a.Fire(context.Background(), FiringOptions{Elements: 4000}, nil)
	if err != nil {
		t.Fatal(err)
	}
	r := fired.AsLoaded().Resting
	if r == nil || r.Chosen == 0 {
		t.Fatalf("no other pose for a table on its legs: %+v", r)
	}
	if d := angleBetween(r.Pose().Down, r3.Vec{Z: 1}); d > 1 {
		t.Errorf("it is laid on the face towards %v, want its top", r.Pose().Down)
	}
	if low := r.Mesh().Bounds().Min.Z; math.Abs(low) > 1e-9 {
		t.Errorf("laid down it floats at %g mm", low)
	}
	// What is told of the furnace is of that pose, not of the print.
	l, sag := fired.AsLoaded().Lies(), r.Pose().Sag
	if l.SagMM != sag.MM || l.SagHighMM != sag.HighMM || l.SagShapeErrorMM != sag.ResidualMM || l.SagMethod != SagBySolver {
		t.Errorf("laid down it sags by %g to %g mm, solved were %g to %g", l.SagMM, l.SagHighMM, sag.MM, sag.HighMM)
	}
	o := b.oversizeOf()
	if want := 40 * 30 * o.X * o.Y; math.Abs(l.FootprintMM2-want) > 1e-6*want || !l.KeepsItsShape() {
		t.Errorf("green, %g mm2 lie on the setter, want %g", l.FootprintMM2, want)
	}
}

// A thin fin on a heavy base: the column of the quick estimate does not see that it
// leans, the furnace does, and gate, advice and report follow.
func TestFireSolvesTheLean(t *testing.T) {
	m := meshtest.Blocks([]float64{0, 11.25, 12.75, 24}, []float64{0, 18}, []float64{0, 12, 42}, func(i, _, k int) bool { return k == 0 || i == 1 })
	b := testBrief(t)
	b.OnlyGiven = true
	quick := advise(t, partOf("fin", m), b)
	if got := quick.AsLoaded().Measures; got.LeanMethod != LeanByColumn || got.LeanGrowth > 1.1 {
		t.Fatalf("the quick estimate has a growth of %.3f (%s), which shows nothing", got.LeanGrowth, got.LeanMethod)
	}
	fired, err := quick.Fire(context.Background(), FiringOptions{}, nil)
	if err != nil {
		t.Fatal(err)
	}
	c := fired.AsLoaded()
	got := c.Measures
	// CalculiX: it buckles under 0.565 times its weight (testdata/furnace/buckling.csv).
	if want := math.Exp(1 / 0.565); got.LeanMethod != LeanBySolver || math.Abs(got.LeanGrowth/want-1) > 0.1 || got.LeanGrowthLow >= got.LeanGrowth || got.LeanGrowthHigh <= got.LeanGrowth {
		t.Errorf("a lean grows %.2f times, %.2f to %.2f (%s), want %.2f", got.LeanGrowth, got.LeanGrowthLow, got.LeanGrowthHigh, got.LeanMethod, want)
	}
	if !strings.Contains(strings.Join(c.FurnaceAdvice, " "), "slender") {
		t.Errorf("the advice %q does not speak of it", c.FurnaceAdvice)
	}
	lies := got.lyingAsPrinted(c.setter)
	if v := b.judgeLying(&lies); v.gates[gateLean].state != Failed {
		t.Errorf("the gate on leaning says %s", v.gates[gateLean].state)
	}
	if revised, err := fired.Revise(context.Background(), b, nil); err != nil || revised.AsLoaded().Measures.LeanGrowth != got.LeanGrowth {
		t.Errorf("revised: %v", err)
	}
}
