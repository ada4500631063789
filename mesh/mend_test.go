package mesh

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"
)

// without drops facets of a mesh.
func without(m *Mesh, facets ...int) *Mesh {
	out := m.Clone()
	out.keep(func(i int) bool { return !slices.Contains(facets, i) })
	return out
}

// with adds facets given by corners.
func with(m *Mesh, corners ...r3.Vec) *Mesh {
	out := m.Clone()
	for i := 0; i < len(corners); i += 3 {
		n := int32(len(out.Vertices))
		out.Vertices = append(out.Vertices, corners[i:i+3]...)
		out.Facets = append(out.Facets, [3]int32{n, n + 1, n + 2})
	}
	return out
}

// turnedOver reverses the facets named.
func turnedOver(m *Mesh, facets ...int) *Mesh {
	out := m.Clone()
	for _, i := range facets {
		f := &out.Facets[i]
		f[1], f[2] = f[2], f[1]
	}
	return out
}

// tJunction is a cube one of whose edges is divided on one side only.
func tJunction() *Mesh {
	m := cubeShape(0, 0, 0, 10)
	f := m.Facets[0] // {0, 2, 3}: divide its first side
	mid := int32(len(m.Vertices))
	m.Vertices = append(m.Vertices, r3.Scale(0.5, r3.Add(m.Vertices[f[0]], m.Vertices[f[1]])))
	m.Facets[0] = [3]int32{f[0], mid, f[2]}
	m.Facets = append(m.Facets, [3]int32{mid, f[1], f[2]})
	return m
}

// needled is a T-junction with a needle between its two sides.
func needled() *Mesh {
	f := cubeShape(0, 0, 0, 10).Facets[0]
	m := tJunction()
	m.Facets = append(m.Facets, [3]int32{f[0], f[1], int32(len(m.Vertices)) - 1})
	return m
}

// zipSeam is a block made of two halves whose corners along the joint do not
// match: thirds on one side, halves on the other.
func zipSeam() *Mesh {
	left := gridBlock(0, 10, 3)
	right := gridBlock(10, 20, 2)
	// Leave the walls at the joint out.
	keep := func(m *Mesh) {
		m.keep(func(i int) bool {
			a, b, c := m.Corners(i)
			return !(a.X == 10 && b.X == 10 && c.X == 10)
		})
	}
	keep(left)
	keep(right)
	return together(left, right)
}

// gridBlock is a block from x0 to x1, 12 wide and high, with its sides along y
// and z divided n times.
func gridBlock(x0, x1 float64, n int) *Mesh {
	m := &Mesh{}
	quad := func(a, b, c, d r3.Vec) { *m = *with(m, a, b, c, a, c, d) }
	at := func(i int) float64 { return 12 * float64(i) / float64(n) }
	for i := range n {
		lo, hi := at(i), at(i+1)
		quad(r3.Vec{X: x0, Y: lo}, r3.Vec{X: x0, Y: hi}, r3.Vec{X: x1, Y: hi}, r3.Vec{X: x1, Y: lo})
		quad(r3.Vec{X: x0, Y: lo, Z: 12}, r3.Vec{X: x1, Y: lo, Z: 12}, r3.Vec{X: x1, Y: hi, Z: 12}, r3.Vec{X: x0, Y: hi, Z: 12})
		quad(r3.Vec{X: x0, Z: lo}, r3.Vec{X: x1, Z: lo}, r3.Vec{X: x1, Z: hi}, r3.Vec{X: x0, Z: hi})
		quad(r3.Vec{X: x0, Y: 12, Z: lo}, r3.Vec{X: x0, Y: 12, Z: hi}, r3.Vec{X: x1, Y: 12, Z: hi}, r3.Vec{X: x1, Y: 12, Z: lo})
		for j := range n {
			y0, y1 := at(j), at(j+1)
			quad(r3.Vec{X: x0, Y: y0, Z: lo}, r3.Vec{X: x0, Y: y0, Z: hi}, r3.Vec{X: x0, Y: y1, Z: hi}, r3.Vec{X: x0, Y: y1, Z: lo})
			quad(r3.Vec{X: x1, Y: y0, Z: lo}, r3.Vec{X: x1, Y: y1, Z: lo}, r3.Vec{X: x1, Y: y1, Z: hi}, r3.Vec{X: x1, Y: y0, Z: hi})
		}
	}
	return m
}

