package mesh_test

import (
	"context"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
	"kilnpoise/mesh/meshtest"
)

// Facets of a sound body cross nowhere; two bodies cross where they overlap, and
// where they share a part of a plane.
func TestCrossings(t *testing.T) {
	all := func(int32) bool { return true }
	pair := func(shift r3.Vec) *mesh.Mesh {
		m := meshtest.Block(10, 10, 10)
		m.Append(meshtest.Block(10, 10, 10).Transform(mesh.Identity(), shift))
		return m
	}
	for _, tt := range []struct {
		name    string
		m       *mesh.Mesh
		of      func(int32) bool
		crosses bool
	}{
		{"a torus", meshtest.Torus(10, 4, 64), all, false},
		{"a stepped block", meshtest.Blocks([]float64{0, 4, 9}, []float64{0, 7}, []float64{0, 3, 8}, func(i, _, k int) bool { return i == 0 || k == 0 }), all, false},
		{"apart", pair(r3.Vec{X: 11}), all, false},
		{"one in the other", pair(r3.Vec{X: 3, Y: 4, Z: 5}), all, true},
		{"on each other", pair(r3.Vec{Z: 10}), all, true},
		{"edge on edge", pair(r3.Vec{X: 10, Z: 10}), all, false},
		{"nothing asked for", pair(r3.Vec{X: 3, Y: 4, Z: 5}), func(int32) bool { return false }, false},
	} {
		got, err := tt.m.Crossings(context.Background(), tt.of, 5)
		if err != nil || (len(got) > 0) != tt.crosses || len(got) > 5 {
			t.Errorf("%s: crossings %v, %v; want some: %v", tt.name, got, err, tt.crosses)
		}
	}
	ended, end := context.WithCancel(context.Background())
	end()
	if _, err := meshtest.Torus(10, 4, 256).Crossings(ended, all, 1); err == nil {
		t.Error("a search that was ended gives no error")
	}
}
