package handover

import (
	"io"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
)

// objects gives the part and what is printed with it, each in its place, all
// lifted so that the lowest stands on z = 0: a raft lies below the part.
func (o Order) objects() []mesh.Object {
	part := o.Mesh()
	if o.Size != Green || len(o.Bodies) == 0 {
		return []mesh.Object{{Name: o.Name, Mesh: part}}
	}
	lowest := 0.0
	for _, b := range o.Bodies {
		lowest = min(lowest, b.Mesh.Bounds().Min.Z)
	}
	lift := func(m *mesh.Mesh) *mesh.Mesh { return m.Transform(mesh.Identity(), r3.Vec{Z: -lowest}) }
	all := []mesh.Object{{Name: o.Name, Mesh: lift(part)}}
	for _, b := range o.Bodies {
		all = append(all, mesh.Object{Name: b.Name, Mesh: lift(b.Mesh)})
	}
	return all
}

// WriteBodies writes each body as binary STL beside the mesh, in the same place
// as in the 3MF, and gives the paths.
func (o Order) WriteBodies() ([]string, error) {
	var paths []string
	for _, b := range o.objects()[1:] {
		path := o.path("-" + strings.ReplaceAll(b.Name, " ", "-") + ".stl")
		err := o.write(path, func(w io.Writer) error {
			return mesh.WriteSTL(w, b.Mesh, "Kilnpoise, millimetres, "+b.Name+" for "+o.Name)
		})
		if err != nil {
			return paths, err
		}
		paths = append(paths, path)
	}
	return paths, nil
}
