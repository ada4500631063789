package orient

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
	"kilnpoise/mesh/meshtest"
	"kilnpoise/orient/mark"
)

// sizesOf gives the sizes to check on a part in the pose with that build direction.
func sizesOf(t *testing.T, m *mesh.Mesh, b Brief, up r3.Vec) ([]CheckSize, *Candidate) {
	t.Helper()
	b.OnlyGiven = true
	b.Directions = []r3.Vec{up}
	a := advise(t, partOf("part", m), b)
	for i := range a.Candidates {
		if c := &a.Candidates[i]; c.Origin == Given {
			return a.CheckSizes(c), c
		}
	}
	t.Fatal("the given direction is missing")
	return nil, nil
}

// A block turned out of every axis: its three sizes are those of the block, not of
// the box around it, and the green ones are what the green mesh measures.
func TestSizesAreThoseOfTheTurnedPart(t *testing.T) {
	m := meshtest.Block(30, 20, 12)
	for _, up := range []r3.Vec{{Z: 1}, r3.Unit(r3.Vec{X: 1, Y: 2, Z: 3})} {
		sizes, c := sizesOf(t, m, testBrief(t), up)
		if len(sizes) != 3 {
			t.Fatalf("%d sizes, want 3: %+v", len(sizes), sizes)
		}
		green := c.Pose.Green(m)
		for i, want := range []float64{30, 20, 12} {
			s := sizes[i]
			if math.Abs(s.SinteredMM-want) > 1e-9 || s.Diameter {
				t.Errorf("size %d is %g mm, want %g", i+1, s.SinteredMM, want)
			}
			if got := distanceOf(green, s.Facets); math.Abs(s.GreenMM-got) > 1e-9 {
				t.Errorf("size %d is told as %g mm green, the mesh has %g", i+1, s.GreenMM, got)
			}
			if box := green.Bounds(); s.AtMM.Vec().Z < 0 || s.AtMM.Vec().Z > box.Max.Z {
				t.Errorf("size %d lies at %v, outside the part", i+1, s.AtMM)
			}
		}
	}
}

// distanceOf measures the distance between the two flats that the facets form.
func distanceOf(m *mesh.Mesh, facets []int32) float64 {
	first := r3.Unit(m.AreaVector(int(facets[0])))
	low, high := math.Inf(1), math.Inf(-1)
	for _, f := range facets {
		a, _, _ := m.Corners(int(f))
		low, high = min(low, r3.Dot(first, a)), max(high, r3.Dot(first, a))
	}
	return high - low
}

// A tube: height, outer and inner diameter; round while it stands upright, an oval
// while green where it lies, as fitted to the corners of the green mesh.
func TestDiametersOfATube(t *testing.T) {
	tube := meshtest.Lathe([][2]float64{{6, 0}, {10, 0}, {10, 25}, {6, 25}, {6, 0}}, 96)
	b := testBrief(t)
	for _, tt := range []struct {
		up        r3.Vec
		low, high float64
	}{{r3.Vec{Z: 1}, 1 / 0.84, 1 / 0.84}, {r3.Vec{X: 1}, 1 / 0.84, 1 / 0.8}} {
		sizes, _ := sizesOf(t, tube, b, tt.up)
		if len(sizes) != 3 || sizes[0].Diameter || math.Abs(sizes[0].SinteredMM-25) > 1e-9 {
			t.Fatalf("sizes %+v, want the height and two diameters", sizes)
		}
		for i, want := range []float64{20, 12} {
			s := sizes[1+i]
			if !s.Diameter || s.Inside != (want == 12) || math.Abs(s.SinteredMM-want) > 1e-6 ||
				math.Abs(s.GreenMM-want*tt.low) > 1e-6 || math.Abs(s.GreenHighMM-want*tt.high) > 1e-6 {
				t.Errorf("up %v: %+v, want diameter %g, green %g to %g", tt.up, s, want, want*tt.low, want*tt.high)
			}
		}
	}
}

// Jaws need room: the flats that face a slot are no outer size, and of two steps
// in one direction the larger counts.
func TestSizesThatACaliperCanTake(t *testing.T) {
	// A U of two cheeks 8 thick, 3 apart: the cheeks' inner sides leave no room for a jaw.
	u := meshtest.Blocks([]float64{0, 8, 11, 19}, []float64{0, 30}, []float64{0, 6, 20}, func(i, j, k int) bool { return i != 1 || k == 0 })
	sizes, _ := sizesOf(t, u, testBrief(t), r3.Vec{Z: 1})
	for _, s := range sizes {
		if math.Abs(s.SinteredMM-8) < 1e-9 {
			t.Errorf("a cheek is to be measured with a jaw in a slot of 3 mm: %+v", s)
		}
	}
	if len(sizes) != 3 {
		t.Errorf("sizes %+v, want those along the three sides", sizes)
	}
}

// Marked dimensions come first, by name, and are not listed twice.
func TestMarkedSizesComeFirst(t *testing.T) {
	m := meshtest.Block(30, 20, 12)
	s := mark.NewSurface(m)
	kept := mark.Kept{Dimensions: []mark.KeptDimension{{Name: "thickness", What: mark.Distance, Seeds: []mark.Seed{
		{At: r3.Vec{X: 15, Y: 10, Z: 12}, WithinDeg: 1}, {At: r3.Vec{X: 15, Y: 10}, WithinDeg: 1},
	}}}}
	b := testBrief(t)
	b.Marks, _ = kept.Find(s)
	sizes, _ := sizesOf(t, m, b, r3.Vec{Z: 1})
	if len(sizes) != 3 || sizes[0].Name != "thickness" || sizes[0].SinteredMM != 12 || sizes[1].SinteredMM != 30 {
		t.Errorf("sizes %+v, want the thickness first and three in all", sizes)
	}
}

// Mass is kept but for the binder: metal is what the sintered density makes of the
// finished volume.
func TestMasses(t *testing.T) {
	b := testBrief(t)
	b.OnlyGiven = true
	got := advise(t, partOf("block", meshtest.Block(30, 20, 10)), b).Masses()
	if want := 6 * b.Material.SinteredDensityGCM3(); math.Abs(got.SinteredG-want) > 1e-3*want {
		t.Errorf("%g g sintered, want %g", got.SinteredG, want)
	}
	if got.GreenG <= got.DeboundHighG || got.DeboundHighG <= got.DeboundLowG || got.DeboundLowG <= got.SinteredG {
		t.Errorf("masses out of order: %+v", got)
	}
	if want := 100 * (1 - got.SinteredG/got.GreenG); math.Abs(got.LossPercent-want) > 1e-9 || got.DebindingLossHighPercent >= got.LossPercent {
		t.Errorf("losses %+v, want %g %% in all", got, want)
	}
}
