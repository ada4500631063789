package support_test

import (
	"context"
	"fmt"
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
	"kilnpoise/mesh/meshtest"
	"kilnpoise/orient/support"
)

// build makes the plan and the bodies of m.
func build(t *testing.T, m *mesh.Mesh, sag float64, change func(*support.Limits), b support.BodySettings) (*mesh.Mesh, *support.Site, *support.Plan, []support.Body) {
	t.Helper()
	m = m.Transform(mesh.Identity(), r3.Vec{Z: -m.Bounds().Min.Z})
	s := support.NewSite(m, 45, 128*128, true, cavities(m))
	l := support.DefaultLimits()
	l.Cutter = support.Cutter{DiameterMM: 6, LengthMM: 200, HolderMM: 6}
	if change != nil {
		change(&l)
	}
	p, err := s.Plan(context.Background(), l, func(*support.Region) (float64, bool) { return sag, sag >= 0 })
	if err != nil {
		t.Fatal(err)
	}
	bodies, err := s.SupportBodies(context.Background(), p, b, nil)
	if err != nil {
		t.Fatal(err)
	}
	return m, s, p, bodies
}

// sound fails where a mesh is open, turned, or runs through itself.
func sound(t *testing.T, name string, m *mesh.Mesh) {
	t.Helper()
	top := mesh.NewTopology(m)
	for side := range 3 * len(m.Facets) {
		twin, ok := top.Twin(side)
		if !ok || !top.Agrees(side, twin) {
			t.Errorf("%s: open, shared or turned edge", name)
			return
		}
	}
	if v := m.Volume(); v <= 0 {
		t.Errorf("%s: volume %g", name, v)
	}
	if i, j := crossing(m, m); i >= 0 {
		t.Errorf("%s: facets %d and %d cross", name, i, j)
	}
}

// crossing gives two facets, one of each mesh, of which an edge of one goes
// through the other; corners and edges in common do not count. -1 for none.
func crossing(a, b *mesh.Mesh) (int, int) {
	for i := range a.Facets {
		p, q, r := a.Corners(i)
		lo := r3.Vec{X: min(p.X, q.X, r.X), Y: min(p.Y, q.Y, r.Y), Z: min(p.Z, q.Z, r.Z)}
		hi := r3.Vec{X: max(p.X, q.X, r.X), Y: max(p.Y, q.Y, r.Y), Z: max(p.Z, q.Z, r.Z)}
		for j := range b.Facets {
			u, v, w := b.Corners(j)
			if max(u.X, v.X, w.X) < lo.X || min(u.X, v.X, w.X) > hi.X || max(u.Y, v.Y, w.Y) < lo.Y || min(u.Y, v.Y, w.Y) > hi.Y ||
				max(u.Z, v.Z, w.Z) < lo.Z || min(u.Z, v.Z, w.Z) > hi.Z {
				continue
			}
			if pierces(p, q, u, v, w) || pierces(q, r, u, v, w) || pierces(r, p, u, v, w) {
				return i, j
			}
		}
	}
	return -1, -1
}

// pierces reports whether the segment p, q goes through the inside of triangle
// a, b, c, by the signs of tetrahedra.
func pierces(p, q, a, b, c r3.Vec) bool {
	six := func(o, u, v, w r3.Vec) float64 {
		return r3.Dot(r3.Sub(u, o), r3.Cross(r3.Sub(v, o), r3.Sub(w, o)))
	}
	const tiny = 1e-9
	s, e := six(p, a, b, c), six(q, a, b, c)
	if s*e >= 0 || math.Abs(s) < tiny || math.Abs(e) < tiny {
		return false
	}
	x, y, z := six(p, q, a, b), six(p, q, b, c), six(p, q, c, a)
	return x > tiny && y > tiny && z > tiny || x < -tiny && y < -tiny && z < -tiny
}

func TestPiercesFindsACrossing(t *testing.T) {
	a := meshtest.Block(10, 10, 10)
	b := a.Transform(mesh.RotationAbout(r3.Vec{Z: 1}, 0.3), r3.Vec{X: 3, Y: 2, Z: 4})
	if i, _ := crossing(a, b); i < 0 {
		t.Error("blocks that cross are not found")
	}
	if i, _ := crossing(a, a); i >= 0 {
		t.Error("a block crosses itself")
	}
}

