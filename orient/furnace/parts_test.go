package furnace

import (
	"context"
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
)

// boxes joins boxes, each given by its low and high corner. Where they overlap
// they are one solid.
func boxes(b ...[6]float64) *mesh.Mesh {
	m := &mesh.Mesh{}
	for _, v := range b {
		m.Append(boxMesh(r3.Vec{X: v[0], Y: v[1], Z: v[2]}, r3.Vec{X: v[3], Y: v[4], Z: v[5]}))
	}
	return m
}

// armPart is an arm 12 long and 2 thick at the top of a block.
func armPart() *mesh.Mesh {
	return boxes([6]float64{0, 0, 0, 10, 6, 12}, [6]float64{0, 0, 10, 22, 6, 12})
}

// tablePart is a deck on two walls.
func tablePart() *mesh.Mesh {
	return boxes([6]float64{0, 0, 0, 3, 12, 15}, [6]float64{27, 0, 0, 30, 12, 15}, [6]float64{0, 0, 15, 30, 12, 17})
}

// spun turns a part about Z by an angle in degrees and moves it.
func spun(m *mesh.Mesh, deg float64, shift r3.Vec) *mesh.Mesh {
	return m.Transform(mesh.RotationAbout(r3.Vec{Z: 1}, deg*math.Pi/180), shift)
}

// insideOut turns a mesh inside out, for cavities.
func insideOut(m *mesh.Mesh) *mesh.Mesh {
	out := m.Clone()
	for i, f := range out.Facets {
		out.Facets[i] = [3]int32{f[0], f[2], f[1]}
	}
	return out
}

// solveQuick solves without the second grid.
func solveQuick(t *testing.T, m *mesh.Mesh, c Creep, o Options) *Sag {
	t.Helper()
	o.NoCheck = true
	s, err := Solve(context.Background(), m, c, o)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// about fails unless got is within the share tol of want.
func about(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol*math.Abs(want)) {
		t.Errorf("%s = %.6g, want %.6g within %.3g %%", what, got, want, 100*tol)
	}
}
