package mesh

import (
	"bytes"
	"fmt"
	"math"
	"slices"
	"strconv"

	"gonum.org/v1/gonum/spatial/r3"
)

// addVertex takes the vertex of the tag. Coordinates have 32 bits, as in STL.
func (m *modelScan) addVertex() error {
	var v [3]float64
	for k, name := range [3]string{"x", "y", "z"} {
		text, err := m.demand(name)
		if err != nil {
			return err
		}
		if v[k], err = strconv.ParseFloat(string(text), 32); err != nil {
			var style numberStyle
			if _, odd := style.parseOdd(text); odd != nil {
				err = odd
			}
			return fmt.Errorf("vertex %d of object %d: %w", len(m.mesh.Vertices), m.object, err)
		}
	}
	p := r3.Vec{X: v[0], Y: v[1], Z: v[2]}
	if !finite(p) {
		return fmt.Errorf("vertex %d of object %d is not a number", len(m.mesh.Vertices), m.object)
	}
	if err := m.room.takeVertices(1); err != nil {
		return err
	}
	m.mesh.Vertices = append(m.mesh.Vertices, p)
	return nil
}

// addTriangle takes the triangle of the tag.
func (m *modelScan) addTriangle() error {
	var f [3]int32
	for k, name := range [3]string{"v1", "v2", "v3"} {
		text, err := m.demand(name)
		if err != nil {
			return err
		}
		n, err := strconv.ParseUint(string(text), 10, 31)
		if err != nil {
			return fmt.Errorf("triangle %d of object %d: %q is no vertex number", len(m.mesh.Facets), m.object, clip(text))
		}
		f[k] = int32(n)
	}
	if err := m.room.take(1); err != nil {
		return err
	}
	m.mesh.Facets = append(m.mesh.Facets, f)
	return nil
}

// demand gives the value of an attribute of the tag without blanks around it.
func (m *modelScan) demand(name string) ([]byte, error) {
	text := m.tag.attr(name)
	if text == nil {
		return nil, fmt.Errorf("a %s without %s", m.tag.name, name)
	}
	if bytes.IndexByte(text, '&') >= 0 {
		return nil, fmt.Errorf("the %s of a %s is %q, not a plain number", name, m.tag.name, clip(text))
	}
	return bytes.TrimSpace(text), nil
}

// checkMeshes wants the triangles to name vertices that there are.
func (m *modelScan) checkMeshes() error {
	for _, id := range m.objects() {
		mesh := m.meshes[id]
		n := int32(min(len(mesh.Vertices), math.MaxInt32))
		for i, f := range mesh.Facets {
			if worst := max(f[0], f[1], f[2]); worst >= n {
				return fmt.Errorf("object %d: triangle %d names vertex %d, but there are %d; export the part again", id, i, worst, n)
			}
		}
	}
	return nil
}

// objects lists the objects with meshes in ascending order.
func (m *modelScan) objects() []uint32 {
	var out []uint32
	for id := range m.meshes {
		out = append(out, id)
	}
	slices.Sort(out)
	return out
}
