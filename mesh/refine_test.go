package mesh_test

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
	"kilnpoise/mesh/meshtest"
)

func TestRefineKeepsTheSurface(t *testing.T) {
	for name, m := range map[string]*mesh.Mesh{
		"block": meshtest.Block(30, 7, 2), "cone": meshtest.Cone(10, 30, 24), "torus": meshtest.Torus(20, 6, 12),
	} {
		const edge = 1.5
		fine, from := m.Refine(edge, 1_000_000)
		if math.Abs(fine.Volume()-m.Volume()) > 1e-9*m.Volume() || math.Abs(fine.Area()-m.Area()) > 1e-9*m.Area() {
			t.Errorf("%s: %g mm3 and %g mm2, were %g and %g", name, fine.Volume(), fine.Area(), m.Volume(), m.Area())
		}
		sides := map[[2]int32]int{}
		for i, f := range fine.Facets {
			for k := range 3 {
				a, b := f[k], f[(k+1)%3]
				sides[[2]int32{a, b}]++
				if l := r3.Norm(r3.Sub(fine.Vertices[a], fine.Vertices[b])); l > edge {
					t.Fatalf("%s: an edge of %g mm is left", name, l)
				}
			}
			if n, was := fine.AreaVector(i), m.AreaVector(int(from[i])); r3.Dot(r3.Unit(n), r3.Unit(was)) < 1-1e-9 {
				t.Fatalf("%s: facet %d does not lie on facet %d", name, i, from[i])
			}
		}
		for s, n := range sides {
			if n != 1 || sides[[2]int32{s[1], s[0]}] != 1 {
				t.Fatalf("%s: the edge %v is not shared by two facets", name, s)
			}
		}
	}
}

func TestRefineStaysBounded(t *testing.T) {
	fine, _ := meshtest.Block(1000, 1000, 1000).Refine(0.01, 5000)
	if n := len(fine.Facets); n > 5000 {
		t.Errorf("%d facets, at most 5000 were asked for", n)
	}
}
