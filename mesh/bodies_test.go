package mesh_test

import (
	"context"
	"fmt"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
	"kilnpoise/mesh/meshtest"
)

// Bodies that touch, by a face, crossed edges or a corner, are one, and so are a body
// and the cavity in it; what lies apart is not, be it in a cavity.
func TestSeparateBodies(t *testing.T) {
	block := func(x, y, z, w, d, h float64) *mesh.Mesh { return meshtest.Moved(meshtest.Block(w, d, h), x, y, z) }
	inward := block(5, 5, 5, 20, 20, 20)
	for i := range inward.Facets {
		f := &inward.Facets[i]
		f[1], f[2] = f[2], f[1]
	}
	for _, tt := range []struct {
		name   string
		bodies []*mesh.Mesh
		hollow int // which of them bounds a cavity, from 1; 0 for none
		want   int
	}{
		{"one", []*mesh.Mesh{block(0, 0, 0, 10, 10, 10)}, 0, 1},
		{"two apart", []*mesh.Mesh{block(0, 0, 0, 10, 10, 10), block(12, 0, 0, 10, 10, 10)}, 0, 2},
		{"nearer than the gap", []*mesh.Mesh{block(0, 0, 0, 10, 10, 10), block(10.03, 0, 0, 10, 10, 10)}, 0, 1},
		{"farther than the gap", []*mesh.Mesh{block(0, 0, 0, 10, 10, 10), block(10.07, 0, 0, 10, 10, 10)}, 0, 2},
		{"one on the other", []*mesh.Mesh{block(0, 0, 0, 10, 10, 10), block(2, 2, 10, 4, 4, 4)}, 0, 1},
		{"bars across each other", []*mesh.Mesh{block(0, 20, 0, 50, 4, 4), block(20, 0, 4, 4, 50, 4)}, 0, 1},
		{"hollow", []*mesh.Mesh{block(0, 0, 0, 30, 30, 30), inward}, 2, 1},
		{"ball in a hollow", []*mesh.Mesh{block(0, 0, 0, 30, 30, 30), inward, meshtest.Moved(meshtest.Sphere(5, 12), 15, 15, 15)}, 2, 2},
		{"three, of which two touch", []*mesh.Mesh{block(0, 0, 0, 5, 5, 5), block(20, 0, 0, 5, 5, 5), block(5, 0, 0, 5, 5, 5)}, 0, 2},
	} {
		for _, turn := range []mesh.Matrix{mesh.Identity(), mesh.RotationAbout(r3.Unit(r3.Vec{X: 1, Y: 2, Z: 3}), 0.7)} {
			m := &mesh.Mesh{}
			var cavity []bool
			for i, b := range tt.bodies {
				b = b.Transform(turn, r3.Vec{})
				n := int32(len(m.Vertices))
				m.Vertices = append(m.Vertices, b.Vertices...)
				for _, f := range b.Facets {
					m.Facets = append(m.Facets, [3]int32{f[0] + n, f[1] + n, f[2] + n})
					cavity = append(cavity, i+1 == tt.hollow)
				}
			}
			got, err := m.SeparateBodies(context.Background(), cavity, 0.05)
			if err != nil {
				t.Fatal(err)
			}
			facets := 0
			for _, b := range got {
				facets += len(b)
			}
			if len(got) != tt.want || facets != len(m.Facets) {
				t.Errorf("%s: %d bodies of %d facets, want %d of %d", tt.name, len(got), facets, tt.want, len(m.Facets))
			}
		}
	}
}

// Two edges across each other are as far apart as the planes that they lie in.
func TestTouchingNeedsNoCorner(t *testing.T) {
	bars := func(apart float64) *mesh.Mesh {
		return meshtest.Together(meshtest.Block(50, 4, 4), meshtest.Moved(meshtest.Block(4, 50, 4), 20, -20, 4+apart))
	}
	for _, apart := range []float64{0.04, 0.06} {
		got, err := bars(apart).SeparateBodies(context.Background(), nil, 0.05)
		if err != nil {
			t.Fatal(err)
		}
		want := 1
		if apart > 0.05 {
			want = 2
		}
		if len(got) != want {
			t.Errorf("%g mm apart: %d bodies, want %d", apart, len(got), want)
		}
	}
}

// linked gives two links of a chain, the second turned and moved along X.
func linked(n int, off float64) *mesh.Mesh {
	other := meshtest.Torus(30, 8, n).Transform(mesh.RotationAbout(r3.Vec{X: 1}, 1.5), r3.Vec{X: off})
	return meshtest.Together(meshtest.Torus(30, 8, n), other)
}

// Two links of a chain are two bodies, however fine their facets are, until they touch;
// and a heap of boxes is as many.
func TestBodiesThatWindThroughEachOther(t *testing.T) {
	boxes := meshtest.HostileShapes()[1].Make(6000)
	for _, tt := range []struct {
		name string
		m    *mesh.Mesh
		want int
	}{
		{"coarse links", linked(20, 30), 2},
		{"fine links", linked(150, 30), 2},
		{"fine links that touch", linked(150, 45), 1},
		{"boxes", boxes, len(boxes.Facets) / 12},
	} {
		got, err := tt.m.SeparateBodies(context.Background(), nil, 0.05)
		if err != nil || len(got) != tt.want {
			t.Errorf("%s: %d bodies and error %v, want %d", tt.name, len(got), err, tt.want)
		}
	}
}

func BenchmarkSeparateBodies(b *testing.B) {
	for _, n := range []int{100, 200, 400} {
		m := linked(n, 30)
		b.Run(fmt.Sprintf("links/%d", len(m.Facets)), func(b *testing.B) {
			for b.Loop() {
				if _, err := m.SeparateBodies(b.Context(), nil, 0.05); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
