package orient

import (
	"context"
	"encoding/json"
	"math"
	"strings"
	"testing"

	"kilnpoise/mesh"
	"kilnpoise/mesh/meshtest"
	"kilnpoise/orient/support"
)

// proppedParts are stood as loaded, each with what carries it.
func proppedParts() map[string]struct {
	m    *mesh.Mesh
	kind string // of all props
} {
	type t = struct {
		m    *mesh.Mesh
		kind string
	}
	return map[string]t{
		"cross": {m: meshtest.Boxes([]meshtest.Box{meshtest.At(0, 0, 0, 12, 12, 26), meshtest.At(-24, 2, 11, 60, 8, 4), meshtest.At(2, -24, 13, 8, 60, 4)}), kind: "ceramic"},
		"block": {m: meshtest.Block(20, 20, 10)},
		"shelf over its base": {m: meshtest.Boxes([]meshtest.Box{
			meshtest.At(-26, -26, 0, 64, 64, 5), meshtest.At(0, 0, 5, 12, 12, 26), meshtest.At(-24, 2, 16, 60, 8, 4), meshtest.At(2, -24, 18, 8, 60, 4)}), kind: "kept support"},
	}
}

// firedAndPlanned fires a part as it is loaded and plans supports and props.
func firedAndPlanned(t *testing.T, m *mesh.Mesh) (*Advice, Brief) {
	t.Helper()
	b := testBrief(t)
	b.OnlyGiven = true
	fired, err := advise(t, partOf("propped", m), b).Fire(context.Background(), FiringOptions{Elements: 5000}, nil)
	if err != nil {
		t.Fatal(err)
	}
	planned, err := fired.PlanSupports(context.Background(), nil)
	if err != nil {
		t.Fatal(err)
	}
	if fired.AsLoaded().Props != nil {
		t.Error("the advice that was given has changed")
	}
	return planned, b
}

// TestPropsCarry: what droops is put on props, which bring it within the allowed; gates, cost
// and JSON tell the sag on them, and the bare one stays as it was.
func TestPropsCarry(t *testing.T) {
	for name, tt := range proppedParts() {
		t.Run(name, func(t *testing.T) {
			a, b := firedAndPlanned(t, tt.m)
			c := a.AsLoaded()
			if c.RestsOtherwise() {
				t.Fatalf("laid on another face: %s", c.Resting.Reason)
			}
			p, lies := c.Props, c.Lies()
			if p == nil || p.sag == nil || lies.Propped != len(p.Props) || (len(p.Props) > 0) != (tt.kind != "") {
				t.Fatalf("props %+v, %d in the furnace", p, lies.Propped)
			}
			t.Logf("%d props: droop %.3f -> %.3f mm, sag %.3f -> %.3f mm; %s", len(p.Props), p.DroopBareMM, p.DroopMM, lies.Bare().SagMM, lies.SagMM, c.Gates[gateSag].Reason)
			for _, prop := range p.Props {
				if !strings.Contains(prop.Kind, tt.kind) {
					t.Errorf("a %s, want %s", prop.Kind, tt.kind)
				}
			}
			if !p.Within || p.DroopMM > b.Material.AllowedSagMM || p.DroopMM > p.DroopBareMM {
				t.Errorf("it droops %g mm with them, %g bare: %v", p.DroopMM, p.DroopBareMM, p.Sentences)
			}
			if lies.SagMM != p.sag.MM || lies.Bare().SagMM != c.Measures.SagMM || lies.SagMM > c.Measures.SagMM*(1+1e-9) {
				t.Errorf("in the furnace it sags %g mm, bare %g; the plan has %g, the measures %g", lies.SagMM, lies.Bare().SagMM, p.sag.MM, c.Measures.SagMM)
			}
			if want := (lies.SagMM <= b.Material.AllowedSagMM) && !lies.SagCollapses; c.Gates[gateSag].Passed != want {
				t.Errorf("the gate on sag: %s", c.Gates[gateSag].Reason)
			}
			plannedInJSON(t, a, c)
			propsMatchThePlan(t, c)
		})
	}
}

