package mesh

import (
	"context"
	"errors"
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
)

// hollowBox is a box with walls of thickness wall and a closed cavity.
func hollowBox(size, wall float64) *Mesh {
	w := r3.Vec{X: wall, Y: wall, Z: wall}
	s := r3.Vec{X: size, Y: size, Z: size}
	return solidsJoined(solidBlock(r3.Vec{}, s), insideOut(solidBlock(w, r3.Sub(s, w))))
}

func TestWallsClosedForms(t *testing.T) {
	spin := RotationAbout(r3.Unit(r3.Vec{X: 2, Y: -1, Z: 0.5}), 1.1)
	plate := solidBlock(r3.Vec{}, r3.Vec{X: 60, Y: 50, Z: 2})
	brick := solidBlock(r3.Vec{}, r3.Vec{X: 10, Y: 20, Z: 30})
	rib := solidsJoined(solidBlock(r3.Vec{}, r3.Vec{X: 60, Y: 60, Z: 10}), solidBlock(r3.Vec{X: 5, Y: 29, Z: 9}, r3.Vec{X: 55, Y: 31, Z: 30}))
	ballMesh := solidBall(r3.Vec{X: 5}, 9, 80)
	wedge := &Mesh{ // 60 degrees at each edge: no face looks away from another
		Vertices: []r3.Vec{{}, {X: 20}, {X: 10, Z: 17.3205}, {Y: 40}, {X: 20, Y: 40}, {X: 10, Y: 40, Z: 17.3205}},
		Facets:   [][3]int32{{0, 1, 2}, {3, 5, 4}, {0, 4, 1}, {0, 3, 4}, {1, 5, 2}, {1, 4, 5}, {2, 3, 0}, {2, 5, 3}},
	}
	tests := []struct {
		name            string
		mesh            *Mesh
		thick, thin, to float64 // to: relative tolerance
	}{
		{"plate", plate, 2, 2, 1e-3},
		{"plate turned", plate.Transform(spin, r3.Vec{X: 7}), 2, 2, 1e-3},
		{"block", brick, 10, 10, 1e-3},
		{"block turned", brick.Transform(spin, r3.Vec{}), 10, 10, 1e-3},
		{"block inside out", insideOut(brick), 10, 10, 1e-3},
		{"sphere", ballMesh, 18, 18, 2e-3}, // the facets cut a little off
		{"tube", solidTube(10, 13, 40, 200), 3, 3, 3e-3},
		{"tube turned", solidTube(10, 13, 40, 200).Transform(spin, r3.Vec{}), 3, 3, 3e-3},
		{"large box of thin walls", hollowBox(200, 1), 1, 1, 1e-3},
		{"large box of thin walls turned", hollowBox(200, 1).Transform(spin, r3.Vec{}), 1, 1, 1e-3},
		{"needle", solidBlock(r3.Vec{}, r3.Vec{X: 0.5, Y: 0.5, Z: 200}), 0.5, 0.5, 1e-3},
		{"three-sided bar", wedge, 2 * 20 / (2 * math.Sqrt(3)), 2 * 20 / (2 * math.Sqrt(3)), 1e-3},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			w, err := tt.mesh.Walls(context.Background(), nil)
			if err != nil {
				t.Fatal(err)
			}
			if math.Abs(w.Thick[0].MM-tt.thick) > tt.to*tt.thick {
				t.Errorf("thickest = %v, want %v", w.Thick[0].MM, tt.thick)
			}
			if tt.thin > 0 && math.Abs(w.ThinFiftiethMM-tt.thin) > tt.to*tt.thin {
				t.Errorf("thinnest = %v, want %v", w.ThinFiftiethMM, tt.thin)
			}
			checkBall(t, tt.mesh, w)
		})
	}
	t.Run("bodies that touch and overlap are one", func(t *testing.T) {
		stack := solidsJoined(solidBlock(r3.Vec{X: -5}, r3.Vec{X: 5, Y: 10, Z: 2}), solidBlock(r3.Vec{X: -5, Z: 2}, r3.Vec{X: 5, Y: 10, Z: 5}),
			solidBlock(r3.Vec{X: -5, Z: 4}, r3.Vec{X: 5, Y: 10, Z: 6}))
		w, err := stack.Walls(context.Background(), nil)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(w.ThinFiftiethMM-6) > 1e-6 {
			t.Errorf("thinnest = %v, want 6", w.ThinFiftiethMM)
		}
		if math.Abs(w.Thick[0].MM-6) > 0.2 { // within a brick of the lattice
			t.Errorf("thickest = %v, want 6", w.Thick[0].MM)
		}
		checkNormals(t, w)
	})
	t.Run("rib on a plate", func(t *testing.T) {
		w, err := rib.Walls(context.Background(), nil)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(w.ThinFiftiethMM-2) > 0.01 {
			t.Errorf("thinnest = %v, want the rib's 2", w.ThinFiftiethMM)
		}
		if w.Thick[0].MM < 9.95 || w.Thick[0].MM > 12 {
			t.Errorf("thickest = %v, want about the plate's 10", w.Thick[0].MM)
		}
	})
}

