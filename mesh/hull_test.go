package mesh_test

import (
	"context"
	"errors"
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
	"kilnpoise/mesh/meshtest"
)

func TestHullVolumes(t *testing.T) {
	cross := meshtest.Blocks([]float64{0, 1, 2, 3}, []float64{0, 1, 2, 3}, []float64{0, 1},
		func(i, j, k int) bool { return i == 1 || j == 1 })
	tests := []struct {
		name string
		m    *mesh.Mesh
		want float64
	}{
		{"block", meshtest.Block(2, 3, 4), 24},
		{"cross: a square less four corners", cross, 9 - 4*0.5},
		{"cylinder", meshtest.Cylinder(5, 10, 720), math.Pi * 250},
		{"torus: a flat cylinder with a rounded rim", meshtest.Torus(20, 6, 96), hullOfTorus(20, 6)},
	}
	for _, tt := range tests {
		hull, err := tt.m.Hull(context.Background())
		if err != nil {
			t.Fatalf("%s: %v", tt.name, err)
		}
		if got := hull.Volume(); math.Abs(got-tt.want) > 5e-3*tt.want {
			t.Errorf("%s: hull of %g mm3, want %g", tt.name, got, tt.want)
		}
	}
}

// hullOfTorus is a cylinder of radius R and height 2r with a half torus around:
// pi R^2 2r + pi^2 R r^2 + 4/3 pi r^3 (Pappus, derived).
func hullOfTorus(major, minor float64) float64 {
	return 2*math.Pi*major*major*minor + math.Pi*math.Pi*major*minor*minor + 4.0/3*math.Pi*minor*minor*minor
}

func TestHullOfFlatThings(t *testing.T) {
	sheet := &mesh.Mesh{Vertices: []r3.Vec{{}, {X: 1}, {Y: 1}, {X: 1, Y: 1}}, Facets: [][3]int32{{0, 1, 2}, {1, 3, 2}}}
	for name, m := range map[string]*mesh.Mesh{"empty": {}, "sheet": sheet} {
		if _, err := m.Hull(context.Background()); !errors.Is(err, mesh.ErrFlat) {
			t.Errorf("%s: error %v, want ErrFlat", name, err)
		}
	}
}

func TestCoarsenKeepsTheShape(t *testing.T) {
	for name, m := range map[string]*mesh.Mesh{"sphere": meshtest.Sphere(10, 200), "torus": meshtest.Torus(20, 6, 120)} {
		coarse, from, err := m.Coarsen(context.Background(), 2500)
		if err != nil {
			t.Fatal(err)
		}
		if n := len(coarse.Facets); n > 2500 || n < 800 {
			t.Errorf("%s: %d facets, want 800 to 2500", name, n)
		}
		if len(from) != len(coarse.Facets) {
			t.Errorf("%s: %d origins of %d facets", name, len(from), len(coarse.Facets))
		}
		if got, want := coarse.Volume(), m.Volume(); math.Abs(got-want) > 0.03*want {
			t.Errorf("%s: %g mm3, was %g", name, got, want)
		}
	}
	block := meshtest.Block(1, 2, 3)
	if same, _, _ := block.Coarsen(context.Background(), 100); same != block {
		t.Error("a small mesh was changed")
	}
}

func BenchmarkHull(b *testing.B) {
	m := meshtest.Torus(30, 8, 100)
	b.ReportAllocs()
	for range b.N {
		if _, err := m.Hull(context.Background()); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkCoarsen(b *testing.B) {
	m := meshtest.Torus(30, 8, 100)
	b.ReportAllocs()
	for range b.N {
		_, _, _ = m.Coarsen(context.Background(), 2500)
	}
}
