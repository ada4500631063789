package orient

import (
	"bytes"
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"reflect"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/assets"
	"kilnpoise/mesh"
	"kilnpoise/mesh/meshtest"
)

// demoParts gives the built-in parts, read and mended.
func demoParts(t testing.TB) map[string]*mesh.Part {
	t.Helper()
	out := map[string]*mesh.Part{}
	for _, d := range assets.DemoParts() {
		data, err := d.Mesh()
		if err != nil {
			t.Fatal(err)
		}
		out[d.ID] = readPart(t, d.File, data)
	}
	return out
}

func readPart(t testing.TB, name string, data []byte) *mesh.Part {
	t.Helper()
	ctx := context.Background()
	file, err := mesh.Read(ctx, name, bytes.NewReader(data), int64(len(data)), mesh.ReadOptions{})
	if err != nil {
		t.Fatal(err)
	}
	p, err := file.Part(ctx)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// mendedPart makes a part of a mesh as reading it from a file does, so that its
// cavities are known.
func mendedPart(t testing.TB, name string, m *mesh.Mesh) *mesh.Part {
	t.Helper()
	whole, health, err := mesh.Mend(context.Background(), m)
	if err != nil {
		t.Fatal(err)
	}
	return &mesh.Part{Name: name, File: name + ".stl", Mesh: whole, Health: health}
}

// hollowBall is a ball with a ball cut out of its inside.
func hollowBall(outer, inner float64, n int) *mesh.Mesh {
	m := meshtest.Sphere(outer, n)
	void := meshtest.Sphere(inner, n)
	for i, f := range void.Facets {
		void.Facets[i] = [3]int32{f[0], f[2], f[1]}
	}
	m.Append(void)
	return m
}

// manyBodies is a row of balls, two of them hollow, with a ring and a block: nine
// bodies and two cavities.
func manyBodies(n int) *mesh.Mesh {
	m := &mesh.Mesh{}
	add := func(body *mesh.Mesh, x, y float64) { m.Append(body.Transform(mesh.Identity(), r3.Vec{X: x, Y: y})) }
	for i := range 2 {
		add(hollowBall(8, 5, n), 20*float64(i), 0)
	}
	for i := range 5 {
		add(meshtest.Sphere(3+float64(i), n), 20*float64(i), 20)
	}
	add(meshtest.Torus(8, 2, n), 45, 0)
	add(meshtest.Block(10, 8, 6), 65, -4)
	return m
}

// slivers is a cylinder of long thin facets, fine at its rims and nowhere else.
func slivers(n int) *mesh.Mesh { return meshtest.Cylinder(9, 40, n) }

// A part with cavities and so many facets that two coarser levels are made. The
// cavities are marked on each, and nothing else is.
func TestCavitiesOnTwoCoarserLevels(t *testing.T) {
	part := mendedPart(t, "bodies", manyBodies(62))
	if n := len(part.Mesh.Facets); n <= middleFacets {
		t.Fatalf("%d facets are too few for two levels", n)
	}
	if part.Health.Cavities != 2 {
		t.Fatalf("%d cavities, want 2", part.Health.Cavities)
	}
	s, err := NewStudy(context.Background(), part)
	if err != nil {
		t.Fatal(err)
	}
	for _, level := range []*subject{s.middle, s.crowd} {
		checkLevel(t, s.full, level)
	}
}

// checkLevel fails unless the facets of a level, and what is marked on them, are
// those of the part that they were.
func checkLevel(t testing.TB, full, level *subject) {
	t.Helper()
	if len(level.from) != len(level.mesh.Facets) {
		t.Fatalf("%d facets come from %d", len(level.mesh.Facets), len(level.from))
	}
	for i, k := range level.from {
		if k < 0 || int(k) >= len(full.mesh.Facets) {
			t.Fatalf("facet %d was facet %d of %d", i, k, len(full.mesh.Facets))
		}
		if i > 0 && k <= level.from[i-1] {
			t.Fatalf("facet %d was facet %d, the one before %d: two of one", i, k, level.from[i-1])
		}
		if full.cavity != nil && level.cavity[i] != full.cavity[k] {
			t.Fatalf("facet %d bounds a cavity: %v, what it was did: %v", i, level.cavity[i], full.cavity[k])
		}
	}
}

// Every measure of every part, on one, two and three coarser levels, straight and
// turned: each is a number and none is below 0, those of a level that is not all too
// rough are near those of the part, and turning the file changes nothing.
func TestMeasuresOnCoarserLevels(t *testing.T) {
	if testing.Short() {
		t.Skip("short: numbers alone, and many of them")
	}
	parts := demoParts(t)
	for name, m := range map[string]*mesh.Mesh{
		"ball": meshtest.Sphere(10, 32), "hollow ball": hollowBall(10, 6, 24), "bodies": manyBodies(16),
		"slivers": slivers(300), "bracket": bracket(),
	} {
		parts[name] = mendedPart(t, name, m)
	}
	round := map[string]bool{"ball": true, "hollow ball": true, "slivers": true} // without axes of their own
	b := testBrief(t)
	for name, part := range parts {
		r := rand.New(rand.NewPCG(5, uint64(len(part.Mesh.Facets))))
		turn := mesh.RotationAbout(randomUnit(r), math.Pi*r.Float64())
		turnedPart := *part
		turnedPart.Mesh = part.Mesh.Transform(turn, r3.Vec{X: 7, Y: -3, Z: 20})
		straight, turned := levelsOf(t, part), levelsOf(t, &turnedPart)
		for n := 1; n < len(straight); n++ {
			checkLevel(t, straight[0], straight[n])
			checkLevel(t, turned[0], turned[n])
			up := randomUnit(r)
			got, again := readLevel(straight[n], b, up), readLevel(turned[n], b, turn.MulVec(up))
			what := fmt.Sprintf("%s, level %d of %d facets, up %.3f", name, n, len(straight[n].mesh.Facets), up)
			checkNumbers(t, what, got)
			checkNumbers(t, what+", turned", again)
			if !round[name] {
				compareAll(t, what+", turned", again, got)
			}
			if len(straight[n].mesh.Facets) >= 1000 {
				compareRoughly(t, what, got, readLevel(straight[0], b, up))
			}
		}
	}
}

// checkNumbers fails for a measure that is no number or below 0.
func checkNumbers(t *testing.T, what string, m Measures) {
	t.Helper()
	v := reflect.ValueOf(m)
	for i := range v.NumField() {
		name := v.Type().Field(i).Name
		if !v.Type().Field(i).IsExported() {
			continue
		}
		if v.Field(i).CanFloat() && (!(v.Field(i).Float() >= 0) || math.IsInf(v.Field(i).Float(), 0)) {
			t.Errorf("%s: %s = %g", what, name, v.Field(i).Float())
		}
		for k := range 3 {
			if at, ok := v.Field(i).Interface().(Triple); ok && !(math.Abs(at[k]) < 1e6) {
				t.Errorf("%s: %s = %g", what, name, at)
			}
		}
	}
}

// compareAll compares every measure within 2 per cent, but for what hangs on the
// thickest wall: that is the part's own, not the level's, and found anew.
func compareAll(t *testing.T, what string, got, want Measures) {
	t.Helper()
	wall := map[string]bool{"ThickestGreenWallMM": true, "DebindingLowH": true, "DebindingHighH": true}
	g, w := reflect.ValueOf(got), reflect.ValueOf(want)
	for i := range g.NumField() {
		name := g.Type().Field(i).Name
		if !g.Field(i).CanFloat() || wall[name] {
			continue
		}
		if a, b := g.Field(i).Float(), w.Field(i).Float(); math.Abs(a-b) > 0.02*math.Abs(b)+0.005 {
			t.Errorf("%s: %s = %g, was %g", what, name, a, b)
		}
	}
}

// compareRoughly compares what a coarse level is there to tell with the part.
func compareRoughly(t *testing.T, what string, got, want Measures) {
	t.Helper()
	for _, m := range []struct {
		name           string
		got, want, tol float64
	}{
		{"height", got.HeightMM, want.HeightMM, 0.02},
		{"step height", got.StepHeightMM, want.StepHeightMM, 0.05},
		{"print time", got.PrintTimeS, want.PrintTimeS, 0.03},
		{"overhang", got.OverhangAreaMM2, want.OverhangAreaMM2, 0.15},
		{"support", got.SupportVolumeMM3, want.SupportVolumeMM3, 0.15},
		{"support in cavities", got.OutOfReachMM3, want.OutOfReachMM3, 0.15},
	} {
		if math.Abs(m.got-m.want) > m.tol*m.want+1 {
			t.Errorf("%s: %s = %g, on the part %g", what, m.name, m.got, m.want)
		}
	}
}

func randomUnit(r *rand.Rand) r3.Vec {
	return r3.Unit(r3.Vec{X: r.NormFloat64(), Y: r.NormFloat64(), Z: r.NormFloat64()})
}

// levelsOf gives the part and three coarser levels of it, each of half as many
// facets as the one before.
func levelsOf(t testing.TB, part *mesh.Part) []*subject {
	t.Helper()
	s, err := NewStudy(context.Background(), part)
	if err != nil {
		t.Fatal(err)
	}
	levels := []*subject{s.full}
	for range 3 {
		last := levels[len(levels)-1]
		level, err := s.coarser(context.Background(), last, len(last.mesh.Facets)/2)
		if err != nil {
			t.Fatal(err)
		}
		levels = append(levels, level)
	}
	return levels
}

func readLevel(s *subject, b Brief, up r3.Vec) Measures {
	pose, _ := poseFor(up, s.hull, b.oversizeOf())
	return newGauge(s, b).read(pose, shortListLines).measures
}