// checkBall checks the balls against all facets.
func checkBall(t *testing.T, m *Mesh, w Walls) {
	t.Helper()
	for _, wall := range w.Thick {
		g, err := newFacetGrid(context.Background(), m, m.Bounds())
		if err != nil {
			t.Fatal(err)
		}
		_, least := g.nearestOf(wall.At, allFacets(m))
		if math.Abs(2*least-wall.MM) > 1e-3*wall.MM {
			t.Errorf("ball of diameter %v does not touch: the surface is %v away", wall.MM, least)
		}
	}
	checkNormals(t, w)
}

// checkNormals fails for a wall without normals, or with one that is no unit vector.
func checkNormals(t *testing.T, w Walls) {
	t.Helper()
	for _, wall := range w.Thick {
		if len(wall.Normals) == 0 {
			t.Errorf("nothing bounds the wall at %v", wall.At)
		}
		for _, n := range wall.Normals {
			if math.Abs(r3.Norm(n)-1) > 1e-9 {
				t.Errorf("normal %v is no unit vector", n)
			}
		}
	}
}

func TestWallsWithoutSolid(t *testing.T) {
	sheet := &Mesh{Vertices: []r3.Vec{{}, {X: 1}, {Y: 1}}, Facets: [][3]int32{{0, 1, 2}}}
	for _, m := range []*Mesh{{}, sheet} {
		if _, err := m.Walls(context.Background(), nil); !errors.Is(err, ErrNoSolid) {
			t.Errorf("%d facets: %v, want ErrNoSolid", len(m.Facets), err)
		}
	}
}

func TestNearestMatchesAllFacets(t *testing.T) {
	m := solidTube(5, 8, 12, 40)
	g, err := newFacetGrid(context.Background(), m, m.Bounds())
	if err != nil {
		t.Fatal(err)
	}
	for k := range 300 {
		u, v := spread(k)
		p := r3.Vec{X: 30*u - 15, Y: 30*v - 15, Z: 20*u*v - 4}
		_, want := g.nearestOf(p, allFacets(m))
		q, ok := g.nearest(p, math.Inf(1))
		if got := r3.Norm(r3.Sub(q, p)); !ok || math.Abs(got-want) > 1e-9 {
			t.Fatalf("nearest to %v is %v away, want %v", p, got, want)
		}
		if _, ok := g.nearest(p, want*0.999); ok {
			t.Fatalf("found something nearer than the nearest")
		}
	}
}

func allFacets(m *Mesh) []int32 {
	out := make([]int32, len(m.Facets))
	for i := range out {
		out[i] = int32(i)
	}
	return out
}

func BenchmarkWalls(b *testing.B) {
	for _, tt := range []struct {
		name string
		mesh *Mesh
	}{
		{"sphere 20k", solidBall(r3.Vec{}, 25, 71)},
		{"tube 20k", solidTube(20, 23, 60, 2500)},
		{"sphere 1300k", solidBall(r3.Vec{}, 25, 570)},
	} {
		b.Run(tt.name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := tt.mesh.Walls(context.Background(), nil); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
