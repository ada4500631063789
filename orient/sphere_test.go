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

func BenchmarkMap20k(b *testing.B) {
	study, err := NewStudy(context.Background(), facets20k())
	if err != nil {
		b.Fatal(err)
	}
	brief := testBrief(b)
	b.ReportAllocs()
	for range b.N {
		if _, err := study.Map(context.Background(), brief, 20_000, nil); err != nil {
			b.Fatal(err)
		}
	}
}
