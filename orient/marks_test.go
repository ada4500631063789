package orient

import (
	"context"
	"math"
	"math/rand/v2"
	"reflect"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
	"kilnpoise/mesh/meshtest"
	"kilnpoise/orient/mark"
	"kilnpoise/orient/process"
)

// facing gives the facets of m whose normal is along d.
func facing(m *mesh.Mesh, d r3.Vec) []int32 {
	var out []int32
	for i := range m.Facets {
		if n := m.AreaVector(i); r3.Dot(n, d) > 0.999*r3.Norm(n) {
			out = append(out, int32(i))
		}
	}
	return out
}

// crossed is a block with a square hole along Y and a larger one along X: whatever
// way up, the ceiling of one of them at least needs support.
func crossed() *mesh.Mesh {
	return meshtest.Blocks([]float64{0, 10, 18, 36}, []float64{0, 12, 24, 40}, []float64{0, 8, 16, 22, 34, 40}, func(i, j, k int) bool {
		return !(i == 1 && k == 1) && !(j == 1 && k == 3)
	})
}

// A face marked to keep clean is scarred as loaded; the ranking turns it away
// from supports, and forgets the mark when it is removed.
func TestKeepCleanChangesTheRankingAndBack(t *testing.T) {
	if testing.Short() {
		t.Skip("short: numbers alone, and many of them")
	}
	b := testBrief(t)
	before := advise(t, partOf("crossed", crossed()), b)
	first := before.Candidates[0].Pose.Up()
	b.Marks.Faces = []mark.Face{{Kind: mark.KeepClean, Name: "scarred now", Facets: scarred(t, before)}}
	marked, err := before.Revise(context.Background(), b, nil)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range marked.Candidates {
		if angleBetween(c.Pose.Up(), first) < 0.01 && c.Measures.MarkedScarMM2 <= 0 {
			t.Error("the first place before the mark shows no scar on the marked faces")
		}
	}
	if scar, was := marked.Candidates[0].Measures.MarkedScarMM2, before.Candidates[0].Measures.OverhangAreaMM2; scar >= was {
		t.Errorf("the new first place scars %g mm2 of the marked faces, the old one %g", scar, was)
	}
	b.Marks = mark.Marks{}
	after, err := marked.Revise(context.Background(), b, nil)
	if err != nil {
		t.Fatal(err)
	}
	if len(after.Candidates) != len(before.Candidates) {
		t.Fatalf("%d candidates, were %d", len(after.Candidates), len(before.Candidates))
	}
	for i := range after.Candidates {
		x, y := &after.Candidates[i], &before.Candidates[i]
		if x.Pose != y.Pose || x.Cost != y.Cost || !reflect.DeepEqual(x.Reasons, y.Reasons) {
			t.Errorf("candidate %d is not what it was before the mark", i+1)
		}
	}
}

// scarred gives the overhanging facets of the as-loaded orientation and of the
// first place.
func scarred(t *testing.T, a *Advice) []int32 {
	t.Helper()
	var out []int32
	for _, c := range []*Candidate{a.AsLoaded(), &a.Candidates[0]} {
		d, err := a.Detail(context.Background(), c)
		if err != nil {
			t.Fatal(err)
		}
		for i, over := range d.Overhang {
			if over {
				out = append(out, int32(i))
			}
		}
	}
	if len(out) == 0 {
		t.Fatal("the test wants a part with overhangs")
	}
	return out
}

