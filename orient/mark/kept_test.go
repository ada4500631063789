package mark_test

import (
	"math"
	"slices"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
	"kilnpoise/mesh/meshtest"
	"kilnpoise/orient/mark"
)

// facing gives the first facet of m whose outward normal looks along d.
func facing(t *testing.T, m *mesh.Mesh, d r3.Vec) int {
	t.Helper()
	for i := range m.Facets {
		if r3.Dot(r3.Unit(m.AreaVector(i)), d) > 0.999 {
			return i
		}
	}
	t.Fatalf("no facet looks along %v", d)
	return -1
}

// reread gives m as a changed file would: facets in another order, every length
// grown by a little.
func reread(m *mesh.Mesh, grow float64) *mesh.Mesh {
	out := m.Transform(mesh.Diagonal(r3.Vec{X: grow, Y: grow, Z: grow}), r3.Vec{})
	slices.Reverse(out.Facets)
	return out
}

func TestMarksAreFoundAgainOnAChangedPart(t *testing.T) {
	m := meshtest.Block(20, 30, 40)
	s := mark.NewSurface(m)
	top, bottom := s.SeedOn(facing(t, m, r3.Vec{Z: 1}), 10), s.SeedOn(facing(t, m, r3.Vec{Z: -1}), 10)
	kept := mark.Kept{
		Faces:      []mark.KeptFace{{Kind: mark.KeepClean, Name: "lid", Seeds: []mark.Seed{top}}},
		Dimensions: []mark.KeptDimension{{Seeds: []mark.Seed{top, bottom}}},
		Loads:      []mark.Load{{Along: r3.Vec{X: 1}}},
	}
	for _, c := range []struct {
		name string
		grow float64
		lost int
	}{{"as it was", 1, 0}, {"a little larger", 1.004, 0}, {"half as large again", 1.5, 2}} {
		t.Run(c.name, func(t *testing.T) {
			changed := reread(m, c.grow)
			found, lost := kept.Find(mark.NewSurface(changed))
			if len(lost) != c.lost || len(found.Loads) != 1 {
				t.Fatalf("lost %v of the marks, want %d", lost, c.lost)
			}
			if c.lost > 0 {
				if got := lost[0].What; got != "face 1 (lid)" {
					t.Errorf("the lost mark is called %q", got)
				}
				return
			}
			for _, f := range found.Faces[0].Facets {
				if changed.AreaVector(int(f)).Z <= 0 {
					t.Errorf("facet %d of the found face does not look up", f)
				}
			}
			if got, want := found.Dimensions[0].NominalMM, 40*c.grow; math.Abs(got-want) > 1e-9 {
				t.Errorf("the distance found is %g mm, want %g", got, want)
			}
		})
	}
}

func TestKeptFacesJoinGrowAndLeaveOut(t *testing.T) {
	m := meshtest.Block(20, 30, 40)
	s := mark.NewSurface(m)
	seed := func(d r3.Vec) mark.Seed { return s.SeedOn(facing(t, m, d), 10) }
	up, right := seed(r3.Vec{Z: 1}), seed(r3.Vec{X: 1})
	area := func(f mark.KeptFace) float64 {
		face, err := f.Find(s)
		if err != nil {
			t.Fatal(err)
		}
		return s.Area(face.Facets)
	}
	joined := mark.KeptFace{Seeds: []mark.Seed{up, right}}
	if got, want := area(joined), 20*30+30*40.0; math.Abs(got-want) > 1e-9 {
		t.Errorf("two faces come to %g mm2, want %g", got, want)
	}
	joined.Without = []mark.Seed{right}
	if got, want := area(joined), 20*30.0; math.Abs(got-want) > 1e-9 {
		t.Errorf("without one of them %g mm2, want %g", got, want)
	}
	grown := mark.KeptFace{Seeds: []mark.Seed{up}, Rings: 1}
	if got, want := area(grown), 20*30+(20*40+30*40.0); math.Abs(got-want) > 1e-9 { // half of each side
		t.Errorf("grown by one row %g mm2, want %g", got, want)
	}
	if _, err := (&mark.KeptFace{Seeds: []mark.Seed{up}, Rings: -3}).Find(s); err == nil {
		t.Error("a face shrunk to nothing must be an error")
	}
}
