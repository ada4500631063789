package mesh

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
)

func TestUniteClosedForms(t *testing.T) {
	cube := cubeShape(0, 0, 0, 10)
	tests := []struct {
		name   string
		m      *Mesh
		volume float64
		area   float64
	}{
		{"corner in corner", together(cube, cubeShape(5, 5, 5, 10)), 2000 - 125, 1200 - 150},
		{"flush on three faces", together(cube, boxShape(r3.Vec{}, r3.Vec{X: 5, Y: 5, Z: 20})), 1000 + 250, 600 + 200},
		{"flush faces, other way round", together(boxShape(r3.Vec{}, r3.Vec{X: 5, Y: 5, Z: 20}), cube), 1250, 800},
		{"rod through", together(cube, boxShape(r3.Vec{X: -5, Y: 3, Z: 3}, r3.Vec{X: 15, Y: 7, Z: 7})), 1000 + 10*16, 600 + 4*4*10},
		{"within", together(cube, cubeShape(3, 3, 3, 4)), 1000, 600},
		{"small and far apart", together(cube, boxShape(r3.Vec{X: 9.8, Y: 4, Z: 4}, r3.Vec{X: 11, Y: 4.3, Z: 4.3}), cubeShape(200, 200, 0, 10)), 2000 + 0.09, 1200 + 4*0.3},
		{"within, flush", together(cube, boxShape(r3.Vec{X: 2, Y: 2}, r3.Vec{X: 8, Y: 8, Z: 5})), 1000, 600},
		{"three", together(cube, cubeShape(5, 5, 5, 10), cubeShape(-5, -5, -5, 10)), 3000 - 250, 1800 - 300},
		{"three in one place", together(cube, cubeShape(2, 2, 2, 10), cubeShape(4, 4, 4, 10)), 3000 - 512*2 - 216 + 216, math.NaN()},
		{"cross of bars", together(boxShape(r3.Vec{X: -20, Y: -2, Z: -2}, r3.Vec{X: 20, Y: 2, Z: 2}), boxShape(r3.Vec{X: -2, Y: -20, Z: -2}, r3.Vec{X: 2, Y: 20, Z: 2})), 2*640 - 64, math.NaN()},
		{"with a cavity", together(cube, reversed(cubeShape(2, 2, 2, 3)), cubeShape(5, 5, 5, 10)), 2000 - 125 - 27, 1200 - 150 + 54},
		{"into a cavity", together(cube, reversed(cubeShape(2, 2, 2, 6)), boxShape(r3.Vec{X: 4, Y: 4, Z: -5}, r3.Vec{X: 6, Y: 6, Z: 5})), 1000 - 216 + 4*5 + 4*3, math.NaN()},
	}
	for _, tt := range tests {
		for turned := range 4 {
			t.Run(fmt.Sprint(tt.name, " ", turned), func(t *testing.T) {
				m := tt.m.Transform(RotationAbout(r3.Unit(r3.Vec{X: 1, Y: 2, Z: 3}), 0.4*float64(turned)), r3.Vec{X: float64(turned)})
				whole, h := mended(t, m)
				if !h.Watertight || h.OverlapVolume != 0 || !near(whole.Volume(), tt.volume, 1e-6) {
					t.Errorf("volume %v, want %v; watertight %v: %q, %q", whole.Volume(), tt.volume, h.Watertight, h.Repairs, h.Findings)
				}
				if !math.IsNaN(tt.area) && !near(whole.Area(), tt.area, 1e-6) {
					t.Errorf("area %v, want %v", whole.Area(), tt.area)
				}
				if !slices.ContainsFunc(h.Steps, func(s Step) bool { return s.Kind == UniteBodies }) {
					t.Errorf("not united: %q", h.Findings)
				}
			})
		}
	}
}

// TestUniteRound unites bodies with round faces, whose facets meet at all angles,
// and holds the outcome against what vertical lines, which know nothing of the
// cutting, find inside at least once.
func TestUniteRound(t *testing.T) {
	if testing.Short() {
		t.Skip("short: numbers alone, and many of them")
	}
	ball, ring := sphereShape(10, 24), torusShape(30, 8, 60, 24)
	tests := []struct {
		name string
		m    *Mesh
	}{
		{"balls", together(ball, ball.Transform(Identity(), r3.Vec{X: 9, Y: 1.3, Z: 0.7}))},
		{"balls, just", together(ball, ball.Transform(Identity(), r3.Vec{X: 19, Y: 1.3, Z: 0.7}))},
		{"balls of one equator", together(ball, ball.Transform(Identity(), r3.Vec{X: 9}))},
		{"ball on a ring", together(ring, ball.Transform(Identity(), r3.Vec{X: 31}))},
		{"rings", together(ring, ring.Transform(RotationAbout(r3.Vec{X: 1}, 1.1), r3.Vec{X: 52, Z: 1}))},
		{"coil into itself", coil(9, 4, 2.2, 5)},
		{"lattice of rods", rods(3)},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			inside := insideOnce(tt.m)
			whole, h := mended(t, tt.m)
			if len(h.Steps) != 1 || h.Steps[0].Kind != UniteBodies {
				t.Errorf("steps %q", h.Repairs)
			}
			if !h.Watertight || !near(whole.Volume(), inside, 2e-3) {
				t.Errorf("volume %v, lines find %v; watertight %v: %q, %q", whole.Volume(), inside, h.Watertight, h.Repairs, h.Findings)
			}
			if d := farthestFrom(whole, tt.m, 0.1); d > h.GapMM {
				t.Errorf("the surface moved by %v mm", d)
			}
			checkWindingOnce(t, whole, tt.m)
		})
	}
}