// The scar on marked faces against closed forms: the ceiling of a channel that
// opens sideways, and its floor, that support stands on.
func TestMarkedScar(t *testing.T) {
	m := meshtest.Blocks([]float64{0, 5, 30}, []float64{0, 50}, []float64{0, 5, 15, 20}, func(i, j, k int) bool { return i == 0 || k != 1 })
	var ceiling, floor []int32
	for i := range m.Facets {
		a, _, _ := m.Corners(i)
		switch n := m.AreaVector(i); {
		case n.Z < 0 && a.Z == 15:
			ceiling = append(ceiling, int32(i))
		case n.Z > 0 && a.Z == 5:
			floor = append(floor, int32(i))
		}
	}
	for name, facets := range map[string][]int32{"ceiling": ceiling, "floor": floor} {
		b := testBrief(t)
		b.OnlyGiven = true
		b.Material.Shrinkage = [3]float64{}
		b.Marks.Faces = []mark.Face{{Kind: mark.KeepClean, Facets: facets}}
		got := advise(t, partOf("channel", m), b).AsLoaded().Measures.MarkedScarMM2
		if want := 25.0 * 50; math.Abs(got-want) > 0.005*want {
			t.Errorf("%s: %g mm2 scarred, want %g", name, got, want)
		}
	}
}

// The preferred foot, the smooth face and the load each count where they should.
func TestFootSmoothAndLoad(t *testing.T) {
	m := meshtest.Block(10, 20, 30)
	b := testBrief(t)
	b.OnlyGiven = true
	b.Directions = []r3.Vec{{X: 1}, {Y: 1, Z: 1}}
	b.Marks = mark.Marks{
		Faces: []mark.Face{
			{Kind: mark.Foot, Facets: facing(m, r3.Vec{X: -1})},
			{Kind: mark.Smooth, Facets: facing(m, r3.Vec{Z: 1})},
		},
		Loads: []mark.Load{{Along: r3.Vec{X: 1}}},
	}
	a := advise(t, partOf("block", m), b)
	bond := b.Material.LayerBond
	for _, c := range a.Candidates {
		foot, strength := 0.0, 1.0
		switch up := c.Pose.Up(); {
		case up.X > 0.99: // stands on the foot, and is pulled across its layers
			foot, strength = 1, bond
		}
		if math.Abs(c.Measures.FootShare-foot) > 1e-9 || math.Abs(c.Measures.LoadStrength-strength) > 1e-9 {
			t.Errorf("up %v: foot share %g, strength %g, want %g and %g", c.Pose.Up(), c.Measures.FootShare, c.Measures.LoadStrength, foot, strength)
		}
		// The marked face is flat on top as loaded, upright with X up, and slopes in the last.
		if sloped := c.Origin == Given && c.Pose.Up().X < 0.5; sloped != (c.Measures.MarkedStepMM > 0.01) {
			t.Errorf("up %v: steps of %g mm on the smooth face", c.Pose.Up(), c.Measures.MarkedStepMM)
		}
	}
}

// Hankinson's formula at its ends and in the middle.
func TestStrengthAlong(t *testing.T) {
	for _, tt := range []struct {
		d    r3.Vec
		want float64
	}{{r3.Vec{X: 1}, 1}, {r3.Vec{Z: 1}, 0.8}, {r3.Unit(r3.Vec{X: 1, Z: 1}), 0.8 / (0.8*0.5 + 0.5)}} {
		if got := strengthAlong(tt.d, 0.8); math.Abs(got-tt.want) > 1e-12 {
			t.Errorf("strength along %v = %g, want %g", tt.d, got, tt.want)
		}
	}
}

// The formulas of first order against simulated firings, each computed exactly:
// shrinkages drawn from normal distributions, the oversize that of the record.
func TestSpreadsAgainstSimulatedFirings(t *testing.T) {
	firings := 200_000
	if testing.Short() {
		firings = 60_000
	}
	m := testBrief(t).Material
	r := rand.New(rand.NewPCG(11, 12))
	const size = 50.0
	for _, n := range []r3.Vec{{Z: 1}, {X: 1}, r3.Unit(r3.Vec{X: 1, Y: 2, Z: 3}), r3.Unit(r3.Vec{Y: 1, Z: 1})} {
		u := mesh.Across(n)
		v := r3.Cross(n, u)
		var length, mean, oval float64
		for range firings {
			left := firing3(r, &m)
			d := r3.Norm(left.MulVec(n))*size - size
			length += d * d
			hi, lo := ellipse(left.MulVec(u), left.MulVec(v))
			d = size*(hi+lo)/2 - size
			mean += d * d
			oval += size * size * (hi - lo) * (hi - lo)
		}
		for what, pair := range map[string][2]float64{
			"length": {lengthSpread(size, n, &m), math.Sqrt(length / float64(firings))}, "diameter": {diameterSpread(size, n, &m), math.Sqrt(mean / float64(firings))},
			"oval": {ovalSpread(size, n, &m), math.Sqrt(oval / float64(firings))},
		} {
			if math.Abs(pair[0]-pair[1]) > 0.02*pair[1] {
				t.Errorf("%s along %v: %.5f mm by formula, %.5f simulated", what, n, pair[0], pair[1])
			}
		}
	}
}