// parts to be supported, in many ways.
func supported() map[string]*mesh.Mesh {
	return map[string]*mesh.Mesh{
		"bridge": bridge(12, 30), "table": table(), "tee": tee(15, 25), "shaft": shaft(48), "channel": channel(),
		"tube": bored(20, 40, 8, 48), "leaning tube": tilted(bored(20, 40, 8, 32), 30), "sphere": meshtest.Sphere(12, 32),
		"torus": tilted(meshtest.Torus(15, 5, 32), 35), "leaning table": tilted(table(), 25),
		"spun tee": tee(15, 25).Transform(mesh.RotationAbout(r3.Vec{Z: 1}, 0.4), r3.Vec{}),
		"keel":     prism([][2]float64{{0, 3}, {20, 0}, {40, 3}, {40, 20}, {0, 20}}, 30).Transform(mesh.Identity(), r3.Vec{Z: 5}),
	}
}

// No body is open, crosses itself, the part or another body.
func TestBodiesAreSound(t *testing.T) {
	b := support.DefaultBodySettings()
	b.WallMM = 1.5 // few facets, for every pair is looked at
	for name, m := range supported() {
		t.Run(name, func(t *testing.T) {
			part, s, p, bodies := build(t, m, 0.1, nil, b)
			if len(bodies) == 0 {
				t.Fatal("no bodies")
			}
			for n, body := range bodies {
				what := fmt.Sprintf("%s of %d facets", body.Name, len(body.Mesh.Facets))
				sound(t, what, body.Mesh)
				if i, j := crossing(body.Mesh, part); i >= 0 {
					t.Errorf("%s: its facet %d crosses facet %d of the part", what, i, j)
				}
				if i, _ := crossing(part, body.Mesh); i >= 0 {
					t.Errorf("%s: an edge of the part goes through it", what)
				}
				for _, other := range bodies[n+1:] {
					if i, _ := crossing(body.Mesh, other.Mesh); i >= 0 {
						t.Errorf("%s crosses %s", what, other.Name)
					}
				}
				if most := p.Items[body.Item].Region.VolumeMM3; body.VolumeMM3 > 1.3*most {
					t.Errorf("%s: %.0f mm3 in an envelope of %.0f mm3", what, body.VolumeMM3, most)
				}
				near(t, "mass", body.MassG, body.VolumeMM3*5/1000, 1e-9)
			}
			raft, err := s.Raft(p, b, bodies)
			if err != nil {
				t.Fatal(err)
			}
			sound(t, "raft", raft.Mesh)
			if top := raft.Mesh.Bounds().Max.Z; math.Abs(top+b.RaftGapMM) > 1e-9 {
				t.Errorf("raft reaches up to %g", top)
			}
		})
	}
}

// The gaps are those that were asked for: the least distance of a body's corners
// from the part, up and down and sideways.
func TestGaps(t *testing.T) {
	b := support.DefaultBodySettings()
	b.GapZMM, b.GapXYMM, b.WallMM = 0.4, 0.7, 1
	for _, tt := range []struct {
		name       string
		m          *mesh.Mesh
		low, high  float64
		left, most float64 // bounds in x
	}{
		{"bridge", bridge(12, 30), 0, 20 - 0.4, 5 + 0.7, 17 - 0.7},
		{"channel", channel(), 5 + 0.4, 15 - 0.4, 5 + 0.7, 30},
	} {
		_, _, _, bodies := build(t, tt.m, 0.1, nil, b)
		box := bodies[0].Mesh.Bounds()
		near(t, tt.name+": bottom", box.Min.Z, tt.low, 1e-9)
		near(t, tt.name+": top", box.Max.Z, tt.high, 1e-9)
		if box.Min.X < tt.left || box.Min.X > tt.left+1 || box.Max.X > tt.most || box.Max.X < tt.most-1 {
			t.Errorf("%s: reaches from x = %g to %g, want %g to %g or a cell less", tt.name, box.Min.X, box.Max.X, tt.left, tt.most)
		}
	}
	_, _, p, kept := build(t, channel(), 0.5, nil, b)
	if p.Items[0].Advice != support.PrintAndKeep {
		t.Errorf("channel that sags: %v", p.Items[0].Advice)
	}
	near(t, "top of support that is kept", kept[0].Mesh.Bounds().Max.Z, 15-b.KeepGapZMM, 1e-9)
	b.GapZMM = 0
	_, _, _, bodies := build(t, bridge(12, 30), 0.1, nil, b)
	near(t, "top when asked to touch", bodies[0].Mesh.Bounds().Max.Z, 20, 1e-9)
	sound(t, "touching", bodies[0].Mesh)
}

