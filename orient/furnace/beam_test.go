package furnace_test

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
	"kilnpoise/mesh/meshtest"
	"kilnpoise/orient/furnace"
)

const (
	density    = 7000.0
	compliance = 1.5e-6
)

// readBeam reads the beams of a mesh standing on z = 0.
func readBeam(m *mesh.Mesh, lines int) furnace.Beam {
	b := m.Bounds()
	var c mesh.Columns
	c.Fill(m.Vertices, m.Facets, b.Min, b.Max, lines)
	var r furnace.BeamReader
	return r.Read(&c, r3.Vec{X: 1, Y: 1, Z: 1}, compliance, density)
}

// gallows is a post of 10 x width x post with an arm of length and thickness at
// its top.
func gallows(length, thickness, post float64) *mesh.Mesh {
	return meshtest.Blocks([]float64{0, 10, 10 + length}, []float64{0, 5}, []float64{0, post, post + thickness},
		func(i, j, k int) bool { return i == 0 || k == 1 })
}

// portal is a beam of clear span and thickness on two posts of 10 x 10.
func portal(span, thickness float64) *mesh.Mesh {
	return meshtest.Blocks([]float64{0, 10, 10 + span, 20 + span}, []float64{0, 5}, []float64{0, 10, 10 + thickness},
		func(i, j, k int) bool { return i != 1 || k == 1 })
}

// Facts 8 (handbook form with shear, 1 + 1.2 (h/L)^2): cantilever 10 x 2 and 20 x
// 5, beam built in at both ends 20 x 2 and 30 x 3. The reading is rough on
// purpose: a fifth is what it has to hold.
func TestBeamsAgainstHandbook(t *testing.T) {
	shear := func(h, l float64) float64 { return 1 + 1.2*(h/l)*(h/l) }
	tests := []struct {
		name  string
		m     *mesh.Mesh
		want  float64
		reach float64
		held  bool
	}{
		{"cantilever 10 x 2", gallows(10, 2, 20), 0.3861 * shear(2, 10), 10, false},
		{"cantilever 20 x 5", gallows(20, 5, 20), 0.9885 * shear(5, 20), 20, false},
		{"built in 20 x 2", portal(20, 2), 0.1287, 10, true},
		{"built in 30 x 3", portal(30, 3), 0.2896, 15, true},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got := readBeam(tt.m, 128*128)
			if math.Abs(got.SagMM-tt.want) > 0.2*tt.want {
				t.Errorf("sag = %.4f mm, want %.4f within a fifth", got.SagMM, tt.want)
			}
			if math.Abs(got.ReachMM-tt.reach) > 0.5 || got.Held != tt.held {
				t.Errorf("reach %.2f mm, held %v, want %.2f, %v", got.ReachMM, got.Held, tt.reach, tt.held)
			}
		})
	}
}

// A block that rests with all of its base does not sag.
func TestBlockDoesNotSag(t *testing.T) {
	if b := readBeam(meshtest.Block(30, 20, 10), 64*64); b.SagMM != 0 {
		t.Errorf("sag = %g mm, want 0", b.SagMM)
	}
}

// However soft, nothing falls lower than the setter.
func TestSagStopsAtTheSetter(t *testing.T) {
	if b := readBeam(gallows(60, 1, 5), 64*64); b.SagMM > 5+1e-6 {
		t.Errorf("sag = %g mm, but the arm hangs 5 mm above the setter", b.SagMM)
	}
}

// A leaning cylinder is thick although lines near its side meet only slivers.
func TestSliversAreNotThinBeams(t *testing.T) {
	lean := mesh.RotationAbout(r3.Vec{X: 1}, 30*math.Pi/180)
	m := meshtest.Cylinder(8, 20, 96).Transform(lean, r3.Vec{})
	low := m.Bounds().Min.Z
	m = m.Transform(mesh.Identity(), r3.Vec{Z: -low})
	if b := readBeam(m, 128*128); b.SagMM > 0.5 {
		t.Errorf("sag = %g mm for a cylinder of 16 x 20 mm leaning by 30 deg", b.SagMM)
	}
}

func BenchmarkBeamReader(b *testing.B) {
	m := portal(30, 3)
	box := m.Bounds()
	var c mesh.Columns
	c.Fill(m.Vertices, m.Facets, box.Min, box.Max, 128*128)
	var r furnace.BeamReader
	b.ReportAllocs()
	for range b.N {
		r.Read(&c, r3.Vec{X: 1, Y: 1, Z: 1}, compliance, density)
	}
}