// firing3 draws the map that one firing leaves on a part oversized by the record.
func firing3(r *rand.Rand, m *process.Material) mesh.Matrix {
	var f [3]float64
	for i := range f {
		f[i] = (1 - m.Shrinkage[i] - m.ShrinkageSpread[i]*r.NormFloat64()) / (1 - m.Shrinkage[i])
	}
	return mesh.Diagonal(r3.Vec{X: f[0], Y: f[1], Z: f[2]})
}

// ellipse gives the half axes of the image of the unit circle: for perpendicular
// unit vectors mapped to a and b, from the invariants |a|^2 + |b|^2 and |a x b|.
func ellipse(a, b r3.Vec) (hi, lo float64) {
	sum, product := r3.Norm2(a)+r3.Norm2(b), r3.Norm(r3.Cross(a, b))
	return (math.Sqrt(sum+2*product) + math.Sqrt(max(sum-2*product, 0))) / 2,
		(math.Sqrt(sum+2*product) - math.Sqrt(max(sum-2*product, 0))) / 2
}

// One factor on all axes: an upright bore stays round, a lying one comes out as
// the ellipse of the two shrinkages.
func TestOvalOfOneFactor(t *testing.T) {
	m := testBrief(t).Material
	m.Shrinkage = [3]float64{0.16, 0.16, 0.2}
	if got := ovalOfOneFactor(20, r3.Vec{Z: 1}, &m); math.Abs(got) > 1e-12 {
		t.Errorf("an upright bore is out of round by %g mm", got)
	}
	want := 20 * (1 - 0.8/0.84)
	if got := ovalOfOneFactor(20, r3.Vec{Y: 1}, &m); math.Abs(got-want) > 1e-12 {
		t.Errorf("a lying bore of 20 is out of round by %g mm, want %g", got, want)
	}
	lean := r3.Unit(r3.Vec{X: 0.3, Y: 0.5, Z: 0.8})
	u := mesh.Across(lean)
	left := mesh.Diagonal(r3.Vec{X: 1, Y: 1, Z: 0.8 / 0.84})
	hi, lo := ellipse(left.MulVec(u), left.MulVec(r3.Cross(lean, u)))
	if got := ovalOfOneFactor(20, lean, &m); math.Abs(got-20*(hi-lo)) > 1e-9 {
		t.Errorf("a leaning bore of 20 is out of round by %g mm, want %g", got, 20*(hi-lo))
	}
}

// A critical dimension decides the term of the dimensions.
func TestCriticalDimension(t *testing.T) {
	b := testBrief(t)
	b.Marks.Dimensions = []mark.Dimension{{Name: "height over faces", Along: r3.Vec{Z: 1}, NominalMM: 30}}
	b.OnlyGiven = true
	b.Directions = []r3.Vec{{X: 1}}
	a := advise(t, partOf("block", meshtest.Block(10, 20, 30)), b)
	for _, c := range a.Candidates {
		d := c.Dimensions[0]
		axis := 2
		if c.Origin == Given {
			axis = 0
		}
		want := 30 * b.Material.ShrinkageSpread[axis] / (1 - b.Material.Shrinkage[axis])
		if math.Abs(d.SpreadMM-want) > 1e-9 || d.ToleranceMM != 0.2 || d.Holds || d.Rule != mark.MediumRule {
			t.Errorf("%s: %+v, want a spread of %g mm", c.Origin, d, want)
		}
	}
}
