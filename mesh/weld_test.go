package mesh

import (
	"math"
	"slices"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"
)

func TestWeldJoinsEqualPlaces(t *testing.T) {
	zero := math.Copysign(0, -1)
	m := &Mesh{
		Vertices: []r3.Vec{{X: 9}, {X: 1}, {X: 1, Y: zero, Z: zero}, {Y: 2}, {Y: 2}, {}, {X: zero}},
		Facets:   [][3]int32{{1, 3, 5}, {2, 6, 4}, {5, 6, 1}},
	}
	got := Weld(m)
	if want := []r3.Vec{{X: 1}, {Y: 2}, {}}; !slices.Equal(got.Vertices, want) {
		t.Errorf("vertices %v, want %v", got.Vertices, want)
	}
	if want := [][3]int32{{0, 1, 2}, {0, 2, 1}, {2, 2, 0}}; !slices.Equal(got.Facets, want) {
		t.Errorf("facets %v, want %v", got.Facets, want)
	}
	for _, v := range got.Vertices {
		if math.Signbit(v.X) || math.Signbit(v.Y) || math.Signbit(v.Z) {
			t.Errorf("minus zero left in %v", v)
		}
	}
	if len(m.Vertices) != 7 || m.Facets[0] != [3]int32{1, 3, 5} {
		t.Error("the original changed")
	}
}

// TestVertexTableAgainstMap holds the hash against Go's own.
func TestVertexTableAgainstMap(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		table, own := newVertexTable(0), map[r3.Vec]int32{}
		for range rapid.IntRange(0, 400).Draw(t, "n") {
			c := func(axis string) float64 { return float64(rapid.IntRange(-3, 3).Draw(t, axis)) / 3 }
			v := r3.Vec{X: c("x"), Y: c("y"), Z: c("z")}
			if _, ok := own[v]; !ok {
				if _, found := table.find(v); found {
					t.Fatalf("%v found before it was entered", v)
				}
				own[v] = int32(len(own))
			}
			if got := table.index(v); got != own[v] {
				t.Fatalf("index(%v) = %d, want %d", v, got, own[v])
			}
		}
		if len(table.vertices) != len(own) {
			t.Fatalf("%d vertices, want %d", len(table.vertices), len(own))
		}
	})
}

func TestCompact(t *testing.T) {
	m := &Mesh{Vertices: []r3.Vec{{X: 9}, {X: 1}, {X: 2}, {X: 3}}, Facets: [][3]int32{{3, 1, 2}}}
	if !m.compact() || !slices.Equal(m.Vertices, []r3.Vec{{X: 3}, {X: 1}, {X: 2}}) || m.Facets[0] != [3]int32{0, 1, 2} {
		t.Errorf("compacted to %v", m)
	}
	if m.compact() {
		t.Error("compacting again changed something")
	}
}

func BenchmarkWeld1300k(b *testing.B) {
	m := torusShape(30, 8, 1300, 500)
	b.ReportAllocs()
	for b.Loop() {
		Weld(m)
	}
}
