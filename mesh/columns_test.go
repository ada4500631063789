package mesh_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
	"kilnpoise/mesh/meshtest"
)

func columnsOf(m *mesh.Mesh, lines int) *mesh.Columns {
	var c mesh.Columns
	b := m.Bounds()
	c.Fill(m.Vertices, m.Facets, b.Min, b.Max, lines)
	return &c
}

// Every line through a closed mesh leaves it as often as it enters, also where
// lines run exactly through edges and corners: the lattice of blocks is made to
// coincide with the grid lines.
func TestColumnsOfClosedMeshesBalance(t *testing.T) {
	odd := meshtest.Blocks([]float64{0, 1, 2, 3, 4, 5, 6, 7, 8}, []float64{0, 0.5, 1.5, 2.5, 3.5, 4.5, 5.5, 6.5, 7.5, 8}, []float64{0, 1, 2, 3},
		func(i, j, k int) bool { return (i*7+j*5+k*3)%4 != 0 })
	for name, m := range map[string]*mesh.Mesh{
		"blocks": odd, "sphere": meshtest.Sphere(10, 64), "torus": meshtest.Torus(20, 6, 48), "cone": meshtest.Cone(9, 30, 90),
	} {
		for _, lines := range []int{16 * 16, 64 * 64, 100 * 100} {
			c := columnsOf(m, lines)
			for j := range c.NY {
				for i := range c.NX {
					depth := 0
					last := float32(math.Inf(-1))
					for _, x := range c.At(i, j) {
						if x.Z < last {
							t.Fatalf("%s: line %d, %d is not in order", name, i, j)
						}
						last = x.Z
						if x.Up {
							depth--
						} else {
							depth++
						}
					}
					if depth != 0 {
						t.Fatalf("%s, %d lines: line %d, %d enters %d times more than it leaves", name, lines, i, j, depth)
					}
				}
			}
		}
	}
}

// Lines exactly through edges along X or Y meet the faces on both sides of them
// once: the rows and columns of the grid lie on the joints of four flat blocks.
func TestColumnsThroughEdges(t *testing.T) {
	for _, at := range [][2][]float64{{{0, 1, 2}, {0, 1.5, 3}}, {{0, 1.5, 3}, {0, 1, 2}}, {{0, 0.5, 1}, {0, 0.1, 0.3}}} {
		c := columnsOf(meshtest.Blocks(at[0], at[1], []float64{0, 1}, func(int, int, int) bool { return true }), 5)
		for j := range c.NY {
			for i := range c.NX {
				if n := len(c.At(i, j)); n != 2 {
					x, y := c.Center(i, j)
					t.Errorf("joints at %v: the line at %g, %g crosses the surface %d times, want 2", at, x, y, n)
				}
			}
		}
	}
}

// Turned over, the columns are those of the mesh turned over.
func TestColumnsOverturned(t *testing.T) {
	m := meshtest.Torus(20, 6, 48).Transform(mesh.RotationAbout(r3.Unit(r3.Vec{X: 1, Y: 2, Z: 0.5}), 0.7), r3.Vec{})
	b := m.Bounds()
	stood := m.Transform(mesh.Identity(), r3.Vec{Z: -b.Min.Z})
	c := columnsOf(stood, 900)
	top := b.Max.Z - b.Min.Z
	c.Overturn(top)
	want := columnsOf(stood.Transform(mesh.Diagonal(r3.Vec{X: 1, Y: -1, Z: -1}), r3.Vec{Z: top}), 900)
	if c.NX != want.NX || c.NY != want.NY || math.Abs(c.Y0-want.Y0) > 1e-9 || math.Abs(c.X0-want.X0) > 1e-9 {
		t.Fatalf("a grid of %d x %d from %g, %g, want %d x %d from %g, %g", c.NX, c.NY, c.X0, c.Y0, want.NX, want.NY, want.X0, want.Y0)
	}
	for j := range c.NY {
		for i := range c.NX {
			got, want := c.At(i, j), want.At(i, j)
			if len(got) != len(want) {
				t.Fatalf("line %d, %d: %d crossings, want %d", i, j, len(got), len(want))
			}
			for k := range got {
				if got[k].Facet != want[k].Facet || got[k].Up != want[k].Up || math.Abs(float64(got[k].Z-want[k].Z)) > 1e-4 {
					t.Errorf("line %d, %d: %+v, want %+v", i, j, got[k], want[k])
				}
			}
		}
	}
}

// The lengths inside, times the cell area, are the volume.
func TestColumnsGiveTheVolume(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 7))
	for name, m := range map[string]*mesh.Mesh{"sphere": meshtest.Sphere(10, 96), "torus": meshtest.Torus(20, 6, 64)} {
		axis := r3.Unit(r3.Vec{X: r.NormFloat64(), Y: r.NormFloat64(), Z: r.NormFloat64()})
		turned := m.Transform(mesh.RotationAbout(axis, 1.234), r3.Vec{X: 3})
		c := columnsOf(turned, 300*300)
		var sum float64
		for j := range c.NY {
			for i := range c.NX {
				for _, x := range c.At(i, j) {
					if x.Up {
						sum += float64(x.Z)
					} else {
						sum -= float64(x.Z)
					}
				}
			}
		}
		if got, want := sum*c.CellArea(), turned.Volume(); math.Abs(got-want) > 2e-3*want {
			t.Errorf("%s: %g mm3 from the columns, %g from the facets", name, got, want)
		}
	}
}

func TestColumnsOfNeedleStayBounded(t *testing.T) {
	c := columnsOf(meshtest.Block(1e5, 0.01, 0.01), 1024)
	if n := c.NX * c.NY; n > 8*1024 {
		t.Errorf("%d x %d lines for a needle", c.NX, c.NY)
	}
}

func BenchmarkColumns(b *testing.B) {
	m := meshtest.Torus(30, 8, 100) // 20 000 facets
	box := m.Bounds()
	var c mesh.Columns
	b.ReportAllocs()
	for range b.N {
		c.Fill(m.Vertices, m.Facets, box.Min, box.Max, 128*128)
	}
}

// The lines times the facets are more than an int of 32 bits holds: the crossings stay
// bounded all the same.
func TestColumnsOfManyFacetsAreBounded(t *testing.T) {
	m := &mesh.Mesh{}
	for k := range 50 { // plates over one another: 2.5e9 lines times facets
		m.Append(meshtest.Moved(meshtest.Block(10, 10, 0.5), 0, 0, float64(k)))
	}
	box := m.Bounds()
	var c mesh.Columns
	c.Fill(m.Vertices, m.Facets, box.Min, box.Max, 2048*2048)
	crossings := 0
	for j := range c.NY {
		for i := range c.NX {
			crossings += len(c.At(i, j))
		}
	}
	if crossings > 8<<20 || crossings < 1<<20 {
		t.Errorf("%d crossings on %d x %d lines", crossings, c.NX, c.NY)
	}
}
