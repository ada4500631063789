package mesh

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"math"

	"github.com/hschendel/stl"
	"gonum.org/v1/gonum/spatial/r3"
)

// WriteSTL writes m as binary STL, in millimetres, with unit normals. The header
// is cut off at 80 bytes; one that begins with "solid" gets a dash before it, so
// that no reader takes the file for text. Coordinates are rounded to 32 bits,
// vertices that facets share alike, so that a closed mesh stays closed.
func WriteSTL(w io.Writer, m *Mesh, header string) error {
	if err := writable(m); err != nil {
		return err
	}
	if startsSolid([]byte(header)) {
		header = "- " + header
	}
	solid := stl.Solid{
		BinaryHeader: []byte(header[:min(len(header), 80)]),
		Triangles:    make([]stl.Triangle, len(m.Facets)),
	}
	for i := range m.Facets {
		a, b, c := m.Corners(i)
		t := &solid.Triangles[i]
		t.Vertices = [3]stl.Vec3{narrow(a), narrow(b), narrow(c)}
		if n := m.AreaVector(i); r3.Norm(n) > 0 {
			t.Normal = narrow(r3.Unit(n))
		}
	}
	buffered := bufio.NewWriterSize(w, 1<<20)
	if err := solid.WriteAll(buffered); err != nil {
		return fmt.Errorf("writing STL: %w", err)
	}
	if err := buffered.Flush(); err != nil {
		return fmt.Errorf("writing STL: %w", err)
	}
	return nil
}

func narrow(v r3.Vec) stl.Vec3 {
	return stl.Vec3{float32(v.X), float32(v.Y), float32(v.Z)}
}

// writable refuses a mesh that a file could not hold: without facets, with
// coordinates that 32 bits do not hold, or with more facets than STL can count.
func writable(m *Mesh) error {
	if m == nil || len(m.Facets) == 0 {
		return errors.New("there are no facets to write")
	}
	if uint64(len(m.Facets)) > math.MaxUint32 {
		return fmt.Errorf("%d facets are more than a file can count", len(m.Facets))
	}
	for i, v := range m.Vertices {
		if !finite(v) || largestCoordinate(v) > math.MaxFloat32 {
			return fmt.Errorf("vertex %d at (%g, %g, %g) cannot be written", i, v.X, v.Y, v.Z)
		}
	}
	return nil
}
