package mesh

import (
	"context"
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"
)

// TestDepthsAgainstBruteForce compares random blobs with the definition.
func TestDepthsAgainstBruteForce(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := Lattice{Pitch: r3.Vec{X: 1, Y: 0.7, Z: 1.6}}
		for a := range l.N {
			l.N[a] = rapid.IntRange(1, 6).Draw(t, "n")
		}
		v := &Voxels{Lattice: l, Fill: make([]float32, l.Bricks())}
		for i := range v.Fill {
			v.Fill[i] = float32(min(1, rapid.IntRange(0, 4).Draw(t, "solid")))
		}
		got := v.Depths()
		for k := range l.N[2] {
			for j := range l.N[1] {
				for i := range l.N[0] {
					want := bruteDepth(v, i, j, k)
					if d := float64(got[l.Index(i, j, k)]); math.Abs(d-want) > 1e-5*(1+want) {
						t.Fatalf("depth2 at %d %d %d = %v, want %v", i, j, k, d, want)
					}
				}
			}
		}
	})
}

func bruteDepth(v *Voxels, i, j, k int) float64 {
	if v.Fill[v.Index(i, j, k)] < 0.5 {
		return 0
	}
	least := math.Inf(1)
	for c := -1; c <= v.N[2]; c++ {
		for b := -1; b <= v.N[1]; b++ {
			for a := -1; a <= v.N[0]; a++ {
				inside := a >= 0 && b >= 0 && c >= 0 && a < v.N[0] && b < v.N[1] && c < v.N[2]
				if inside && v.Fill[v.Index(a, b, c)] >= 0.5 {
					continue
				}
				least = min(least, r3.Norm2(r3.Sub(v.Center(a, b, c), v.Center(i, j, k))))
			}
		}
	}
	return least
}

func BenchmarkDepths(b *testing.B) {
	m := solidBall(r3.Vec{}, 40, 60)
	v, err := m.Voxels(context.Background(), LatticeOver(m.Bounds(), 1), 1)
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for b.Loop() {
		v.Depths()
	}
}
