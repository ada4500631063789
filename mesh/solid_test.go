package mesh

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"
)

// TestSolidClosedForms compares with the textbook volumes and moments of filled
// bodies; curved ones are inscribed, so that a fine one comes near from below.
func TestSolidClosedForms(t *testing.T) {
	const R, r = 30.0, 8.0
	tests := []struct {
		name         string
		m            *Mesh
		volume, area float64
		moments      r3.Vec // diagonal of the covariance over volume
		tol          float64
	}{
		{"box", boxShape(r3.Vec{X: -1, Y: -2, Z: -3}, r3.Vec{X: 1, Y: 2, Z: 3}), 48, 88, r3.Vec{X: 4.0 / 12, Y: 16.0 / 12, Z: 36.0 / 12}, 1e-14},
		{"sphere", sphereShape(10, 160), 4.0 / 3 * math.Pi * 1000, 4 * math.Pi * 100, r3.Vec{X: 20, Y: 20, Z: 20}, 5e-4},
		{"torus", torusShape(R, r, 400, 160), 2 * math.Pi * math.Pi * R * r * r, 4 * math.Pi * math.Pi * R * r,
			r3.Vec{X: R*R/2 + 3*r*r/8, Y: R*R/2 + 3*r*r/8, Z: r * r / 4}, 5e-4},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			s := tt.m.Solid()
			if !near(s.Volume, tt.volume, tt.tol) {
				t.Errorf("volume %v, want %v", s.Volume, tt.volume)
			}
			if got := tt.m.Area(); !near(got, tt.area, tt.tol) {
				t.Errorf("area %v, want %v", got, tt.area)
			}
			if r3.Norm(s.Centroid) > 1e-9 {
				t.Errorf("centroid %v, want the origin", s.Centroid)
			}
			for i := range 3 {
				if got, want := s.Covariance[i][i]/s.Volume, component(tt.moments, i); !near(got, want, 2*tt.tol) {
					t.Errorf("moment %d: %v, want %v", i, got, want)
				}
			}
		})
	}
}

// lopsided is a body without symmetry.
func lopsided() *Mesh {
	return together(
		boxShape(r3.Vec{}, r3.Vec{X: 30, Y: 9, Z: 5}),
		boxShape(r3.Vec{X: 1, Y: 1, Z: 5}, r3.Vec{X: 7, Y: 8, Z: 16}),
		sphereShape(3, 8).Transform(Identity(), r3.Vec{X: 25, Y: 20, Z: 2}),
	)
}

// TestSolidMovesWithBody turns and shifts a body: volume and area stay, centroid
// and moments go along.
func TestSolidMovesWithBody(t *testing.T) {
	m := lopsided()
	s := m.Solid()
	rapid.Check(t, func(t *rapid.T) {
		rot := drawRotation(t)
		shift := r3.Scale(rapid.Float64Range(0, 500).Draw(t, "far"), drawUnit(t, "shift"))
		moved := m.Transform(rot, shift)
		got := moved.Solid()
		if !near(got.Volume, s.Volume, 1e-10) || !near(moved.Area(), m.Area(), 1e-10) {
			t.Fatalf("volume %v, area %v; want %v, %v", got.Volume, moved.Area(), s.Volume, m.Area())
		}
		if want := r3.Add(rot.MulVec(s.Centroid), shift); apart(got.Centroid, want) > 1e-9 {
			t.Fatalf("centroid %v, want %v", got.Centroid, want)
		}
		want := rot.Mul(s.Covariance).Mul(rot.Transpose())
		for i := range 3 {
			for j := range 3 {
				if math.Abs(got.Covariance[i][j]-want[i][j]) > 1e-8*s.Covariance[0][0] {
					t.Fatalf("covariance %v, want %v", got.Covariance, want)
				}
			}
		}
	})
}

