package mesh

import (
	"bytes"
	"context"
	"math"
	"os"
	"path/filepath"
	"runtime"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
)

// The shapes below are exact: their corners lie on the true surface, or are the
// true corners, and their measures have closed forms.

// boxShape is a block of 12 facets from low to high.
func boxShape(low, high r3.Vec) *Mesh {
	m := &Mesh{}
	for _, z := range []float64{low.Z, high.Z} {
		for _, y := range []float64{low.Y, high.Y} {
			for _, x := range []float64{low.X, high.X} {
				m.Vertices = append(m.Vertices, r3.Vec{X: x, Y: y, Z: z})
			}
		}
	}
	m.Facets = [][3]int32{
		{0, 2, 3}, {0, 3, 1}, {4, 5, 7}, {4, 7, 6}, {0, 1, 5}, {0, 5, 4},
		{2, 6, 7}, {2, 7, 3}, {0, 4, 6}, {0, 6, 2}, {1, 3, 7}, {1, 7, 5},
	}
	return m
}

// cubeShape is a block with equal sides.
func cubeShape(x, y, z, side float64) *Mesh {
	low := r3.Vec{X: x, Y: y, Z: z}
	return boxShape(low, r3.Add(low, r3.Vec{X: side, Y: side, Z: side}))
}

// torusShape is a torus about Z of 2 n m facets: ring radius R, tube radius r.
func torusShape(R, r float64, n, m int) *Mesh {
	out := &Mesh{Vertices: make([]r3.Vec, 0, n*m), Facets: make([][3]int32, 0, 2*n*m)}
	for i := range n {
		su, cu := math.Sincos(2 * math.Pi * float64(i) / float64(n))
		for j := range m {
			sv, cv := math.Sincos(2 * math.Pi * float64(j) / float64(m))
			out.Vertices = append(out.Vertices, r3.Vec{X: (R + r*cv) * cu, Y: (R + r*cv) * su, Z: r * sv})
		}
	}
	at := func(i, j int) int32 { return int32((i%n)*m + j%m) }
	for i := range n {
		for j := range m {
			a, b, c, d := at(i, j), at(i+1, j), at(i+1, j+1), at(i, j+1)
			out.Facets = append(out.Facets, [3]int32{a, b, c}, [3]int32{a, c, d})
		}
	}
	return out
}

// sphereShape is a sphere about the origin, n rings of 2 n facets each.
func sphereShape(r float64, n int) *Mesh {
	out := &Mesh{Vertices: []r3.Vec{{Z: r}}}
	for i := 1; i < n; i++ {
		st, ct := math.Sincos(math.Pi * float64(i) / float64(n))
		for j := range 2 * n {
			sp, cp := math.Sincos(math.Pi * float64(j) / float64(n))
			out.Vertices = append(out.Vertices, r3.Vec{X: r * st * cp, Y: r * st * sp, Z: r * ct})
		}
	}
	out.Vertices = append(out.Vertices, r3.Vec{Z: -r})
	at := func(i, j int) int32 {
		switch i {
		case 0:
			return 0
		case n:
			return int32(len(out.Vertices) - 1)
		}
		return int32(1 + (i-1)*2*n + j%(2*n))
	}
	for i := range n {
		for j := range 2 * n {
			if i > 0 {
				out.Facets = append(out.Facets, [3]int32{at(i, j), at(i+1, j), at(i, j+1)})
			}
			if i < n-1 {
				out.Facets = append(out.Facets, [3]int32{at(i, j+1), at(i+1, j), at(i+1, j+1)})
			}
		}
	}
	return out
}

// reversed turns every facet over.
func reversed(m *Mesh) *Mesh {
	out := m.Clone()
	for i, f := range out.Facets {
		out.Facets[i] = [3]int32{f[0], f[2], f[1]}
	}
	return out
}

// together joins meshes without welding.
func together(list ...*Mesh) *Mesh {
	out := &Mesh{}
	for _, m := range list {
		out.Append(m)
	}
	return out
}

// readBytes reads a file from memory.
func readBytes(name string, data []byte) (*File, error) {
	return Read(context.Background(), name, bytes.NewReader(data), int64(len(data)), ReadOptions{})
}

// stlBytes gives m as binary STL.
func stlBytes(t testing.TB, m *Mesh) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := WriteSTL(&b, m, "test"); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// mended mends m or ends the test.
func mended(t testing.TB, m *Mesh) (*Mesh, Health) {
	t.Helper()
	out, h, err := Mend(context.Background(), m)
	if err != nil {
		t.Fatal(err)
	}
	return out, h
}

// sharedFolder gives the folder of sample data beside the checkout and skips the
// test where it is absent.
func sharedFolder(t testing.TB) string {
	t.Helper()
	dir := filepath.Join("..", "..", "shared")
	if _, err := os.Stat(filepath.Join(dir, "reference")); err != nil {
		t.Skip("the folder ../shared with sample parts is absent")
	}
	return dir
}

// near reports whether got is want within a relative tolerance.
func near(got, want, tol float64) bool {
	return math.Abs(got-want) <= tol*math.Max(math.Abs(want), 1e-12)
}

// runtimeBytes is how much the program has ever set aside.
type runtimeBytes struct{ total uint64 }

func (r *runtimeBytes) read() {
	var s runtime.MemStats
	runtime.ReadMemStats(&s)
	r.total = s.TotalAlloc
}