// The tops of bodies follow a slope at the gap that was asked for.
func TestTopFollowsTheSlope(t *testing.T) {
	rise := math.Tan(30 * math.Pi / 180)
	m := prism([][2]float64{{0, 40}, {0, 0}, {10, 0}, {10, 10}, {40, 10 + 30*rise}, {40, 40}}, 20)
	b := support.DefaultBodySettings()
	_, _, _, bodies := build(t, m, 0.1, nil, b)
	n := 0
	for _, v := range bodies[0].Mesh.Vertices {
		if v.Z > 0 {
			near(t, "top", v.Z, 10+(v.X-10)*rise-b.GapZMM, 1e-9)
			n++
		}
	}
	if n < 20 {
		t.Errorf("only %d corners at the top", n)
	}
}

// An egg crate has the density asked for, but for its rim; density 1 is solid.
func TestDensity(t *testing.T) {
	b := support.DefaultBodySettings()
	b.WallMM = 1
	for _, density := range []float64{0.1, 0.2, 0.5, 1} {
		m := tee(80, 25)
		_, _, _, bodies := build(t, m, 0.1, func(l *support.Limits) { l.SupportDensity, l.BridgeSpanMM = density, 0 }, b)
		box := bodies[0].Mesh.Bounds().Size()
		envelope := box.X * box.Y * box.Z
		rim := 2 * (box.X + box.Y) * box.Z * (1 - density)
		got := bodies[0].VolumeMM3
		// Walls are whole cells, and the rim is one cell, part of it wall anyway.
		if got < 0.85*density*envelope || got > 1.15*density*envelope+rim {
			t.Errorf("density %g: %.0f of %.0f mm3 = %.3f", density, got, envelope, got/envelope)
		}
	}
	// Roofs between the walls are narrow enough to bridge.
	_, _, _, bodies := build(t, tee(80, 25), 0.1, func(l *support.Limits) { l.SupportDensity, l.BridgeSpanMM = 0.05, 3 }, b)
	if d := bodies[0].VolumeMM3 / (80 * 30 * 25); d < 0.35 {
		t.Errorf("walls to bridge 3 mm: density %.2f, want about 7/16", d)
	}
}

func TestBlocks(t *testing.T) {
	b := support.DefaultBodySettings()
	b.WallMM = 1
	part, s, p, _ := build(t, bridge(20, 30), 0.5, nil, b)
	if p.Items[0].Advice != support.SetterBlock {
		t.Fatalf("advice %v", p.Items[0].Advice)
	}
	blocks, err := s.Blocks(context.Background(), p, b, nil)
	if err != nil || len(blocks) != 1 {
		t.Fatalf("%d blocks, %v", len(blocks), err)
	}
	sound(t, "block", blocks[0].Mesh)
	if i, _ := crossing(blocks[0].Mesh, part); i >= 0 {
		t.Error("the block crosses the part")
	}
	box := blocks[0].Mesh.Bounds()
	near(t, "top", box.Max.Z, 20-b.BlockGapMM, 1e-9)
	near(t, "bottom", box.Min.Z, 0, 1e-9)
	near(t, "volume", blocks[0].VolumeMM3, box.Size().X*box.Size().Y*box.Size().Z, 1e-9)
	if w := box.Size().X; w < 20-2*b.BlockGapMM-2 || w > 20-2*b.BlockGapMM {
		t.Errorf("block %g wide in a gap of 20", w)
	}
	if none, err := s.Blocks(context.Background(), p, b, func(int) bool { return false }); err != nil || len(none) != 0 {
		t.Errorf("left out, yet %d blocks (%v)", len(none), err)
	}
}

