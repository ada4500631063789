package mesh

import (
	"testing"

	"pgregory.net/rapid"
)

// bruteEdges counts edges by the number of facets on them, with a map.
func bruteEdges(m *Mesh) edgeCounts {
	type edge [2]int32
	sides, balance := map[edge]int{}, map[edge]int{}
	for _, f := range m.Facets {
		if collapsed(f) {
			continue
		}
		for k := range 3 {
			a, b := f[k], f[(k+1)%3]
			sides[edge{min(a, b), max(a, b)}]++
			if a < b {
				balance[edge{a, b}]++
			} else {
				balance[edge{b, a}]--
			}
		}
	}
	var c edgeCounts
	for e, n := range sides {
		if n == 1 {
			c.open++
		}
		if n > 2 {
			c.shared++
		}
		if balance[e] != 0 {
			c.torn++
		}
	}
	return c
}

// drawHeap draws a heap of facets over few vertices, where every kind of edge
// is common.
func drawHeap(t *rapid.T) *Mesh {
	m := &Mesh{Vertices: cubeShape(0, 0, 0, 1).Vertices}
	for range rapid.IntRange(1, 24).Draw(t, "facets") {
		v := func() int32 { return int32(rapid.IntRange(0, 7).Draw(t, "v")) }
		m.Facets = append(m.Facets, [3]int32{v(), v(), v()})
	}
	return m
}

func TestTopologyAgainstBruteForce(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := drawHeap(t)
		top := NewTopology(m)
		got, want := top.count(), bruteEdges(m)
		got.firstShared = 0
		if got != want {
			t.Fatalf("edges %+v, want %+v of %v", got, want, m.Facets)
		}
		checkRings(t, m, top)
	})
}

// checkRings wants every side in one ring with all others on its edge.
func checkRings(t *rapid.T, m *Mesh, top *Topology) {
	for side := range 3 * len(m.Facets) {
		from, to := top.Ends(side)
		n := 0
		top.Around(side, func(other int) {
			a, b := top.Ends(other)
			if min(a, b) != min(from, to) || max(a, b) != max(from, to) {
				t.Fatalf("side %d shares a ring with %d", side, other)
			}
			n++
		})
		if collapsed(m.Facets[side/3]) {
			if n != 1 || top.Open(side) {
				t.Fatalf("side %d of a collapsed facet takes part", side)
			}
			continue
		}
		twin, pair := top.Twin(side)
		if pair != (n == 2) || top.Open(side) != (n == 1) || top.Shared(side) != (n > 2) {
			t.Fatalf("side %d of %d: pair %v, open %v, shared %v", side, n, pair, top.Open(side), top.Shared(side))
		}
		if back, _ := top.Twin(twin); pair && back != side {
			t.Fatalf("the twin of the twin of %d is %d", side, back)
		}
		if found, ok := top.Edge(to, from); !ok || !onRing(top, side, found) {
			t.Fatalf("Edge(%d, %d) = %d, %v", to, from, found, ok)
		}
	}
}

func onRing(top *Topology, side, want int) (found bool) {
	top.Around(side, func(s int) { found = found || s == want })
	return found
}

func TestTopologyOfSolids(t *testing.T) {
	tests := []struct {
		name   string
		m      *Mesh
		shells int
	}{
		{"cube", cubeShape(0, 0, 0, 1), 1},
		{"sphere", sphereShape(5, 12), 1},
		{"torus", torusShape(30, 8, 24, 12), 1},
		{"three cubes", together(cubeShape(0, 0, 0, 1), cubeShape(2, 0, 0, 1), cubeShape(4, 0, 0, 1)), 3},
		{"touching in a corner", Weld(together(cubeShape(0, 0, 0, 1), cubeShape(1, 1, 1, 1))), 2},
		{"touching along an edge", Weld(together(cubeShape(0, 0, 0, 1), cubeShape(1, 1, 0, 1))), 1},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			top := NewTopology(tt.m)
			if c := top.count(); c.open != 0 || c.torn != 0 {
				t.Errorf("edges %+v", c)
			}
			if _, n := top.Shells(); n != tt.shells {
				t.Errorf("%d shells, want %d", n, tt.shells)
			}
		})
	}
}

// TestTopologyHub has very many facets meet at one edge and one vertex.
func TestTopologyHub(t *testing.T) {
	m := torusShape(30, 8, 30, 10)
	for i := range 20_000 {
		m.Facets = append(m.Facets, [3]int32{0, 1, int32(2 + i%200)})
	}
	top := NewTopology(m)
	got, want := top.count(), bruteEdges(m)
	got.firstShared = 0
	if got != want {
		t.Errorf("edges %+v, want %+v", got, want)
	}
}

func BenchmarkTopology1300k(b *testing.B) {
	m := torusShape(30, 8, 1300, 500)
	b.ReportAllocs()
	for b.Loop() {
		NewTopology(m)
	}
}
