package support_test

import (
	"context"
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
	"kilnpoise/mesh/meshtest"
	"kilnpoise/orient/support"
)

// want is what is known of one region.
type want struct {
	area, volume, onPart, scar float64
	gap, ledge                 float64
	held, free                 float64
	holds                      bool
	span                       float64
	form                       support.Form
}

func TestRegionsAgainstClosedForms(t *testing.T) {
	const n = 64
	ring := discArea(12, n) - discArea(5, n)
	side := 2 * math.Sin(math.Pi/n) // of the polygon about a unit circle
	tests := []struct {
		name string
		m    *mesh.Mesh
		want []want
	}{
		{"block", meshtest.Block(10, 20, 30), nil},
		{"bridge", bridge(12, 30), []want{
			{area: 360, volume: 7200, gap: 20, ledge: 6, held: 60, free: 24, holds: true, span: 12}}},
		{"table", table(), []want{
			// The middle is as far from two legs as from the others.
			{area: 60*40 - 144, volume: (60*40 - 144) * 30, gap: 30, ledge: math.Hypot(24, 14), held: 48, free: 2 * (48 + 28)}}},
		{"tee", tee(15, 25), []want{
			{area: 450, volume: 450 * 25, gap: 25, ledge: 15, held: 30, free: 60},
			{area: 450, volume: 450 * 25, gap: 25, ledge: 15, held: 30, free: 60}}},
		{"stepped shaft", shaft(n), []want{
			{area: ring, volume: ring * 10, gap: 10, ledge: 12 - 5*math.Cos(math.Pi/n), held: n * 5 * side, free: n * 12 * side}}},
		{"cup with a lid", cup(n), []want{
			{area: discArea(10, n), volume: discArea(10, n) * 20, onPart: discArea(10, n) * 20, scar: discArea(10, n),
				gap: 20, ledge: 10 * math.Cos(math.Pi/n), held: n * 10 * side, holds: true, span: 20}}},
		{"channel", channel(), []want{
			{area: 1250, volume: 12500, onPart: 12500, scar: 1250, gap: 10, ledge: 25, held: 50, free: 100}}},
		{"pocket", pocket(8), []want{
			{area: 400, volume: 8000, onPart: 8000, scar: 400, gap: 20, ledge: 10, held: 80, holds: true, span: 20},
			{area: 80, volume: 640, onPart: 640, scar: 80, gap: 8, ledge: 4, held: 20, free: 16, holds: true, span: 8}}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			s := siteOf(tt.m, 240*240)
			got := regionsOf(t, s)
			if len(got) != len(tt.want) {
				t.Fatalf("%d regions, want %d: %+v", len(got), len(tt.want), got)
			}
			for i, w := range tt.want {
				w.check(t, &got[i])
			}
		})
	}
}

// check compares one region. Sums are exact but for the lines; the ledge of
// round and inner places is good to a cell.
func (w want) check(t *testing.T, r *support.Region) {
	t.Helper()
	near(t, "area", r.AreaMM2, w.area, 1e-9)
	near(t, "volume", r.VolumeMM3, w.volume, 2e-3)
	near(t, "on the part", r.OnPartMM3, w.onPart, 2e-3)
	near(t, "scar below", r.ScarBelowMM2, w.scar, 4e-3)
	near(t, "mean gap", r.GapMeanMM, w.gap, 1e-6)
	near(t, "ledge", r.LedgeMM, w.ledge, 0.03)
	near(t, "held", r.HeldMM, w.held, 1e-9)
	near(t, "free", r.FreeMM, w.free, 1e-9)
	if r.Bridge.Holds != w.holds {
		t.Errorf("bridge holds = %v, share %g, want %v", r.Bridge.Holds, r.Bridge.Share, w.holds)
	}
	if w.holds {
		near(t, "span", r.Bridge.SpanMM, w.span, 2e-3)
	}
	if r.Form != w.form {
		t.Errorf("form = %v, want %v", r.Form, w.form)
	}
	if len(r.Below) == 0 != (w.onPart == 0) {
		t.Errorf("%d facets below, on the part %g mm3", len(r.Below), w.onPart)
	}
}