// cracked moves the corners of every other facet by about a rounding error.
func cracked(m *Mesh, width float64) *Mesh {
	out := &Mesh{}
	for i := range m.Facets {
		a, b, c := m.Corners(i)
		if i%2 == 1 {
			d := r3.Vec{X: width, Y: -width, Z: width}
			a, b, c = r3.Add(a, d), r3.Add(b, d), r3.Add(c, d)
		}
		out = with(out, a, b, c)
	}
	return out
}

// defect is a body with something wrong, and what it is without.
type defect struct {
	name     string
	m        *Mesh
	volume   float64
	bodies   int
	cavities int
	repair   string // a word of the repair, "" for none
	finding  string // a word of the finding, "" for none
	open     bool   // it stays open
}

func defects() []defect {
	cube := cubeShape(0, 0, 0, 10)
	inner := cubeShape(3, 3, 3, 4)
	facet := func(m *Mesh, i int) []r3.Vec {
		a, b, c := m.Corners(i)
		return []r3.Vec{a, b, c}
	}
	f0, f5 := facet(cube, 0), facet(cube, 5)
	return []defect{
		{name: "sound", m: cube, volume: 1000, bodies: 1},
		{name: "collapsed facet", m: with(cube, f0[0], f0[0], f0[1]), volume: 1000, bodies: 1, repair: "repeated corner"},
		{name: "copy", m: with(cube, f0...), volume: 1000, bodies: 1, repair: "more than once"},
		{name: "copy turned over", m: with(cube, f0[0], f0[2], f0[1]), volume: 1000, bodies: 1, repair: "without thickness"},
		{name: "two copies and one turned over", m: with(cube, f0[0], f0[2], f0[1], f0[0], f0[1], f0[2]), volume: 1000, bodies: 1, repair: "more than once"},
		{name: "twice the same", m: together(cube, cube), volume: 1000, bodies: 1, repair: "more than once"},
		{name: "twice, one turned over", m: together(cube, reversed(cube)), volume: 1000, bodies: 1, repair: "without thickness"},
		{name: "twice, one turned over, facets mixed", m: mixed(together(cube, reversed(cube))), volume: 1000, bodies: 1, repair: "without thickness"},
		{name: "inner wall", m: together(cube, cubeShape(10, 0, 0, 10)), volume: 2000, bodies: 1, repair: "without thickness"},
		{name: "inner walls in a corner", m: together(cube, cubeShape(10, 0, 0, 10), cubeShape(0, 10, 0, 10), cubeShape(10, 10, 0, 10)), volume: 4000, bodies: 1, repair: "without thickness"},
		{name: "some facets inward", m: turnedOver(cube, 0, 3, 7), volume: 1000, bodies: 1, repair: "turned over"},
		{name: "all inward", m: reversed(cube), volume: 1000, bodies: 1, repair: "whole body"},
		{name: "missing facet", m: without(cube, 4), volume: 1000, bodies: 1, repair: "filled"},
		{name: "missing facet, inward", m: without(reversed(cube), 4), volume: 1000, bodies: 1, repair: "filled"},
		{name: "missing lid", m: without(cube, 2, 3), volume: math.NaN(), bodies: 1, finding: "open", open: true},
		{name: "missing lid, inward", m: without(reversed(cube), 2, 3), volume: math.NaN(), bodies: 1, repair: "whole body", finding: "open", open: true},
		{name: "needle", m: needled(), volume: 1000, bodies: 1, repair: "without area"},
		{name: "T-junction", m: tJunction(), volume: 1000, bodies: 1, repair: "divided along seams"},
		{name: "seam of thirds and halves", m: zipSeam(), volume: 20 * 144, bodies: 1, repair: "divided along seams"},
		{name: "cracks of rounding width", m: cracked(cube, 4e-7), volume: 1000, bodies: 1, repair: "cracks"},
		{name: "cracks wider than rounding", m: cracked(cube, 1e-3), volume: math.NaN(), bodies: 12, finding: "seam", open: true},
		{name: "fin", m: with(cube, f5[0], f5[1], r3.Vec{X: 5, Y: -3, Z: 4}), volume: 1000, bodies: 1, repair: "fin or loose sheet"},
		{name: "loose sheet", m: with(cube, r3.Vec{X: 20}, r3.Vec{X: 25}, r3.Vec{X: 20, Y: 5}), volume: 1000, bodies: 1, repair: "fin or loose sheet"},
		{name: "loose sheet from both sides", m: with(cube, r3.Vec{X: 20}, r3.Vec{X: 25}, r3.Vec{X: 20, Y: 5}, r3.Vec{X: 20}, r3.Vec{X: 20, Y: 5}, r3.Vec{X: 25}), volume: 1000, bodies: 1, repair: "fin or loose sheet"},
		{name: "cavity", m: together(cube, reversed(inner)), volume: 936, bodies: 1, cavities: 1, finding: "closed cavity of 64 mm3"},
		{name: "cavity, all turned over", m: together(reversed(cube), inner), volume: 936, bodies: 1, cavities: 1, repair: "whole body", finding: "closed cavity"},
		{name: "two cavities", m: together(cube, reversed(cubeShape(1, 1, 1, 3)), reversed(cubeShape(6, 6, 6, 2))), volume: 1000 - 27 - 8, bodies: 1, cavities: 2, finding: "2 closed cavities"},
		{name: "body in a cavity", m: together(cube, reversed(cubeShape(2, 2, 2, 6)), cubeShape(4, 4, 4, 2)), volume: 1000 - 216 + 8, bodies: 2, cavities: 1, finding: "2 separate bodies"},
		{name: "body within a body", m: together(cube, inner), volume: 1000, bodies: 1, repair: "made one surface; 64 mm3", finding: "not as a cavity"},
		{name: "hole in a cavity's shell", m: together(cube, without(reversed(inner), 3)), volume: 936, bodies: 1, cavities: 1, repair: "filled", finding: "closed cavity"},
		{name: "overlap", m: together(cube, cubeShape(5, 5, 5, 10)), volume: 1875, bodies: 1, repair: "made one surface; 125 mm3"},
		{name: "touching in a point", m: together(cube, cubeShape(10, 10, 10, 10)), volume: 2000, bodies: 2, finding: "single point"},
		{name: "touching along an edge, one inward", m: together(cube, reversed(cubeShape(10, 10, 0, 10))), volume: 2000, bodies: 1, repair: "whole body", finding: "more than two facets"},
		{name: "cavity that reaches the outside", m: together(cube, reversed(cubeShape(5, 5, 3, 5))), volume: 875, bodies: 1, cavities: 1, finding: "closed cavity"},
		{name: "block on a block", m: together(cube, cubeShape(3, 3, 10, 4)), volume: 1064, bodies: 2, finding: "2 separate"},
		{name: "block against the inner side of a cavity", m: together(cube, reversed(cubeShape(2, 2, 2, 6)), cubeShape(4, 4, 2, 2)), volume: 1000 - 216 + 8, bodies: 2, cavities: 1, finding: "closed cavity"},
		{name: "touching along an edge", m: together(cube, cubeShape(10, 10, 0, 10)), volume: 2000, bodies: 1, finding: "more than two facets"},
	}
}

