package support_test

import (
	"context"
	"encoding/json"
	"fmt"
	"math"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
	"kilnpoise/mesh/meshtest"
	"kilnpoise/orient/support"
)

// planOf makes a plan with a cutter of 6 mm that sticks out 60 mm, bridges of
// 10 mm and sag the same everywhere; below 0 it is not known.
func planOf(t testing.TB, m *mesh.Mesh, sag float64, change func(*support.Limits)) *support.Plan {
	t.Helper()
	l := support.DefaultLimits()
	l.BridgeSpanMM = 10
	l.Cutter = support.Cutter{DiameterMM: 6, LengthMM: 60, HolderMM: 30}
	if change != nil {
		change(&l)
	}
	p, err := siteOf(m, 128*128).Plan(context.Background(), l, func(*support.Region) (float64, bool) { return sag, sag >= 0 })
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func TestAdvice(t *testing.T) {
	if testing.Short() {
		t.Skip("short: numbers alone, and many of them")
	}
	tests := []struct {
		name   string
		m      *mesh.Mesh
		sag    float64
		advice support.Advice
		change support.Alteration
		says   []string // in the reason
	}{
		{"bridge within the limit", bridge(9, 30), 0.1, support.NoSupport, support.NoChange, []string{"spans 9.0 mm", "bridges 10.0 mm", "sags 0.10 mm"}},
		{"bridge too wide", bridge(12, 30), 0.1, support.PrintAndCut, support.NoChange, []string{"spans 12.0 mm", "20.0 mm above the plate"}},
		{"bridge that would sag", bridge(9, 30), 0.5, support.SetterBlock, support.NoChange, []string{"sag 0.50 mm", "0.30 mm are allowed", "shaped block"}},
		{"wide bridge that would sag", bridge(20, 30), 0.5, support.SetterBlock, support.NoChange, []string{"Cut its support off"}},
		{"small wide bridge that would sag", bridge(12, 10), 0.5, support.PrintAndKeep, support.NoChange, []string{"120 mm2 of steel"}},
		{"channel that would sag", channel(), 0.5, support.PrintAndKeep, support.NoChange, []string{"the part itself", "2500 mm2"}},
		{"low channel within the limit that would sag", slot(8), 0.5, support.AluminaSand, support.NoChange, []string{"alumina sand"}},
		{"table", table(), -1, support.PrintAndCut, support.NoChange, []string{"reaches 27.8 mm out"}},
		{"tee", tee(15, 25), -1, support.PrintAndCut, support.NoChange, []string{"reaches 15.0 mm out"}},
		{"stepped shaft", shaft(48), 0.1, support.PrintAndCut, support.NoChange, nil},
		{"cup with a lid", cup(48), 0.1, support.ChangeDesign, support.Chamfer, []string{"closed cavity", "5.0 mm high and 5.0 mm wide"}},
		{"cup with a lid, closer", flatCup(), 0.1, support.ChangeDesign, support.Split, []string{"closed cavity", "Split the part 8.0 mm above"}},
		{"pocket with a narrow hole", pocket(4), 0.1, support.ChangeDesign, support.Chamfer, []string{"way in is about", "cutter 6.0 mm"}},
		{"narrow tube across", bored(8, 40, 5, 64), 0.1, support.NoSupport, support.NoChange, []string{"spans 6.7 mm"}},
		{"long tube across", bored(20, 130, 8, 64), 0.1, support.ChangeDesign, support.Teardrop, []string{"sticks out", "bore of 16.00 mm", "tip 11.31 mm above the axis"}},
		{"foot with a step of 0.3", tee(15, 0.3), 0.1, support.NoSupport, support.NoChange, []string{"no more than 0.30 mm above"}},
		{"leaning wall far in", funnel(), 0.1, support.ChangeDesign, support.Steepen, []string{"45.0 deg from the plate instead of 30.0"}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			p := planOf(t, tt.m, tt.sag, nil)
			if len(p.Items) == 0 {
				t.Fatal("no regions")
			}
			got := p.Items[0]
			if got.Advice != tt.advice || got.Change.Kind != tt.change {
				t.Errorf("advice %v with change %q, want %v with %q: %s", got.Advice, got.Change.Kind.Key(), tt.advice, tt.change.Key(), got.Reason)
			}
			for _, s := range tt.says {
				if !strings.Contains(got.Reason, s) {
					t.Errorf("reason %q does not say %q", got.Reason, s)
				}
			}
			t.Log(got.Advice, "|", got.Reason)
			for _, o := range got.Others {
				t.Log("  or", o.Advice, "|", o.Words)
			}
		})
	}
}

// slot is a block with a slot of the given height and width along y through it.
func slot(wide float64) *mesh.Mesh {
	return meshtest.Blocks([]float64{0, 5, 5 + wide, 10 + wide}, []float64{0, 30}, []float64{0, 5, 13, 18}, func(i, j, k int) bool { return i != 1 || k != 1 })
}