// The roof of a tube across: between the walls at 45 degrees it is sqrt 2 r wide.
func TestTubeAcross(t *testing.T) {
	const n, r, deep = 256, 8.0, 40.0
	s := siteOf(bored(20, deep, r, n), 200*200)
	got := regionsOf(t, s)
	if len(got) != 1 {
		t.Fatalf("%d regions, want the roof of the tube", len(got))
	}
	b := got[0].Bridge
	if !b.Holds || math.Abs(b.Direction.X) < 0.9999 {
		t.Errorf("bridge = %+v, want it across, along x", b)
	}
	near(t, "span", b.SpanMM, math.Sqrt2*r, 0.02)
	// Under the roof down to the bottom: twice the area between chord and axis.
	area := r * r * (math.Pi/2 + 1)
	near(t, "volume", got[0].VolumeMM3, area*deep, 0.02)
	if f := got[0].Form; f != support.Mixed {
		t.Errorf("form = %v, want mixed", f)
	}
}

// A tube that leans has three matters: its outside, its bore and its lower end.
func TestLeaningTubeHasThreeRegions(t *testing.T) {
	m := tilted(bored(20, 60, 8, 64), 45)
	s := support.NewSite(m.Transform(mesh.Identity(), r3.Vec{Z: -m.Bounds().Min.Z}), 50, 128*128, true, nil)
	if got := regionsOf(t, s); len(got) != 3 {
		t.Errorf("%d regions, want outside, bore and end", len(got))
	}
}

// Whatever the part and its stance, the regions sum up to the whole.
func TestSumOfRegionsIsTheWhole(t *testing.T) {
	parts := map[string]*mesh.Mesh{
		"torus": meshtest.Torus(30, 8, 48), "table": table(), "tube": bored(20, 40, 8, 64), "pocket": pocket(8),
		"shaft": shaft(48), "hollow": hollow(), "two bodies in one another": overlapping(),
	}
	for name, m := range parts {
		for _, deg := range []float64{0, 20, 75, 180} {
			s := siteOf(tilted(m, deg), 96*96)
			whole := s.Stance.Measure(s.Columns, true, s.Cavity)
			var area, shadow, volume, onPart, cavity, scar float64
			for _, r := range regionsOf(t, s) {
				area, shadow = area+r.AreaMM2, shadow+r.ProjectedMM2
				volume, onPart, cavity = volume+r.VolumeMM3, onPart+r.OnPartMM3, cavity+r.InCavityMM3
				scar += r.ScarBelowMM2
				if r.OnPartMM3 > r.VolumeMM3*(1+1e-9) || r.InCavityMM3 > r.VolumeMM3*(1+1e-9) {
					t.Errorf("%s at %g deg: more than all on the part", name, deg)
				}
			}
			what := func(s string) string { return name + ": " + s }
			near(t, what("area"), area, s.Stance.OverhangArea, 1e-9)
			near(t, what("shadow"), shadow, s.Stance.OverhangShadow, 1e-9)
			near(t, what("volume"), volume, whole.Whole, 1e-9)
			near(t, what("on the part"), onPart, whole.OnPart, 0.05)
			near(t, what("in cavities"), cavity, whole.InCavity, 0.05)
			near(t, what("scar"), scar, whole.ScarBelow, 0.05)
		}
	}
}

// Where bodies overlap or touch the rim says nothing, but the lines do.
func TestBridgeOnBodiesOfTheirOwn(t *testing.T) {
	touching := meshtest.Block(40, 20, 5).Transform(mesh.Identity(), r3.Vec{Z: 20})
	for _, x := range []float64{0, 35} {
		touching.Append(meshtest.Block(5, 20, 20).Transform(mesh.Identity(), r3.Vec{X: x}))
	}
	for name, m := range map[string]*mesh.Mesh{"overlapping": overlapping(), "touching": touching} {
		got := regionsOf(t, siteOf(m, 160*160))
		if len(got) != 1 || !got[0].Bridge.Holds {
			t.Fatalf("%s: %+v, want one bridge", name, got)
		}
		near(t, name+": span", got[0].Bridge.SpanMM, 30, 0.02)
		near(t, name+": volume", got[0].VolumeMM3, 30*20*20, 0.01)
		near(t, name+": ledge", got[0].LedgeMM, 15, 0.03)
		near(t, name+": share that rests", got[0].RestShare, 0.25, 0.02)
	}
}

// overlapping is a deck through which two posts run as bodies of their own.
func overlapping() *mesh.Mesh {
	m := meshtest.Block(40, 20, 5).Transform(mesh.Identity(), r3.Vec{Z: 20})
	for _, x := range []float64{0, 35} {
		m.Append(meshtest.Block(5, 20, 22).Transform(mesh.Identity(), r3.Vec{X: x}))
	}
	return m
}

