package mark_test

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
	"kilnpoise/mesh/meshtest"
	"kilnpoise/orient/mark"
)

// tube is a sleeve of 10 outside, 6 inside diameter and 20 long, about Z.
func tube() *mesh.Mesh {
	outer := meshtest.Cylinder(5, 20, 96)
	m := outer.Clone()
	m.Facets = nil
	// The side walls of two cylinders, and rings between them.
	for _, f := range outer.Facets {
		if a := (&mesh.Mesh{Vertices: outer.Vertices, Facets: [][3]int32{f}}).AreaVector(0); math.Abs(a.Z) < 1e-9 {
			m.Facets = append(m.Facets, f)
		}
	}
	side := m.Clone()
	inner := side.Transform(mesh.Diagonal(r3.Vec{X: 0.6, Y: 0.6, Z: 1}), r3.Vec{})
	for i, f := range inner.Facets {
		inner.Facets[i] = [3]int32{f[0], f[2], f[1]}
	}
	n := int32(len(side.Vertices))
	m.Append(&mesh.Mesh{Vertices: inner.Vertices, Facets: inner.Facets})
	for _, f := range side.Facets { // close top and bottom over the edges of the walls
		for k := range 3 {
			a, b := f[k], f[(k+1)%3]
			za, zb := side.Vertices[a].Z, side.Vertices[b].Z
			if za == zb {
				m.Facets = append(m.Facets, [3]int32{b, a, a + n}, [3]int32{b, a + n, b + n})
			}
		}
	}
	return m
}

func TestRegionStopsAtEdges(t *testing.T) {
	block := mark.NewSurface(meshtest.Block(10, 20, 30))
	if got := block.Region(0, 5); len(got) != 2 {
		t.Errorf("a flat of a block has %d facets, want 2", len(got))
	}
	if got := block.Region(0, 90); len(got) != 12 {
		t.Errorf("with 90 deg allowed the region has %d facets, want all 12", len(got))
	}
	m := tube()
	s := mark.NewSurface(m)
	wall := s.Region(0, 5)
	if len(wall) != 2*96 {
		t.Errorf("the wall of a tube has %d facets, want %d", len(wall), 2*96)
	}
}

func TestGrowAndShrink(t *testing.T) {
	m := meshtest.Sphere(10, 48)
	s := mark.NewSurface(m)
	one := []int32{500}
	grown := s.Grow(one)
	if len(grown) != 4 {
		t.Errorf("one facet grows to %d, want 4", len(grown))
	}
	if back := s.Shrink(grown); len(back) != 1 || back[0] != 500 {
		t.Errorf("shrinking gives %v, want the one facet back", back)
	}
	if rest := mark.Without(grown, one); len(rest) != 3 {
		t.Errorf("%d facets left without the middle one, want 3", len(rest))
	}
}

func TestFitBore(t *testing.T) {
	turn := mesh.RotationAbout(r3.Unit(r3.Vec{X: 1, Y: 2, Z: -1}), 0.9)
	m := tube().Transform(turn, r3.Vec{X: 40, Y: -3, Z: 12})
	s := mark.NewSurface(m)
	for _, tt := range []struct {
		facet    int
		diameter float64
		inside   bool
	}{{0, 10, false}, {2 * 96, 6, true}} {
		b, err := mark.FitBore(m, s.Region(tt.facet, 5))
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(b.DiameterMM-tt.diameter) > 1e-9 || math.Abs(b.LengthMM-20) > 1e-9 || b.Inside != tt.inside {
			t.Errorf("bore %+v, want diameter %g, length 20, inside %v", b, tt.diameter, tt.inside)
		}
		if axis := turn.MulVec(r3.Vec{Z: 1}); math.Abs(math.Abs(r3.Dot(axis, b.Axis))-1) > 1e-12 {
			t.Errorf("axis %v, want %v", b.Axis, axis)
		}
	}
}

func TestWhatIsNoBore(t *testing.T) {
	block := meshtest.Block(10, 20, 30)
	s := mark.NewSurface(block)
	for name, facets := range map[string][]int32{"flat": s.Region(0, 5), "whole block": s.Region(0, 90), "nothing": nil} {
		if b, err := mark.FitBore(block, facets); err == nil {
			t.Errorf("%s: fitted %+v", name, b)
		}
	}
}

func TestBetweenFaces(t *testing.T) {
	turn := mesh.RotationAbout(r3.Unit(r3.Vec{X: 1, Y: 2, Z: -1}), 0.9)
	m := meshtest.Block(10, 20, 30).Transform(turn, r3.Vec{X: 5})
	s := mark.NewSurface(m)
	face := func(d r3.Vec) mark.Feature {
		d = turn.MulVec(d)
		p, err := mark.FitFeature(m, s.Region(s.Nearest(r3.Add(turn.MulVec(r3.Vec{X: 5, Y: 10, Z: 15}), r3.Vec{X: 5 + 40*d.X, Y: 40 * d.Y, Z: 40 * d.Z}), d), 5), false)
		if err != nil {
			t.Fatal(err)
		}
		return p
	}
	dim, err := mark.NewDimension(mark.Distance, face(r3.Vec{Y: 1}), face(r3.Vec{Y: -1}))
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(dim.NominalMM-20) > 1e-9 {
		t.Errorf("distance = %g mm, want 20", dim.NominalMM)
	}
	if _, err := mark.NewDimension(mark.Distance, face(r3.Vec{Y: 1}), face(r3.Vec{X: 1})); err == nil {
		t.Error("faces at right angles gave a dimension")
	}
}

// ISO 2768-1 medium at 25, 50 and 150 mm, and at the ends of a row: what a mesh
// measures is a little off what the drawing says.
func TestMediumTolerance(t *testing.T) {
	for mm, want := range map[float64]float64{
		25: 0.2, 50: 0.3, 150: 0.5,
		6: 0.1, 6.0000001: 0.1, 6.0004: 0.1, 6.001: 0.2, 30.0000002: 0.2, 119.9999999: 0.3, 120.00000003: 0.3,
	} {
		if got := mark.MediumTolerance(mm); got != want {
			t.Errorf("MediumTolerance(%g) = %g, want %g", mm, got, want)
		}
	}
}