// flatCup is a closed void of 30 x 30, 2 high, from z = 6.
func flatCup() *mesh.Mesh {
	at := []float64{0, 5, 35, 40}
	return meshtest.Blocks(at, at, []float64{0, 6, 8, 14}, func(i, j, k int) bool { return i != 1 || j != 1 || k != 1 })
}

// funnel is a block on whose underside a closed void has a roof at 30 degrees.
func funnel() *mesh.Mesh {
	m := meshtest.Cylinder(30, 60, 64)
	rise := 20 * math.Tan(math.Pi/6)
	inside := meshtest.Lathe([][2]float64{{0, 5}, {20, 5}, {20, 20}, {0, 20 + rise}}, 64)
	for i, f := range inside.Facets {
		inside.Facets[i] = [3]int32{f[0], f[2], f[1]}
	}
	m.Append(inside)
	return m
}

// Dimensions of the design are told at finished size: what is printed at 16/16/20
// oversize comes out right.
func TestChangesAreAtFinishedSize(t *testing.T) {
	o := r3.Vec{X: 1 / 0.84, Y: 1 / 0.84, Z: 1 / 0.8}
	green := func(m *mesh.Mesh) *mesh.Mesh { return m.Transform(mesh.Diagonal(o), r3.Vec{}) }
	oversized := func(l *support.Limits) { l.Oversize = o }
	toDeg := math.Atan(0.8/0.84) * 180 / math.Pi

	c := planOf(t, green(bored(20, 130, 8, 64)), 0.1, oversized).Items[0].Change
	near(t, "bore", c.DiameterMM, 16, 1e-6)
	near(t, "roof angle", c.ToDeg, toDeg, 1e-6)
	near(t, "tip", c.PointMM, 8/math.Cos(toDeg*math.Pi/180), 1e-6)

	c = planOf(t, green(cup(64)), 0.1, oversized).Items[0].Change
	run := (20/0.84 - 10) / 2 // green
	near(t, "chamfer width", c.RunMM, run*0.84, 5e-3)
	near(t, "chamfer height", c.HeightMM, run*0.8, 5e-3)

	c = planOf(t, green(flatCup()), 0.1, oversized).Items[0].Change
	near(t, "height of the split", c.ZMM, 8, 1e-6)
	c = planOf(t, green(funnel()), 0.1, oversized).Items[0].Change
	near(t, "slope now", c.FromDeg, 30, 2e-3)
	near(t, "slope to be", c.ToDeg, toDeg, 1e-6)
}

// A teardrop as advised, and a chamfer as advised, need no support: the proof of
// the dimensions is the shape made with them.
func TestAdvisedShapesNeedNoSupport(t *testing.T) {
	const arm = 15.0
	c := planOf(t, tee(arm, 25), 0.1, nil).Items[0]
	var chamfer support.Change
	for _, o := range c.Others {
		if o.Change.Kind == support.Chamfer {
			chamfer = o.Change
		}
	}
	near(t, "chamfer height", chamfer.HeightMM, arm, 1e-9)
	for name, tt := range map[string]struct {
		height float64
		hangs  bool
	}{"as advised": {chamfer.HeightMM, false}, "a tenth less": {0.9 * chamfer.HeightMM, true}} {
		// A stem that widens to the deck, as a prism along y.
		m := prism([][2]float64{{15, 0}, {25, 0}, {25, 25 - tt.height}, {40, 25}, {40, 30}, {0, 30}, {0, 25}, {15, 25 - tt.height}}, 30)
		if got := len(regionsOf(t, siteOf(m, 32*32))) > 0; got != tt.hangs {
			t.Errorf("chamfer %s: hangs over = %v", name, got)
		}
	}
	tear := planOf(t, bored(20, 130, 8, 64), 0.1, nil).Items[0].Change
	flank := tear.PointMM * math.Cos(tear.ToDeg*math.Pi/180)
	near(t, "distance of the roof's flanks from the axis", flank, 8, 1e-9)
}

// prism stretches a profile in x and z, turning to the left, along y; the ends
// are cut as a fan from the first corner.
func prism(profile [][2]float64, deep float64) *mesh.Mesh {
	m, n := &mesh.Mesh{}, int32(len(profile))
	for _, y := range []float64{0, deep} {
		for _, p := range profile {
			m.Vertices = append(m.Vertices, r3.Vec{X: p[0], Y: y, Z: p[1]})
		}
	}
	for i := range n {
		k := (i + 1) % n
		m.Facets = append(m.Facets, [3]int32{i, n + k, k}, [3]int32{i, n + i, n + k})
		if i > 0 && k > 0 {
			m.Facets = append(m.Facets, [3]int32{0, i, k}, [3]int32{n, n + k, n + i})
		}
	}
	return m
}