// TestUniteBlocks makes one of blocks at random on a lattice, lying as they are and
// turned, and counts the cells that they cover. Turned ones are rounded, so that
// faces that were one lie now on this side and now on that of each other: of those a
// few may be left as they are, which is said.
func TestUniteBlocks(t *testing.T) {
	if testing.Short() {
		t.Skip("short: numbers alone, and many of them")
	}
	rnd := rand.New(rand.NewPCG(5, 6))
	const tries = 300
	for _, turned := range []bool{false, true} {
		left, united := 0, 0
		for range tries {
			m, covered := &Mesh{}, map[[3]byte]bool{}
			for range 2 + rnd.IntN(5) {
				var low, size [3]byte
				for k := range 3 {
					low[k], size[k] = byte(rnd.IntN(4)), byte(1+rnd.IntN(3))
				}
				addBlock(m, low, size, covered)
			}
			if turned {
				m = m.Transform(RotationAbout(r3.Unit(r3.Vec{X: 1, Y: 2, Z: 3}), 3*rnd.Float64()), r3.Vec{X: 1})
			}
			for i, v := range m.Vertices {
				m.Vertices[i] = wide(narrow(v))
			}
			whole, h := mended(t, m)
			if strings.Contains(strings.Join(h.Findings, " "), "could not be made one") {
				left++
				continue
			}
			if slices.ContainsFunc(h.Steps, func(s Step) bool { return s.Kind == UniteBodies }) {
				united++
			}
			if v := float64(len(covered)); !h.Watertight || !near(whole.Volume(), v, 1e-4) {
				t.Errorf("closed %v, volume %v of %v cells: %q %q", h.Watertight, whole.Volume(), v, h.Repairs, h.Findings)
			}
		}
		t.Logf("turned %v: %d made one, %d left", turned, united, left)
		if united < tries/2 || left > tries/100 || left > 0 && !turned {
			t.Errorf("turned %v: %d made one, %d left", turned, united, left)
		}
	}
}

// rods is n rods each way, through one another.
func rods(n int) *Mesh {
	m := &Mesh{}
	rod := func(at, way r3.Vec) {
		// A torus without a hole would do as well; a slim ball is all round.
		m.Append(sphereShape(1, 10).Transform(Matrix{{1 + 19*way.X, 0, 0}, {0, 1 + 19*way.Y, 0}, {0, 0, 1 + 19*way.Z}}, at))
	}
	for i := range n {
		for j := range n {
			u, v := 4*float64(i)+0.13*float64(j), 4*float64(j)+0.21*float64(i)
			rod(r3.Vec{X: 4, Y: u, Z: v}, r3.Vec{X: 1})
			rod(r3.Vec{X: u, Y: 4, Z: v + 0.9}, r3.Vec{Y: 1})
			rod(r3.Vec{X: u + 0.9, Y: v + 0.3, Z: 4}, r3.Vec{Z: 1})
		}
	}
	return m
}

// coil is a round bar of radius r wound up n/2 turns about Z, each a pitch above
// the one before.
func coil(R, r, pitch float64, n int) *Mesh {
	const around, along = 16, 24 // along half a turn
	m := &Mesh{}
	for i := range n*along + 1 {
		u := math.Pi * float64(i) / along
		su, cu := math.Sincos(u)
		for j := range around {
			sv, cv := math.Sincos(2 * math.Pi * float64(j) / around)
			m.Vertices = append(m.Vertices, r3.Vec{X: (R + r*cv) * cu, Y: (R + r*cv) * su, Z: r*sv + pitch*u/(2*math.Pi)})
		}
	}
	at := func(i, j int) int32 { return int32(i*around + j%around) }
	for i := range n * along {
		for j := range around {
			m.Facets = append(m.Facets, [3]int32{at(i, j), at(i+1, j), at(i+1, j+1)}, [3]int32{at(i, j), at(i+1, j+1), at(i, j+1)})
		}
	}
	for j := 1; j+1 < around; j++ {
		m.Facets = append(m.Facets, [3]int32{at(0, 0), at(0, j), at(0, j+1)}, [3]int32{at(n*along, 0), at(n*along, j+1), at(n*along, j)})
	}
	return m
}

