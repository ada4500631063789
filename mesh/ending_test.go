package mesh_test

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"kilnpoise/mesh"
	"kilnpoise/mesh/meshtest"
	"kilnpoise/mesh/parallel/endtest"
)

// madeHostile gives one of the shapes that make work.
func madeHostile(t testing.TB, name string, facets int) *mesh.Mesh {
	t.Helper()
	for _, h := range meshtest.HostileShapes() {
		if h.Name == name {
			return h.Make(facets)
		}
	}
	t.Fatalf("there is no shape %q", name)
	return nil
}

// Every stage of reading and looking at a mesh looks at its context so often that no
// more than a few hundredths of its work is done after the end.
func TestMeshStagesLeaveOffSoon(t *testing.T) {
	ctx := context.Background()
	read := func(data []byte, name string) func(context.Context) error {
		return func(ctx context.Context) error {
			_, err := mesh.Read(ctx, name, bytes.NewReader(data), int64(len(data)), mesh.ReadOptions{Unit: mesh.Millimetre})
			return err
		}
	}
	var binary, threeMF bytes.Buffer
	sphere := meshtest.Sphere(30, 200)
	if err := mesh.WriteSTL(&binary, sphere, "sphere"); err != nil {
		t.Fatal(err)
	}
	if err := mesh.Write3MF(&threeMF, mesh.ThreeMF{Objects: []mesh.Object{{Name: "sphere", Mesh: sphere}}}); err != nil {
		t.Fatal(err)
	}
	mend := func(m *mesh.Mesh) func(context.Context) error {
		return func(ctx context.Context) error {
			_, _, err := mesh.Mend(ctx, m)
			return err
		}
	}
	walls := func(m *mesh.Mesh) func(context.Context) error {
		return func(ctx context.Context) error {
			_, err := m.Walls(ctx, nil)
			return err
		}
	}
	whole, _, err := mesh.Mend(ctx, madeHostile(t, "overlapping boxes", 1200))
	if err != nil {
		t.Fatal(err)
	}
	box, boxes := sphere.Bounds(), madeHostile(t, "boxes", 6000)
	for _, stage := range []struct {
		name  string
		least int64
		work  func(context.Context) error
	}{
		{"read binary STL", 3, read(binary.Bytes(), "a.stl")},
		{"read 3MF", 3, read(threeMF.Bytes(), "a.3mf")},
		{"read text STL", 10, read(textSTL(sphere), "a.stl")},
		{"read OBJ", 5, read(textOBJ(sphere), "a.obj")},
		{"coarsen", 4, func(ctx context.Context) error { _, _, err := sphere.Coarsen(ctx, 2500); return err }},
		{"topology", 2, func(ctx context.Context) error { _, err := mesh.NewTopologyUntil(ctx, sphere); return err }},
		{"columns", 10, func(ctx context.Context) error {
			c := mesh.Columns{Context: ctx}
			c.Fill(sphere.Vertices, sphere.Facets, box.Min, box.Max, 1<<20)
			return ctx.Err()
		}},
		{"mend a sphere", 20, mend(sphere)},
		{"mend bodies that overlap", 50, mend(madeHostile(t, "overlapping boxes", 1200))},
		{"mend crossing needles", 50, mend(madeHostile(t, "crossing needles", 1200))},
		{"mend loose triangles", 10, mend(madeHostile(t, "fine soup", 5000))},
		{"walls of a cone", 100, walls(meshtest.Cone(40, 60, 5000))},
		{"walls of many bodies", 100, walls(whole)},
		{"separate bodies", int64(len(boxes.Facets) / 12), func(ctx context.Context) error {
			_, err := boxes.SeparateBodies(ctx, nil, 0.05)
			return err
		}},
		{"hull", 10, func(ctx context.Context) error { _, err := sphere.Hull(ctx); return err }},
		{"voxels", 30, func(ctx context.Context) error {
			_, err := sphere.Voxels(ctx, mesh.LatticeOver(box, 2), 2)
			return err
		}},
	} {
		t.Run(stage.name, func(t *testing.T) { endtest.Soon(t, stage.least, stage.work) })
	}
}

// textSTL gives m as text STL, textOBJ as OBJ.
func textSTL(m *mesh.Mesh) []byte {
	var b strings.Builder
	b.WriteString("solid a\n")
	for i := range m.Facets {
		b.WriteString("facet normal 0 0 0\nouter loop\n")
		for _, v := range m.Facets[i] {
			p := m.Vertices[v]
			fmt.Fprintf(&b, "vertex %g %g %g\n", p.X, p.Y, p.Z)
		}
		b.WriteString("endloop\nendfacet\n")
	}
	b.WriteString("endsolid a\n")
	return []byte(b.String())
}

func textOBJ(m *mesh.Mesh) []byte {
	var b strings.Builder
	for _, p := range m.Vertices {
		fmt.Fprintf(&b, "v %g %g %g\n", p.X, p.Y, p.Z)
	}
	for _, f := range m.Facets {
		fmt.Fprintf(&b, "f %d %d %d\n", f[0]+1, f[1]+1, f[2]+1)
	}
	return []byte(b.String())
}

// Writing a file leaves off soon too: nothing is then there, not even for a while.
func TestWritingAFileLeavesOffSoon(t *testing.T) {
	sphere := meshtest.Sphere(30, 500)
	for name, write := range map[string]func(io.Writer) error{
		"binary STL": func(w io.Writer) error { return mesh.WriteSTL(w, sphere, "sphere") },
		"3MF": func(w io.Writer) error {
			return mesh.Write3MF(w, mesh.ThreeMF{Objects: []mesh.Object{{Name: "sphere", Mesh: sphere}}})
		},
	} {
		t.Run(name, func(t *testing.T) {
			path := filepath.Join(t.TempDir(), "sphere")
			endtest.Soon(t, 3, func(ctx context.Context) error {
				err := mesh.WriteFileUntil(ctx, path, write)
				if err != nil {
					left, readErr := os.ReadDir(filepath.Dir(path))
					if readErr != nil || len(left) > 0 {
						t.Errorf("%v are left (%v)", left, readErr)
					}
				} else if err := os.Remove(path); err != nil {
					t.Error(err)
				}
				return err
			})
		})
	}
}

// How reading, mending and measuring the walls grow with the facets.
func BenchmarkHostile(b *testing.B) {
	for _, h := range meshtest.HostileShapes() {
		for _, facets := range []int{2000, 8000, 32000} {
			m := h.Make(facets)
			b.Run(h.Name+"/"+strconv.Itoa(len(m.Facets)), func(b *testing.B) {
				b.ReportAllocs()
				for range b.N {
					whole, _, err := mesh.Mend(context.Background(), m)
					if err != nil {
						b.Fatal(err)
					}
					if _, err := whole.Walls(context.Background(), nil); err != nil {
						b.Fatal(err)
					}
				}
			})
		}
	}
}