// Sums of the plan, and its JSON.
func TestPlanSumsAndRecord(t *testing.T) {
	p := planOf(t, tee(15, 25), 0.1, func(l *support.Limits) { l.DepositMM3S = 2 })
	solid := 2 * 450 * 25 * 0.2
	near(t, "printed", p.PrintMM3, 2*450*25, 2e-3)
	near(t, "mass", p.MassG, solid*5/1000, 2e-3)
	near(t, "time", p.TimeS, solid/2, 2e-3)
	b, err := json.Marshal(p.Record())
	if err != nil {
		t.Fatal(err)
	}
	var back struct {
		Regions []struct {
			Advice   string     `json:"advice"`
			Volume   float64    `json:"support_volume_mm3"`
			Centroid [3]float64 `json:"centroid_mm"`
		} `json:"regions"`
	}
	if err := json.Unmarshal(b, &back); err != nil || len(back.Regions) != 2 {
		t.Fatalf("%v: %s", err, b)
	}
	if r := back.Regions[0]; r.Advice != "print_and_cut" || math.Abs(r.Volume-450*25) > 30 || r.Centroid[2] != 25 {
		t.Errorf("record = %+v", r)
	}
	if c := planOf(t, cup(48), 0.1, nil); math.Abs(c.OutOfReachMM3-c.Items[0].Region.VolumeMM3) > 1e-6 || c.PrintMM3 != 0 {
		t.Errorf("cup: out of reach %g of %g mm3, printed %g", c.OutOfReachMM3, c.Items[0].Region.VolumeMM3, c.PrintMM3)
	}
	lip := planOf(t, tee(0.7, 20), 0.1, nil)
	if len(lip.Items) != 0 || lip.Small.Count != 2 {
		t.Errorf("lips: %d items, %+v", len(lip.Items), lip.Small)
	}
	near(t, "area of lips", lip.Small.AreaMM2, 2*0.7*30, 1e-9)
}

func TestSagOf(t *testing.T) {
	s := siteOf(tee(15, 25), 64*64)
	sag := make([]float64, len(s.Stance.Vertices))
	for i, v := range s.Stance.Vertices {
		if v.X == 0 {
			sag[i] = 0.7
		}
	}
	var got []string
	for _, r := range regionsOf(t, s) {
		mm, known := support.SagOf(s.Stance, sag)(&r)
		got = append(got, fmt.Sprint(r.Centroid.X < 20, mm, known))
	}
	if want := "[true 0.7 true false 0 true]"; fmt.Sprint(got) != want {
		t.Errorf("sag = %v, want %v", got, want)
	}
	if _, known := support.SagOf(s.Stance, sag[1:])(&support.Region{}); known {
		t.Error("sag of another part is known")
	}
}

func TestPlanOfHostileInput(t *testing.T) {
	s := siteOf(table(), 32*32)
	for name, spoil := range map[string]func(*support.Limits){
		"limit":    func(l *support.Limits) { l.OverhangLimitDeg = 90 },
		"bridge":   func(l *support.Limits) { l.BridgeSpanMM = math.NaN() },
		"density":  func(l *support.Limits) { l.SupportDensity = 0 },
		"oversize": func(l *support.Limits) { l.Oversize = r3.Vec{} },
		"cutter":   func(l *support.Limits) { l.Cutter.LengthMM = 0 },
	} {
		l := support.DefaultLimits()
		spoil(&l)
		if _, err := s.Plan(context.Background(), l, nil); err == nil {
			t.Errorf("%s: no error", name)
		}
	}
	for name, m := range map[string]*mesh.Mesh{
		"empty": {}, "block": meshtest.Block(5, 5, 5),
		"one facet": {Vertices: []r3.Vec{{Z: 3}, {Y: 10, Z: 3}, {X: 10, Z: 3}}, Facets: [][3]int32{{0, 1, 2}}},
	} {
		s := support.NewSite(m, 45, 48*48, false, nil)
		p, err := s.Plan(context.Background(), support.DefaultLimits(), nil)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if _, err := json.Marshal(p.Record()); err != nil { // no NaN, no infinity
			t.Errorf("%s: %v", name, err)
		}
	}
}

// Past a collapse no millimetres are told.
func TestCollapseIsNoNumber(t *testing.T) {
	for _, m := range []*mesh.Mesh{bridge(9, 30), channel()} {
		p := planOf(t, m, 7.5, func(l *support.Limits) { l.CollapseMM = 0.9 })
		for i, it := range p.Record().Regions {
			if strings.Contains(it.Reason, "7.5") || !strings.Contains(it.Reason, "collapse") || it.SagMM != nil || !it.SagCollapses {
				t.Errorf("region %d: %q, sag %v", i, it.Reason, it.SagMM)
			}
		}
	}
}