// bowTie is a prism over a figure of eight: one half of it is inside out.
func bowTie() *Mesh {
	m := &Mesh{}
	for _, z := range []float64{0, 5} {
		m.Vertices = append(m.Vertices, r3.Vec{Z: z}, r3.Vec{X: 10, Z: z}, r3.Vec{Y: 10, Z: z}, r3.Vec{X: 10, Y: 10, Z: z})
	}
	m.Facets = [][3]int32{{0, 2, 1}, {0, 3, 2}, {4, 5, 6}, {4, 6, 7}}
	for k, a := range [4]int32{0, 1, 2, 3} {
		b := [4]int32{1, 2, 3, 0}[k]
		m.Facets = append(m.Facets, [3]int32{a, b, b + 4}, [3]int32{a, b + 4, a + 4})
	}
	return m
}

// insideOnce gives the volume that is inside at least once, from a fine grid of
// lines.
func insideOnce(m *Mesh) float64 {
	box := m.Bounds()
	var c Columns
	c.Fill(m.Vertices, m.Facets, box.Min, box.Max, 1<<20)
	var sum float64
	for j := range c.NY {
		for i := range c.NX {
			depth, low := 0, 0.0
			for _, x := range c.At(i, j) {
				if depth == 0 {
					low = float64(x.Z)
				}
				if depth += entering(x); depth == 0 {
					sum += float64(x.Z) - low
				}
			}
		}
	}
	return sum * c.CellArea()
}

// checkWindingOnce wants places to be inside of the whole exactly where they were
// inside at least once before.
func checkWindingOnce(t *testing.T, whole, before *Mesh) {
	t.Helper()
	box := before.Bounds()
	for k := range 100 {
		_, x := math.Modf(0.5 + 0.8191725133961645*float64(k))
		_, y := math.Modf(0.5 + 0.6710436067037893*float64(k))
		_, z := math.Modf(0.5 + 0.5497004779019703*float64(k))
		s := box.Size()
		p := r3.Add(box.Min, r3.Vec{X: x * s.X, Y: y * s.Y, Z: z * s.Z})
		want := 0.0
		if before.Winding(p) > 0.5 {
			want = 1
		}
		if got := whole.Winding(p); math.Abs(got-want) > 1e-6 {
			t.Errorf("winding %v at %v, want %v", got, p, want)
		}
	}
}

// TestUniteLeaves names what is not united, and why.
func TestUniteLeaves(t *testing.T) {
	cube := cubeShape(0, 0, 0, 10)
	tests := []struct {
		name    string
		m       *Mesh
		finding string
	}{
		{"partly inside out", together(bowTie(), boxShape(r3.Vec{X: 3, Y: -4, Z: 1}, r3.Vec{X: 7, Y: 1, Z: 4})), "inside out"},
		{"only touching", together(cube, cubeShape(3, 3, 10, 4)), "2 separate bodies"},
		{"apart", together(cube, cubeShape(30, 3, 10, 4)), "2 separate bodies"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			m, h := mended(t, tt.m)
			if len(h.Steps) > 0 || len(m.Facets) != len(tt.m.Facets) {
				t.Errorf("steps %q", h.Repairs)
			}
			if !strings.Contains(strings.Join(h.Findings, " "), tt.finding) {
				t.Errorf("findings %q, want %q", h.Findings, tt.finding)
			}
		})
	}
}

func TestWinding(t *testing.T) {
	m := together(cubeShape(0, 0, 0, 10), cubeShape(5, 5, 5, 10), reversed(cubeShape(20, 0, 0, 5)))
	for p, want := range map[r3.Vec]float64{
		{X: 1, Y: 2, Z: 3}: 1, {X: 7, Y: 8, Z: 6}: 2, {X: 12, Y: 12, Z: 12}: 1, {X: -1}: 0, {X: 22, Y: 2, Z: 2}: -1,
		{X: 0, Y: 2, Z: 2}: 0.5, {X: 5, Y: 7, Z: 7}: 1.5, {X: 0, Y: 5, Z: 0}: 0.25,
	} {
		if got := m.Winding(p); math.Abs(got-want) > 1e-9 {
			t.Errorf("winding at %v: %v, want %v", p, got, want)
		}
	}
	if got := without(cubeShape(0, 0, 0, 10), 2, 3).Winding(r3.Vec{X: 5, Y: 5, Z: 5}); !near(got, 5.0/6, 1e-9) {
		t.Errorf("in the middle of an open box: %v, want 5/6", got)
	}
}

func BenchmarkUnite(b *testing.B) {
	ring := torusShape(30, 8, 300, 100)
	m := together(ring, ring.Transform(RotationAbout(r3.Vec{X: 1}, 1.1), r3.Vec{X: 52, Z: 1}))
	b.ReportAllocs()
	for b.Loop() {
		if _, h, err := Mend(context.Background(), m); err != nil || len(h.Steps) != 1 {
			b.Fatal(err, h.Findings)
		}
	}
}
