package mesh

import (
	"context"
	"slices"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"
)

// TestMendStepsCanBeLeftOut mends every defect without each of the steps it
// needed: the step is not taken, and what it would have mended is still there.
func TestMendStepsCanBeLeftOut(t *testing.T) {
	taken := map[StepKind]bool{}
	for _, d := range defects() {
		_, with := mended(t, d.m)
		if len(with.Steps) != len(with.Repairs) {
			t.Errorf("%s: %d steps, %d repairs", d.name, len(with.Steps), len(with.Repairs))
		}
		for _, s := range with.Steps {
			taken[s.Kind] = true
			if s.Kind == DropCollapsed {
				continue
			}
			m, h, err := MendWith(context.Background(), d.m, MendOptions{Leave: []StepKind{s.Kind}})
			if err != nil {
				continue // what is left is no part, and said so
			}
			if slices.ContainsFunc(h.Steps, func(again Step) bool { return again.Kind == s.Kind }) {
				t.Errorf("%s: %q was taken all the same", d.name, s.Kind)
			}
			checkHealth(t, &Part{Mesh: m, Health: h})
			if !slices.Equal(h.Left, []StepKind{s.Kind}) {
				t.Errorf("%s: left %v", d.name, h.Left)
			}
		}
	}
	for _, kind := range AllSteps() {
		if !taken[kind] {
			t.Errorf("no defect needs the step %q", kind)
		}
	}
}

// TestMendWithoutAnything leaves a broken mesh as it is, facet by facet, and says
// what is wrong with it.
func TestMendWithoutAnything(t *testing.T) {
	for _, d := range defects() {
		want := Weld(d.m)
		want.keep(func(i int) bool { return !collapsed(want.Facets[i]) })
		want.compact()
		m, h, err := MendWith(context.Background(), d.m, MendOptions{Leave: AllSteps()})
		if err != nil {
			t.Errorf("%s: %v", d.name, err)
			continue
		}
		if !slices.Equal(m.Facets, want.Facets) || !slices.Equal(m.Vertices, want.Vertices) {
			t.Errorf("%s: the mesh changed", d.name)
		}
		if d.repair != "" && !strings.Contains(d.repair, "corner") && len(h.Findings) == 0 {
			t.Errorf("%s: nothing is said", d.name)
		}
	}
}

// TestMendClosesGaps closes gaps that the user allows, up to their width.
func TestMendClosesGaps(t *testing.T) {
	cube := cubeShape(0, 0, 0, 10)
	tests := []struct {
		name   string
		m      *Mesh
		gap    float64
		closed bool
		volume float64
	}{
		{"cracks wider than rounding", cracked(cube, 1e-3), 2e-3, true, 1000},
		{"cracks wider than allowed", cracked(cube, 1e-3), 1e-3, false, 1000},
		{"halves apart", halvesApart(3, 3, 0.01), 0.011, true, 20.01 * 144},
		{"halves farther apart", halvesApart(3, 3, 0.02), 0.011, false, 20 * 144},
		{"halves apart, other corners", halvesApart(3, 2, 0.01), 0.011, true, 20.01 * 144},
		{"fine rims", halvesApart(14, 14, 0.3), 0.31, true, 20.3 * 144},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			_, without := mended(t, tt.m)
			if without.Watertight || len(without.Steps) > 0 {
				t.Fatalf("closed without being allowed to: %q", without.Repairs)
			}
			m, h, err := MendWith(context.Background(), tt.m, MendOptions{GapMM: tt.gap})
			if err != nil {
				t.Fatal(err)
			}
			if h.Watertight != tt.closed || h.GapMM != tt.gap {
				t.Errorf("closed %v within %v mm: %q, %q", h.Watertight, h.GapMM, h.Repairs, h.Findings)
			}
			if !tt.closed {
				return
			}
			if !near(m.Volume(), tt.volume, 1e-3) {
				t.Errorf("volume %v, want %v", m.Volume(), tt.volume)
			}
			if s := h.Steps[0]; s.Kind != CloseGaps || !(s.MovedMM > 0 && s.MovedMM <= tt.gap) {
				t.Errorf("step %+v", s)
			}
			checkNear(t, m, tt.m, tt.gap)
			checkNear(t, tt.m, m, tt.gap)
		})
	}
}

// halvesApart is a block in two halves whose rims are a gap apart and have the
// given numbers of corners along each edge.
func halvesApart(left, right int, gap float64) *Mesh {
	open := func(m *Mesh) *Mesh {
		m.keep(func(i int) bool {
			a, b, c := m.Corners(i)
			return !(a.X == 10 && b.X == 10 && c.X == 10)
		})
		return m
	}
	m := open(gridBlock(10, 20, right))
	return together(open(gridBlock(0, 10, left)), m.Transform(Identity(), r3.Vec{X: gap, Y: 0}))
}

// checkNear wants every place of a surface within tol of another.
func checkNear(t testing.TB, m, other *Mesh, tol float64) {
	t.Helper()
	if d := farthestFrom(m, other, 2*tol); d > tol*(1+1e-9) {
		t.Errorf("the surface moved by %v mm, more than %v", d, tol)
	}
}

// farthestFrom gives how far places of m lie from the surface of other at most, mm;
// beyond far it does not look.
func farthestFrom(m, other *Mesh, far float64) float64 {
	g, err := newFacetGrid(context.Background(), other, other.Bounds())
	if err != nil {
		panic(err)
	}
	worst := 0.0
	for i := 0; i < len(m.Facets); i += 1 + len(m.Facets)/1500 {
		a, b, c := m.Corners(i)
		for k := range 12 {
			u, v := spread(k + i)
			p := r3.Add(a, r3.Add(r3.Scale(u, r3.Sub(b, a)), r3.Scale(v, r3.Sub(c, a))))
			q, ok := g.nearest(p, far)
			if !ok {
				return far
			}
			worst = max(worst, r3.Norm(r3.Sub(p, q)))
		}
	}
	return worst
}

// TestMendMovesNothingFar mends the defects at random and holds every place of the
// outcome against the surface as it was: apart from holes that were filled, none
// has moved by more than the tolerance shown.
func TestMendMovesNothingFar(t *testing.T) {
	list := defects()
	rapid.Check(t, func(rt *rapid.T) {
		d := rapid.SampledFrom(list).Draw(rt, "defect")
		m := shuffled(rt, d.m.Transform(drawRotation(rt), r3.Vec{}))
		gap := rapid.SampledFrom([]float64{0, 1e-3, 0.02}).Draw(rt, "gap")
		whole, h, err := MendWith(context.Background(), m, MendOptions{GapMM: gap})
		if err != nil {
			rt.Fatal(err)
		}
		for _, s := range h.Steps {
			if s.MovedMM > h.GapMM {
				rt.Fatalf("%+v moved by more than %v mm", s, h.GapMM)
			}
			if s.Kind == FillHoles {
				return
			}
		}
		if d := farthestFrom(whole, m, 1); d > h.GapMM*(1+1e-9)+1e-9 {
			rt.Fatalf("moved by %v mm, allowed %v: %q", d, h.GapMM, h.Repairs)
		}
	})
}