// A block of the user's own under a face that prints by itself.
func TestBlockUnderAFace(t *testing.T) {
	b := support.DefaultBodySettings()
	b.WallMM = 1
	p := &support.Plan{Limits: support.DefaultLimits()}
	cone := meshtest.Cone(10, 20, 48)
	cone = cone.Transform(mesh.RotationAbout(r3.Vec{X: 1}, math.Pi), r3.Vec{Z: 20})
	s := support.NewSite(cone, 45, 64*64, true, nil)
	var down []int32
	for i := range cone.Facets {
		if cone.AreaVector(i).Z < 0 {
			down = append(down, int32(i))
		}
	}
	own, err := s.BlockUnder(context.Background(), p, b, down)
	if err != nil || len(own.Mesh.Facets) == 0 {
		t.Fatalf("%+v, %v", own, err)
	}
	sound(t, "block under a cone", own.Mesh)
	for _, v := range own.Mesh.Vertices {
		if cone := 2 * math.Hypot(v.X, v.Y); v.Z > cone-b.BlockGapMM+0.1 {
			t.Errorf("corner at %v, cone at z = %g", v, cone)
		}
	}
}

// Any region can be left out, and nothing else changes; and one can be added that
// the plan changes the design for.
func TestLeaveOut(t *testing.T) {
	b := support.DefaultBodySettings()
	_, s, p, both := build(t, tee(15, 25), 0.1, nil, b)
	one, err := s.SupportBodies(context.Background(), p, b, func(item int) bool { return item == 1 })
	if err != nil || len(both) != 2 || len(one) != 1 || one[0].Item != 1 {
		t.Fatalf("%d and %d bodies, %v", len(both), len(one), err)
	}
	near(t, "volume of the other", one[0].VolumeMM3, both[1].VolumeMM3, 1e-9)
	_, s, p, none := build(t, cup(48), 0.1, nil, b)
	asked, err := s.SupportBodies(context.Background(), p, b, func(int) bool { return true })
	if err != nil || len(none) != 0 || len(asked) != 1 {
		t.Errorf("in a closed cup: %d bodies by the plan, %d asked for, %v", len(none), len(asked), err)
	}
}

func TestBodiesOfHostileInput(t *testing.T) {
	b := support.DefaultBodySettings()
	_, s, p, _ := build(t, table(), 0.1, nil, b)
	for name, spoil := range map[string]func(*support.BodySettings){
		"no wall": func(b *support.BodySettings) { b.WallMM = 0 },
		"hair":    func(b *support.BodySettings) { b.WallMM = 1e-3 },
		"gap":     func(b *support.BodySettings) { b.GapZMM = -1 },
		"NaN":     func(b *support.BodySettings) { b.GapXYMM = math.NaN() },
	} {
		bad := b
		spoil(&bad)
		if _, err := s.SupportBodies(context.Background(), p, bad, nil); err == nil {
			t.Errorf("%s: no error", name)
		}
	}
	if _, err := s.Raft(p, support.BodySettings{}, nil); err == nil {
		t.Error("a raft without thickness")
	}
	open := bridge(12, 30)
	open.Facets = open.Facets[:len(open.Facets)-3]
	for name, m := range map[string]*mesh.Mesh{
		"open": open, "needle": meshtest.Blocks([]float64{0, 1, 200}, []float64{0, 1}, []float64{0, 5, 7}, func(i, j, k int) bool { return i == 0 || k == 1 }),
		"one facet": {Vertices: []r3.Vec{{Z: 3}, {Y: 10, Z: 3}, {X: 10, Z: 3}}, Facets: [][3]int32{{0, 1, 2}}},
	} {
		s := support.NewSite(m, 45, 48*48, false, nil)
		p, err := s.Plan(context.Background(), support.DefaultLimits(), nil)
		if err != nil {
			t.Fatal(err)
		}
		bodies, err := s.SupportBodies(context.Background(), p, b, nil)
		if err != nil {
			t.Errorf("%s: %v", name, err)
		}
		for _, body := range bodies {
			sound(t, name+": "+body.Name, body.Mesh)
		}
	}
	empty := support.NewSite(&mesh.Mesh{}, 45, 100, false, nil)
	if _, err := empty.Raft(p, b, nil); err == nil {
		t.Error("a raft under nothing")
	}
}

func BenchmarkBodies(b *testing.B) {
	s := siteOf(tilted(meshtest.Torus(30, 8, 100), 40), 256*256) // 20 000 facets
	p, err := s.Plan(context.Background(), support.DefaultLimits(), nil)
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for range b.N {
		if _, err := s.SupportBodies(context.Background(), p, support.DefaultBodySettings(), nil); err != nil {
			b.Fatal(err)
		}
	}
}