func TestMend(t *testing.T) {
	for _, d := range defects() {
		t.Run(d.name, func(t *testing.T) {
			m, h := mended(t, d.m)
			if err := d.check(m, h, 1e-6); err != nil {
				t.Errorf("%v\nfindings %q\nrepairs %q", err, h.Findings, h.Repairs)
			}
			checkHealth(t, &Part{Mesh: m, Health: h})
		})
	}
}

// check compares a mended mesh with what it should be.
func (d defect) check(m *Mesh, h Health, tol float64) error {
	var wrong []string
	fault := func(format string, args ...any) { wrong = append(wrong, fmt.Sprintf(format, args...)) }
	if !math.IsNaN(d.volume) && !near(m.Volume(), d.volume, tol) {
		fault("volume %v, want %v", m.Volume(), d.volume)
	}
	if h.Watertight == d.open {
		fault("watertight %v, open edges %d", h.Watertight, h.OpenEdges)
	}
	if h.Bodies != d.bodies || h.Cavities != d.cavities {
		fault("%d bodies, %d cavities; want %d, %d", h.Bodies, h.Cavities, d.bodies, d.cavities)
	}
	if repairs := strings.Join(h.Repairs, " "); (d.repair == "") != (repairs == "") || !strings.Contains(repairs, d.repair) {
		fault("repairs want %q", d.repair)
	}
	if findings := strings.Join(h.Findings, " "); (d.finding == "") != (findings == "") || !strings.Contains(findings, d.finding) {
		fault("findings want %q", d.finding)
	}
	if len(wrong) == 0 {
		return nil
	}
	return errors.New(strings.Join(wrong, "; "))
}