// plannedInJSON wants the planned sag beside the bare one.
func plannedInJSON(t *testing.T, a *Advice, c *Candidate) {
	t.Helper()
	text, err := json.Marshal(NewReport(a).Candidates[c.Rank-1])
	if err != nil {
		t.Fatal(err)
	}
	var r struct {
		Measures map[string]any `json:"measures"`
		Resting  map[string]any `json:"resting_pose"`
		PropPlan *PropPlan      `json:"prop_plan"`
	}
	if err := json.Unmarshal(text, &r); err != nil {
		t.Fatal(err)
	}
	for _, of := range []map[string]any{r.Measures, r.Resting} {
		planned, ok := of["sag_planned_mm"].(float64)
		low, _ := of["sag_planned_low_mm"].(float64)
		high, _ := of["sag_planned_high_mm"].(float64)
		if l := c.Lies(); !ok || planned != l.SagMM || low != l.SagLowMM || high != l.SagHighMM || of["sag_mm"] != c.Measures.SagMM {
			t.Errorf("JSON has sag %v, planned %v (%v to %v)", of["sag_mm"], planned, low, high)
		}
	}
	if r.PropPlan == nil || len(r.PropPlan.Props) != len(c.Props.Props) || len(r.PropPlan.Sentences) == 0 {
		t.Errorf("JSON has the plan %+v", r.PropPlan)
	}
}

// propsMatchThePlan: what is set on ceramic says so, region by region, and what is kept is
// kept.
func propsMatchThePlan(t *testing.T, c *Candidate) {
	t.Helper()
	kept := 0
	for i := range c.Plan.Items {
		item := &c.Plan.Items[i]
		switch {
		case item.Advice == support.PrintAndKeep:
			kept++
		case item.Advice == support.CeramicBlock && (!strings.Contains(item.Reason, "ceramic") || item.Prints != c.Plan.Needs(item) || len(item.Others) == 0):
			t.Errorf("region %d: %+v", i+1, item)
		}
	}
	if set := c.PropsToSet(); len(set)+kept != len(c.Props.Props) {
		t.Errorf("%d props to set and %d regions kept, of %d", len(set), kept, len(c.Props.Props))
	}
	for _, p := range c.Props.Props {
		if p.Kind == "kept support" {
			kept--
		}
		if p.ceramic() && (math.Abs(p.PlaceGreenMM-p.SizeMM[2]-p.ClearMM) > 1e-9 || p.GreenHeightMM != p.SizeMM[2]) {
			t.Errorf("%+v", p)
		}
	}
	if kept != 0 {
		t.Errorf("%d regions are kept that no prop is for", kept)
	}
}

// TestNoPlanOfProps: an arm over its own base that no support is kept under cannot be
// propped, and the gate says what to change.
func TestNoPlanOfProps(t *testing.T) {
	tt := proppedParts()["shelf over its base"]
	a, _ := firedAndPlanned(t, tt.m)
	c := a.AsLoaded()
	var all []int
	for i := range c.Plan.Items {
		all = append(all, i)
	}
	left, err := a.PlanFor(context.Background(), c.Pose, all)
	if err != nil {
		t.Fatal(err)
	}
	without := left.AsLoaded()
	g := without.Gates[gateSag]
	if p := without.Props; p.Within || len(p.Props) != 0 || p.Thicker <= 1 || g.Passed || !strings.Contains(g.Cure, "No plan of props") {
		t.Errorf("with nothing kept: %+v; %s %s", without.Props, g.Reason, g.Cure)
	}
	if without.Lies().SagMM != c.Measures.SagMM || without.Lies().Propped != 0 {
		t.Errorf("with nothing kept it sags %g mm, bare %g", without.Lies().SagMM, c.Measures.SagMM)
	}
	if !strings.Contains(without.Resting.Reason, "as its supports are planned") {
		t.Errorf("with nothing kept: %s", without.Resting.Reason)
	}
	back, err := left.PlanFor(context.Background(), c.Pose, nil)
	if err != nil {
		t.Fatal(err)
	}
	if got, want := back.AsLoaded().Lies().SagMM, c.Lies().SagMM; got != want {
		t.Errorf("taken back it sags %g mm, before %g", got, want)
	}
}

// TestPropsCost: each prop counts against a candidate.
func TestPropsCost(t *testing.T) {
	var y yardstick
	y.greenArea = 1
	m, l := Measures{TipAngleDeg: 40}, Lying{AsPrinted: true, TipAngleDeg: 40}
	bare := y.handicap(&m, &l)
	l.Propped = 3
	if got := y.handicap(&m, &l) - bare; math.Abs(got-3*setProp) > 1e-12 {
		t.Errorf("three props cost %g", got)
	}
}
