package mesh

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
)

func TestEmptyMesh(t *testing.T) {
	m := &Mesh{}
	if m.Bounds() != (Box{}) || m.Area() != 0 || m.Volume() != 0 {
		t.Errorf("empty mesh: %v, %v, %v", m.Bounds(), m.Area(), m.Volume())
	}
	if c := m.Clone(); len(c.Facets) != 0 {
		t.Errorf("clone of nothing: %v", c)
	}
}

func TestBoundsSkipUnusedVertices(t *testing.T) {
	m := cubeShape(1, 2, 3, 4)
	m.Vertices = append(m.Vertices, r3.Vec{X: 1e9, Y: math.Inf(1)})
	b := m.Bounds()
	if b.Min != (r3.Vec{X: 1, Y: 2, Z: 3}) || b.Max != (r3.Vec{X: 5, Y: 6, Z: 7}) {
		t.Errorf("bounds %v", b)
	}
	if b.Center() != (r3.Vec{X: 3, Y: 4, Z: 5}) || math.Abs(b.Diagonal()-4*math.Sqrt(3)) > 1e-12 {
		t.Errorf("center %v, diagonal %v", b.Center(), b.Diagonal())
	}
}

func TestAreaVectorFacesOutward(t *testing.T) {
	m := cubeShape(0, 0, 0, 2)
	center := m.Bounds().Center()
	var sum r3.Vec
	for i := range m.Facets {
		a, b, c := m.Corners(i)
		middle := r3.Scale(1.0/3, r3.Add(a, r3.Add(b, c)))
		n := m.AreaVector(i)
		if r3.Dot(n, r3.Sub(middle, center)) <= 0 || r3.Norm(n) != 2 {
			t.Errorf("facet %d: area vector %v", i, n)
		}
		sum = r3.Add(sum, n)
	}
	if sum != (r3.Vec{}) {
		t.Errorf("area vectors of a closed mesh sum to %v", sum)
	}
}

func TestCloneAndAppendLeaveTheOriginal(t *testing.T) {
	m := cubeShape(0, 0, 0, 1)
	c := m.Clone()
	c.Append(cubeShape(5, 0, 0, 1))
	c.Vertices[0] = r3.Vec{X: 99}
	c.Facets[0] = [3]int32{}
	if m.Vertices[0] != (r3.Vec{}) || m.Facets[0] != [3]int32{0, 2, 3} || len(m.Facets) != 12 {
		t.Error("the original changed")
	}
	if len(c.Facets) != 24 || c.Facets[12] != [3]int32{8, 10, 11} {
		t.Errorf("appended facets %v", c.Facets[12])
	}
}

func TestTransformLeavesTheOriginal(t *testing.T) {
	m := cubeShape(0, 0, 0, 1)
	got := m.Transform(Diagonal(r3.Vec{X: 1, Y: 1, Z: -2}), r3.Vec{X: 7})
	if m.Volume() != 1 || m.Facets[0] != [3]int32{0, 2, 3} {
		t.Error("the original changed")
	}
	if got.Volume() != 2 || got.Bounds().Min != (r3.Vec{X: 7, Z: -2}) {
		t.Errorf("volume %v, bounds %v", got.Volume(), got.Bounds())
	}
}
