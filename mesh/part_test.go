package mesh

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
)

// fileOf is a 3MF of the given meshes.
func fileOf(t testing.TB, list ...*Mesh) *File {
	t.Helper()
	doc := ThreeMF{}
	for i, m := range list {
		doc.Objects = append(doc.Objects, Object{Name: fmt.Sprint("m", i), Mesh: m})
	}
	var b bytes.Buffer
	if err := Write3MF(&b, doc); err != nil {
		t.Fatal(err)
	}
	f, err := readBytes("tray.3mf", b.Bytes())
	if err != nil {
		t.Fatal(err)
	}
	return f
}

func TestPartOfItems(t *testing.T) {
	f := fileOf(t, cubeShape(0, 0, 0, 10), cubeShape(20, 0, 0, 5), cubeShape(40, 0, 0, 2))
	tests := []struct {
		items  []int
		volume float64
		bodies int
	}{
		{nil, 1000 + 125 + 8, 3},
		{[]int{1}, 125, 1},
		{[]int{0, 2}, 1008, 2},
		{[]int{2, 0}, 1008, 2},
	}
	for _, tt := range tests {
		p, err := f.Part(context.Background(), tt.items...)
		if err != nil {
			t.Fatal(err)
		}
		if !near(p.Mesh.Volume(), tt.volume, 1e-6) || p.Health.Bodies != tt.bodies {
			t.Errorf("items %v: volume %v, %d bodies; want %v, %d", tt.items, p.Mesh.Volume(), p.Health.Bodies, tt.volume, tt.bodies)
		}
		if p.Name != "tray" || p.File != "tray.3mf" || p.SHA256 != f.SHA256 || p.Unit != Millimetre || p.UnitAssumed {
			t.Errorf("part %+v", p)
		}
	}
	for _, items := range [][]int{{3}, {-1}, {0, 7}} {
		if _, err := f.Part(context.Background(), items...); err == nil || !strings.HasPrefix(err.Error(), "tray.3mf: there is no item") {
			t.Errorf("items %v: %v", items, err)
		}
	}
}

func TestPartLeavesItems(t *testing.T) {
	f := fileOf(t, reversed(cubeShape(0, 0, 0, 10)))
	before := f.Items[0].Mesh.Clone()
	if _, err := f.Part(context.Background(), 0); err != nil {
		t.Fatal(err)
	}
	if !slices.Equal(before.Facets, f.Items[0].Mesh.Facets) {
		t.Error("the item changed")
	}
}

func TestPartBoundsCavity(t *testing.T) {
	f := fileOf(t, together(reversed(cubeShape(3, 3, 3, 4)), cubeShape(0, 0, 0, 10)))
	p, err := f.Part(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	inner := 0
	for i, yes := range p.BoundsCavity() {
		a, _, _ := p.Mesh.Corners(i)
		inside := a.X >= 3 && a.X <= 7 && a.Y >= 3 && a.Y <= 7 && a.Z >= 3 && a.Z <= 7
		if yes != inside {
			t.Errorf("facet %d at %v: bounds a cavity %v", i, a, yes)
		}
		if yes {
			inner++
		}
	}
	if inner != 12 || len(p.Health.CavityFacets) != 12 || !near(p.Health.CavityVolume, 64, 1e-6) {
		t.Errorf("%d cavity facets, volume %v", inner, p.Health.CavityVolume)
	}
}

func TestPartStops(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := fileOf(t, cubeShape(0, 0, 0, 1)).Part(ctx); !errors.Is(err, context.Canceled) {
		t.Errorf("error %v", err)
	}
}

// TestPartSameTwice wants the same mesh and the same words each time.
func TestPartSameTwice(t *testing.T) {
	f := fileOf(t, together(turnedOver(lopsided(), 1, 5, 9), cubeShape(2, 2, 1, 2), tJunction(), cracked(cubeShape(60, 0, 0, 9), 1e-3)))
	first, err := f.Part(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	for range 5 {
		p, err := f.Part(context.Background())
		if err != nil || !slices.Equal(p.Mesh.Facets, first.Mesh.Facets) || !slices.Equal(p.Mesh.Vertices, first.Mesh.Vertices) ||
			fmt.Sprint(p.Health) != fmt.Sprint(first.Health) {
			t.Fatalf("another part: %v, %+v", err, p.Health)
		}
	}
}

// TestHealthPlaces wants each finding to say where.
func TestHealthPlaces(t *testing.T) {
	tests := []struct {
		name, want string
		m          *Mesh
	}{
		{"cavity", "at (5, 5, 5)", together(cubeShape(0, 0, 0, 10), reversed(cubeShape(3, 3, 3, 4)))},
		{"point", "the first at (10, 10, 10)", together(cubeShape(0, 0, 0, 10), cubeShape(10, 10, 10, 10))},
		{"edge", "one at (10, 10, 5)", together(cubeShape(0, 0, 0, 10), cubeShape(10, 10, 0, 10))},
		{"lid", "in 1 rim; the largest has 4 edges", without(cubeShape(0, 0, 0, 10), 2, 3)},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			_, h := mended(t, tt.m)
			if all := strings.Join(h.Findings, "\n"); !strings.Contains(all, tt.want) {
				t.Errorf("findings %q, want %q", all, tt.want)
			}
			for _, s := range append(h.Findings, h.Repairs...) {
				if !strings.HasSuffix(s, ".") {
					t.Errorf("not a sentence: %q", s)
				}
			}
		})
	}
}