func TestMirrorKeepsFacetsOutward(t *testing.T) {
	m := lopsided()
	for i := range 3 {
		d := [3]float64{1, 1, 1}
		d[i] = -2
		got := m.Transform(Diagonal(r3.Vec{X: d[0], Y: d[1], Z: d[2]}), r3.Vec{})
		if !near(got.Volume(), 2*m.Volume(), 1e-12) {
			t.Errorf("mirrored along %d: volume %v, want %v", i, got.Volume(), 2*m.Volume())
		}
	}
}

// TestPermutation shuffles facets, corners within facets and vertices.
func TestPermutation(t *testing.T) {
	m := lopsided()
	want := m.Solid()
	rapid.Check(t, func(t *rapid.T) {
		s := shuffled(t, m)
		got := s.Solid()
		if !near(got.Volume, want.Volume, 1e-12) || !near(s.Area(), m.Area(), 1e-12) || apart(got.Centroid, want.Centroid) > 1e-11 {
			t.Fatalf("shuffled: %v, want %v", got, want)
		}
		if s.Bounds() != m.Bounds() {
			t.Fatalf("bounds %v, want %v", s.Bounds(), m.Bounds())
		}
	})
}

// shuffled gives the same surface in another order.
func shuffled(t *rapid.T, m *Mesh) *Mesh {
	order := rapid.Permutation(sequence(len(m.Facets))).Draw(t, "facets")
	number := rapid.Permutation(sequence(len(m.Vertices))).Draw(t, "vertices")
	out := &Mesh{Vertices: make([]r3.Vec, len(m.Vertices))}
	for i, n := range number {
		out.Vertices[n] = m.Vertices[i]
	}
	for _, i := range order {
		f := m.Facets[i]
		k := i % 3
		out.Facets = append(out.Facets, [3]int32{int32(number[f[k]]), int32(number[f[(k+1)%3]]), int32(number[f[(k+2)%3]])})
	}
	return out
}

func sequence(n int) []int {
	out := make([]int, n)
	for i := range out {
		out[i] = i
	}
	return out
}

// TestPrincipalAxesTurnWithBody turns a body without symmetry: its axes turn
// with it, signs and all.
func TestPrincipalAxesTurnWithBody(t *testing.T) {
	m := lopsided()
	want := m.PrincipalAxes()
	if !isRotation(want) {
		t.Fatalf("%v is no rotation", want)
	}
	rapid.Check(t, func(t *rapid.T) {
		rot := drawRotation(t)
		got := m.Transform(rot, r3.Vec{X: 3}).PrincipalAxes()
		for i := range 3 {
			if apart(got.Row(i), rot.MulVec(want.Row(i))) > 1e-6 {
				t.Fatalf("axis %d: %v, want %v", i, got.Row(i), rot.MulVec(want.Row(i)))
			}
		}
	})
}

func TestPrincipalAxesLongestFirst(t *testing.T) {
	m := boxShape(r3.Vec{}, r3.Vec{X: 2, Y: 9, Z: 4})
	for _, body := range []*Mesh{m, reversed(m)} {
		axes := body.PrincipalAxes()
		for i, want := range []r3.Vec{{Y: 1}, {Z: 1}, {X: 1}} {
			if math.Abs(math.Abs(r3.Dot(axes.Row(i), want))-1) > 1e-9 {
				t.Errorf("axis %d = %v, want %v or its opposite", i, axes.Row(i), want)
			}
		}
	}
}

// TestSolidOfSheet has a sheet without volume give the middle of its surface.
func TestSolidOfSheet(t *testing.T) {
	m := &Mesh{Vertices: []r3.Vec{{}, {X: 6}, {Y: 6}}, Facets: [][3]int32{{0, 1, 2}}}
	s := m.Solid()
	if s.Volume != 0 || apart(s.Centroid, r3.Vec{X: 2, Y: 2}) > 1e-12 {
		t.Errorf("Solid() = %+v", s)
	}
	if got := (&Mesh{}).PrincipalAxes(); got != Identity() {
		t.Errorf("axes of nothing: %v", got)
	}
}