// mixed gives m with its facets in another order, some of the first half after all
// others: copies of them come first then.
func mixed(m *Mesh) *Mesh {
	out := &Mesh{Vertices: m.Vertices}
	var last [][3]int32
	for i, f := range m.Facets {
		if i%3 == 2 && i < len(m.Facets)/2 {
			last = append(last, f)
			continue
		}
		out.Facets = append(out.Facets, f)
	}
	out.Facets = append(out.Facets, last...)
	return out
}

// TestMendAnyhow mends the bodies turned, shifted, shuffled and rounded to 32
// bits, as a file would hold them.
func TestMendAnyhow(t *testing.T) {
	list := defects()
	rapid.Check(t, func(rt *rapid.T) {
		d := rapid.SampledFrom(list).Draw(rt, "defect")
		shift := r3.Scale(rapid.Float64Range(0, 20).Draw(rt, "far"), drawUnit(rt, "shift"))
		m := shuffled(rt, d.m.Transform(drawRotation(rt), shift))
		for i, v := range m.Vertices {
			m.Vertices[i] = wide(narrow(v))
		}
		whole, h, err := Mend(context.Background(), m)
		if err != nil {
			rt.Fatal(d.name, err)
		}
		if h.AsRead.OpenEdges == 0 && d.repair == "cracks" || d.name == "needle" && len(h.Repairs) == 0 { // rounded away
			d.repair = ""
		}
		h.Findings = slices.DeleteFunc(h.Findings, func(s string) bool { return strings.Contains(s, "sliver") })
		if err := d.check(whole, h, 1e-5); err != nil {
			rt.Fatalf("%s: %v\nfindings %q\nrepairs %q", d.name, err, h.Findings, h.Repairs)
		}
	})
}

func TestMendRefuses(t *testing.T) {
	sheet := &Mesh{Vertices: []r3.Vec{{}, {X: 1}, {X: 1, Y: 1}, {Y: 1}}, Facets: [][3]int32{{0, 1, 2}, {0, 2, 3}}}
	tests := []struct {
		name, want string
		m          *Mesh
	}{
		{"nothing", "repeated corner", &Mesh{}},
		{"collapsed facets only", "repeated corner", &Mesh{Vertices: []r3.Vec{{}, {X: 1}}, Facets: [][3]int32{{0, 1, 1}}}},
		{"a flat sheet", "one plane", sheet},
		{"a flat sheet, leaning", "one plane", sheet.Transform(RotationAbout(r3.Unit(r3.Vec{X: 1, Y: 2, Z: 3}), 1), r3.Vec{X: 5})},
		{"a flat sheet from both sides", "one plane", together(sheet, reversed(sheet))},
		{"one side only", "one side only", moebius(12)},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			_, _, err := Mend(context.Background(), tt.m)
			if err == nil || !strings.Contains(err.Error(), tt.want) {
				t.Errorf("error %v, want one about %q", err, tt.want)
			}
		})
	}
}

func TestMendLeavesTheOriginal(t *testing.T) {
	m := together(turnedOver(cubeShape(0, 0, 0, 1), 3), cubeShape(0, 0, 0, 1))
	before := m.Clone()
	mended(t, m)
	if !slices.Equal(m.Facets, before.Facets) || !slices.Equal(m.Vertices, before.Vertices) {
		t.Error("the original changed")
	}
}

func TestMendStops(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, _, err := Mend(ctx, cubeShape(0, 0, 0, 1)); !errors.Is(err, context.Canceled) {
		t.Errorf("error %v, want context.Canceled", err)
	}
}

// TestMendKeepsSound leaves a sound mesh as it is, facet by facet.
func TestMendKeepsSound(t *testing.T) {
	for _, m := range []*Mesh{torusShape(30, 8, 40, 20), sphereShape(5, 20), lopsided()} {
		got, h := mended(t, m)
		if len(got.Facets) != len(m.Facets) || !near(got.Volume(), m.Volume(), 1e-12) {
			t.Errorf("%d facets, volume %v; want %d, %v", len(got.Facets), got.Volume(), len(m.Facets), m.Volume())
		}
		if !h.Watertight || len(h.Repairs) > 0 {
			t.Errorf("health %+v", h)
		}
	}
}

func BenchmarkMend1300k(b *testing.B) {
	m := torusShape(30, 8, 1300, 500)
	b.ReportAllocs()
	for b.Loop() {
		if _, _, err := Mend(context.Background(), m); err != nil {
			b.Fatal(err)
		}
	}
}