// TestOverlapVolume compares the estimate with the exact volume of what two
// blocks have in common.
func TestOverlapVolume(t *testing.T) {
	for _, d := range []float64{1, 3, 6, 9} {
		m := together(cubeShape(0, 0, 0, 10), boxShape(r3.Vec{X: 10 - d, Y: 2, Z: -5}, r3.Vec{X: 30, Y: 8, Z: 5}))
		_, h, err := MendWith(context.Background(), m, MendOptions{Leave: []StepKind{UniteBodies}})
		if err != nil {
			t.Fatal(err)
		}
		if want := d * 6 * 5; !near(h.OverlapVolume, want, 0.1) { // lines 0.24 and 0.1 mm apart
			t.Errorf("overlap by %v: %v mm3, want about %v", d, h.OverlapVolume, want)
		}
	}
	if _, h := mended(t, together(cubeShape(0, 0, 0, 10), cubeShape(10, 2, 2, 6))); h.OverlapVolume != 0 {
		t.Errorf("blocks that touch overlap by %v", h.OverlapVolume)
	}
}

// TestNestManyShells sorts a crowd of bodies and cavities in good time.
func TestNestManyShells(t *testing.T) {
	m := boxShape(r3.Vec{X: -1, Y: -1, Z: -1}, r3.Vec{X: 61, Y: 61, Z: 61})
	n := 0
	for x := range 20 {
		for y := range 20 {
			for z := range 5 {
				hole := reversed(cubeShape(float64(3*x), float64(3*y), float64(12*z), 2))
				m.Append(hole)
				n++
			}
		}
	}
	if n <= 256 {
		t.Fatal("no crowd")
	}
	m.Append(cubeShape(0.5, 0.5, 0.5, 1)) // a body in the first hole
	m.Append(cubeShape(100, 0, 0, 3))     // and one beside
	_, h := mended(t, m)
	if h.Cavities != n || h.Bodies != 3 || h.Nested != 0 || !near(h.CavityVolume, float64(8*n), 1e-9) {
		t.Errorf("%d cavities of %v mm3, %d bodies, %d nested; want %d, 3, 0", h.Cavities, h.CavityVolume, h.Bodies, h.Nested, n)
	}
}

// TestNestManyHollows has a crowd of hollow bodies side by side: each cavity lies
// in a body of its own.
func TestNestManyHollows(t *testing.T) {
	m := &Mesh{}
	for x := range 20 {
		for y := range 20 {
			m.Append(cubeShape(float64(3*x), float64(3*y), 0, 2))
			m.Append(reversed(cubeShape(float64(3*x)+0.5, float64(3*y)+0.5, 0.5, 1)))
		}
	}
	whole, h := mended(t, m)
	if h.Cavities != 400 || h.Bodies != 400 || !near(whole.Volume(), 400*7, 1e-9) || len(h.Steps) > 0 {
		t.Errorf("%d cavities, %d bodies, volume %v: %q", h.Cavities, h.Bodies, whole.Volume(), h.Repairs)
	}
}

// TestTooManyLayers has more shells around one another than are looked through:
// that is said.
func TestTooManyLayers(t *testing.T) {
	if testing.Short() {
		t.Skip("takes some seconds")
	}
	m := &Mesh{}
	for i := range 6000 {
		s := float64(i + 1)
		m.Append(boxShape(r3.Vec{X: -s, Y: -s, Z: -s}, r3.Vec{X: s, Y: s, Z: s}))
	}
	_, h := mended(t, m)
	all := strings.Join(h.Findings, " ")
	if !strings.Contains(all, "could not be made one") || !strings.Contains(all, "overlaps could not be looked for") {
		t.Errorf("findings %q", h.Findings)
	}
	if !strings.Contains(all, "not all cavities could be told") {
		t.Errorf("findings %q", h.Findings)
	}
}