func TestSmallEdges(t *testing.T) {
	small := support.Smallness{LedgeMM: 0.8, AreaMM2: 0.64}
	for _, tt := range []struct {
		name string
		m    *mesh.Mesh
		want bool
	}{
		{"lip of 0.7", tee(0.7, 20), true},
		{"lip of 0.9", tee(0.9, 20), false},
		{"bar 0.7 thick, 20 long, held at its end", meshtest.Blocks([]float64{0, 10, 30}, []float64{0, 0.7}, []float64{0, 10, 12},
			func(i, j, k int) bool { return i == 0 || k == 1 }), false},
		{"crumb in the air", floating(0.7), true},
		{"block in the air", floating(2), false},
	} {
		regions, err := siteOf(tt.m, 128*128).Regions(context.Background(), small)
		if err != nil || len(regions) == 0 {
			t.Fatalf("%s: %d regions, %v", tt.name, len(regions), err)
		}
		for _, r := range regions {
			if got := r.Form == support.Small; got != tt.want || got != (r.Why != "") {
				t.Errorf("%s: small = %v because %q, want %v", tt.name, got, r.Why, tt.want)
			}
		}
	}
}

// floating is a block that stands, and a cube in the air beside it.
func floating(side float64) *mesh.Mesh {
	m := meshtest.Block(10, 10, 10)
	m.Append(meshtest.Block(side/2, side/2, side/2).Transform(mesh.Identity(), r3.Vec{X: 12, Z: 5}))
	return m
}

// A speck that touches a large patch at a corner only belongs to it.
func TestSpeckJoinsItsNeighbour(t *testing.T) {
	m := tee(15, 25)
	m.Vertices = append(m.Vertices, r3.Vec{X: -0.2, Y: -0.3, Z: 25}, r3.Vec{X: -0.4, Y: -0.1, Z: 25})
	corner := int32(-1)
	for i, v := range m.Vertices {
		if v == (r3.Vec{Z: 25}) {
			corner = int32(i)
		}
	}
	n := int32(len(m.Vertices))
	m.Facets = append(m.Facets, [3]int32{corner, n - 2, n - 1})
	s := support.NewSite(m, 45, 64*64, false, nil)
	for _, tt := range []struct {
		small float64
		want  int
	}{{0, 3}, {0.5, 2}} {
		regions, err := s.Regions(context.Background(), support.Smallness{AreaMM2: tt.small})
		if err != nil || len(regions) != tt.want {
			t.Errorf("small below %g mm2: %d regions, want %d (%v)", tt.small, len(regions), tt.want, err)
		}
	}
}

// Open, empty and tiny meshes give an answer.
func TestHostileMeshes(t *testing.T) {
	open := bridge(12, 30)
	open.Facets = open.Facets[:len(open.Facets)-3]
	for name, m := range map[string]*mesh.Mesh{
		"empty": {}, "open": open,
		"one facet": {Vertices: []r3.Vec{{Z: 3}, {Y: 10, Z: 3}, {X: 10, Z: 3}}, Facets: [][3]int32{{0, 1, 2}}},
		"sliver":    {Vertices: []r3.Vec{{Z: 3}, {X: 5, Z: 3}, {X: 10, Z: 3}, {Y: 9, Z: 9}}, Facets: [][3]int32{{0, 1, 2}, {0, 3, 1}, {1, 1, 2}}},
	} {
		s := support.NewSite(m, 45, 64*64, false, nil)
		regions, err := s.Regions(context.Background(), support.Smallness{LedgeMM: 0.8, AreaMM2: 0.64})
		if err != nil {
			t.Errorf("%s: %v", name, err)
		}
		var area float64
		for _, r := range regions {
			area += r.AreaMM2
			for _, v := range []float64{r.VolumeMM3, r.GapLowMM, r.GapMeanMM, r.LedgeMM, r.SlopeDeg, r.Centroid.X} {
				if math.IsNaN(v) || math.IsInf(v, 0) {
					t.Errorf("%s: %+v", name, r)
				}
			}
		}
		near(t, name+": area", area, s.Stance.OverhangArea, 1e-9)
	}
}

func TestRegionsCanBeStopped(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := siteOf(table(), 32*32).Regions(ctx, support.Smallness{}); err == nil {
		t.Error("no error after cancel")
	}
}

func BenchmarkRegions(b *testing.B) {
	s := siteOf(tilted(meshtest.Torus(30, 8, 100), 40), 256*256) // 20 000 facets
	b.ReportAllocs()
	for range b.N {
		if len(regionsOf(b, s)) == 0 {
			b.Fatal("no regions")
		}
	}
}
