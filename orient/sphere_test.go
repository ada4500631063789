package orient

import (
	"context"
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
)

// The map covers the sphere evenly, and what it says of a direction is what the
// gauge reads there.
func TestMap(t *testing.T) {
	study, err := NewStudy(context.Background(), partOf("bench", bench()))
	if err != nil {
		t.Fatal(err)
	}
	const n = 500
	points, err := study.Map(context.Background(), testBrief(t), n, nil)
	if err != nil {
		t.Fatal(err)
	}
	var sum r3.Vec
	tallest := 0.0
	for _, p := range points {
		if l := r3.Norm(p.Up.Vec()); math.Abs(l-1) > 1e-12 {
			t.Fatalf("direction of length %g", l)
		}
		sum = r3.Add(sum, p.Up.Vec())
		tallest = max(tallest, p.Measures.HeightMM)
		if !(p.Cost > 0 && p.Cost < 1) {
			t.Errorf("cost %g at %v", p.Cost, p.Up)
		}
	}
	if l := r3.Norm(sum) / n; l > 0.01 {
		t.Errorf("the directions average to a vector of length %g, want 0", l)
	}
	// The diagonal of the green box bounds the height from above; some direction comes near it.
	diagonal := r3.Norm(r3.Vec{X: 60, Y: 24, Z: 26}) / 0.8
	if tallest > diagonal || tallest < 0.85*diagonal {
		t.Errorf("tallest pose %g mm, the diagonal is %g", tallest, diagonal)
	}
}

// Every direction of the map, also those read off the lines of the one opposite,
// is as the gauge reads it by itself.
func TestMapAgainstTheGauge(t *testing.T) {
	study, err := NewStudy(context.Background(), partOf("bench", bench()))
	if err != nil {
		t.Fatal(err)
	}
	brief := testBrief(t)
	points, err := study.Map(context.Background(), brief, 61, nil) // an odd number
	if err != nil || len(points) != 61 {
		t.Fatalf("%d points, %v", len(points), err)
	}
	g := newGauge(study.crowd, brief)
	for i, p := range points {
		pose, _ := poseFor(p.Up.Vec(), study.crowd.hull, brief.oversizeOf())
		want := g.read(pose, mapLines).measures
		got := p.Measures
		for name, pair := range map[string][2]float64{
			"overhang": {got.OverhangAreaMM2, want.OverhangAreaMM2}, "height": {got.HeightMM, want.HeightMM},
			"support": {got.SupportVolumeMM3, want.SupportVolumeMM3}, "contact": {got.SupportContactMM2, want.SupportContactMM2},
			"footprint": {got.FootprintMM2, want.FootprintMM2}, "tip": {got.TipAngleDeg, want.TipAngleDeg},
			"sag": {got.SagMM, want.SagMM}, "steps": {got.StepHeightMM, want.StepHeightMM},
		} {
			// The spin may differ by a quarter turn and the lines with it: sampled ones within a few per cent.
			if d := math.Abs(pair[0] - pair[1]); d > 0.04*math.Abs(pair[1])+1e-6 {
				t.Errorf("direction %d, %v: %s %g, want %g", i, p.Up, name, pair[0], pair[1])
			}
		}
		if i%2 == 1 && r3.Norm(r3.Add(p.Up.Vec(), points[i-1].Up.Vec())) > 1e-12 {
			t.Errorf("direction %d is not opposite to the one before", i)
		}
	}
	if none, err := study.Map(context.Background(), brief, 0, nil); err != nil || len(none) != 0 {
		t.Errorf("a map of nothing: %d points, %v", len(none), err)
	}
}

func BenchmarkMap20k(b *testing.B) {
	study, err := NewStudy(context.Background(), facets20k())
	if err != nil {
		b.Fatal(err)
	}
	brief := testBrief(b)
	b.ReportAllocs()
	b.ResetTimer()
	for range b.N {
		if _, err := study.Map(context.Background(), brief, 20_000, nil); err != nil {
			b.Fatal(err)
		}
	}
}
