package orient

import (
	"context"
	"math"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh/meshtest"
	"kilnpoise/orient/support"
)

// A blind hole of 8 x 8, 50 deep: lying, its ceiling needs support that a short
// cutter does not get at and a long one does.
func TestReachOfTheCutterIsAGate(t *testing.T) {
	m := meshtest.Blocks([]float64{0, 50, 60}, []float64{0, 6, 14, 20}, []float64{0, 6, 14, 20}, func(i, j, k int) bool {
		return i == 1 || j != 1 || k != 1
	})
	for _, tt := range []struct {
		length float64
		passes bool
	}{{25, false}, {80, true}} {
		b := testBrief(t)
		b.OnlyGiven = true
		b.Cutter = support.Cutter{DiameterMM: 2, LengthMM: tt.length, HolderMM: 20}
		planned, err := advise(t, partOf("drilled", m), b).PlanSupports(context.Background(), nil)
		if err != nil {
			t.Fatal(err)
		}
		c := planned.AsLoaded()
		for _, g := range c.Gates {
			if g.Name == GateReach && g.Passed != tt.passes {
				t.Errorf("cutter of %g mm: gate passed %v, want %v: %s", tt.length, g.Passed, tt.passes, g.Reason)
			}
			if g.Name == GateReach && !tt.passes && !strings.Contains(g.Reason, "cutter") {
				t.Errorf("the reason does not speak of the cutter: %s", g.Reason)
			}
		}
		var sum float64
		for i := range c.Plan.Items {
			sum += c.Plan.Items[i].Region.VolumeMM3
		}
		sum += c.Plan.Small.VolumeMM3
		if want := c.Measures.SupportVolumeMM3; math.Abs(sum-want) > 0.02*want {
			t.Errorf("the regions hold %g mm3 of support, the measure says %g", sum, want)
		}
	}
}

// The sag of a region is that of the solved field at its place.
func TestPlanKnowsTheSag(t *testing.T) {
	m := meshtest.Blocks([]float64{0, 12, 24}, []float64{0, 10}, []float64{0, 12, 15}, func(i, j, k int) bool { return i == 0 || k == 1 })
	b := testBrief(t)
	b.OnlyGiven = true
	fired, err := advise(t, partOf("gallows", m), b).Fire(context.Background(), FiringOptions{Elements: 2000}, nil)
	if err != nil {
		t.Fatal(err)
	}
	loaded := fired.AsLoaded()
	if laid, err := fired.Plan(context.Background(), loaded); err != nil || laid.Items[0].SagKnown {
		t.Errorf("laid down on another face it goes into the furnace without supports, and they know of a sag (%v)", err)
	}
	loaded.Resting.Chosen = 0
	plan, err := fired.Plan(context.Background(), loaded)
	if err != nil {
		t.Fatal(err)
	}
	if len(plan.Items) != 1 || !plan.Items[0].SagKnown {
		t.Fatalf("%d regions, want the underside of the arm with its sag", len(plan.Items))
	}
	if got, want := plan.Items[0].SagMM, fired.AsLoaded().Measures.SagMM; math.Abs(got-want) > 0.1*want {
		t.Errorf("the arm's underside sags %g mm, the part at most %g", got, want)
	}
	if r3.Norm(plan.Items[0].Region.Centroid) == 0 {
		t.Error("the region has no place")
	}
}

// A flange on a stout column comes down with the column: what it sags by itself is
// within the allowed, so that nothing has to carry it in the furnace.
func TestFlangeOnAColumnNeedsNoProp(t *testing.T) {
	m := meshtest.Blocks([]float64{0, 6, 26, 32}, []float64{0, 6, 26, 32}, []float64{0, 88, 94}, func(i, j, k int) bool {
		return k == 1 || i == 1 && j == 1
	})
	b := testBrief(t)
	b.OnlyGiven = true
	b.Material.AllowedSagMM = 0.3
	fired, err := advise(t, partOf("column", m), b).Fire(context.Background(), FiringOptions{Elements: 4000}, nil)
	if err != nil {
		t.Fatal(err)
	}
	loaded := fired.AsLoaded()
	loaded.Resting.Chosen = 0
	plan, err := fired.Plan(context.Background(), loaded)
	if err != nil {
		t.Fatal(err)
	}
	if all := loaded.Measures.SagMM; all <= b.Material.AllowedSagMM {
		t.Fatalf("all of it comes down %.2f mm, which shows nothing", all)
	}
	for i := range plan.Items {
		item := &plan.Items[i]
		if !item.SagKnown || item.SagMM > b.Material.AllowedSagMM || item.Advice != support.PrintAndCut {
			t.Errorf("%s, sags %.2f mm: %s", item.Advice, item.SagMM, item.Reason)
		}
	}
	if len(plan.Items) == 0 {
		t.Error("the flange has no underside")
	}
}

// The support of a plan weighs what the bodies weigh that are built for it, region by
// region and in all, and so it stands among the measures.
func TestPlanWeighsWhatIsBuilt(t *testing.T) {
	b := testBrief(t)
	b.OnlyGiven = true
	table := meshtest.Blocks([]float64{0, 10, 50, 60}, []float64{0, 20}, []float64{0, 30, 36}, func(i, _, k int) bool { return k == 1 || i != 1 })
	a, err := advise(t, partOf("table", table), b).PlanSupports(t.Context(), nil)
	if err != nil {
		t.Fatal(err)
	}
	c := a.AsLoaded()
	bodies, err := a.Bodies(t.Context(), c, false, nil)
	if err != nil {
		t.Fatal(err)
	}
	var built, told, hours float64
	for i := range bodies {
		if bodies[i].Kind == support.SupportBody {
			built += bodies[i].MassG
			hours += bodies[i].TimeS
		}
	}
	for i := range c.Plan.Items {
		told += c.Plan.Items[i].MassG
	}
	if built <= 0 || math.Abs(told-built) > 1e-9*built || math.Abs(c.Plan.MassG-built) > 1e-9*built || math.Abs(c.Measures.SupportMassG-built) > 1e-9*built {
		t.Errorf("the bodies weigh %.3f g, the regions %.3f, the plan %.3f, the measures say %.3f", built, told, c.Plan.MassG, c.Measures.SupportMassG)
	}
	if hours <= 0 || math.Abs(c.Plan.TimeS-hours) > 1e-9*hours {
		t.Errorf("the bodies take %.1f s, the plan says %.1f", hours, c.Plan.TimeS)
	}

	left, err := a.PlanFor(t.Context(), c.Pose, []int{0})
	if err != nil {
		t.Fatal(err)
	}
	without := left.AsLoaded()
	if want := built - c.Plan.Items[0].MassG; math.Abs(without.Plan.MassG-want) > 1e-9*built || without.Plan.Items[0].MassG != c.Plan.Items[0].MassG {
		t.Errorf("without the first region the plan weighs %.3f g, want %.3f; the region %.3f", without.Plan.MassG, want, without.Plan.Items[0].MassG)
	}
}
