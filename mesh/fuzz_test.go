package mesh

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
)

// maxFuzz caps the size of a fuzzed file: larger ones find nothing more.
const maxFuzz = 1 << 16

// checkRead reads data and holds what comes of it against what every reader
// promises: an error in one sentence, or meshes whose facets point at vertices
// that are numbers.
func checkRead(t *testing.T, name string, data []byte) {
	t.Helper()
	if len(data) > maxFuzz {
		t.Skip()
	}
	f, err := Read(context.Background(), name, bytes.NewReader(data), int64(len(data)), ReadOptions{})
	if err != nil {
		if text := err.Error(); !strings.HasPrefix(text, name+": ") || isPrintable(text) != nil {
			t.Errorf("error does not name the file, or cannot be shown: %q", text)
		}
		return
	}
	for _, item := range f.Items {
		checkIndices(t, item.Mesh)
		if item.Name == "" || isPrintable(item.Name) != nil {
			t.Errorf("name %q", item.Name)
		}
	}
	for _, note := range f.Notes {
		if isPrintable(note) != nil {
			t.Errorf("note %q", note)
		}
	}
	p, err := f.Part(context.Background())
	if err != nil {
		return
	}
	checkIndices(t, p.Mesh)
	checkHealth(t, p)
}

func checkIndices(t *testing.T, m *Mesh) {
	t.Helper()
	if len(m.Facets) == 0 {
		t.Error("a mesh without facets")
	}
	for _, f := range m.Facets {
		for _, v := range f {
			if v < 0 || int(v) >= len(m.Vertices) {
				t.Fatalf("facet %v of %d vertices", f, len(m.Vertices))
			}
			if p := m.Vertices[v]; !finite(p) || largestCoordinate(p) > maxCoordinate {
				t.Fatalf("vertex %v", p)
			}
		}
	}
}

// checkHealth holds a part against what Mend promises: closed where it says so,
// nothing left to repair.
func checkHealth(t *testing.T, p *Part) {
	t.Helper()
	c := NewTopology(p.Mesh).count()
	if h := p.Health; c.open != h.OpenEdges || c.shared != h.SharedEdges || (c.torn == 0) != h.Watertight {
		t.Errorf("edges %+v, health %+v", c, h)
	}
	var sum r3.Vec
	for i, f := range p.Mesh.Facets {
		if collapsed(f) {
			t.Errorf("facet %d has a repeated corner", i)
		}
		sum = r3.Add(sum, p.Mesh.AreaVector(i))
	}
	if area := p.Mesh.Area(); p.Health.Watertight && r3.Norm(sum) > 1e-6*area {
		t.Errorf("area vectors of a closed mesh sum to %v of %v mm2", sum, area)
	}
}

// addFiles seeds a fuzz test with the samples of one extension.
func addFiles(f *testing.F, pattern string) {
	f.Helper()
	names, err := filepath.Glob(filepath.Join("testdata", pattern))
	if err != nil || len(names) == 0 {
		f.Fatalf("no samples %s: %v", pattern, err)
	}
	for _, name := range names {
		data, err := os.ReadFile(name)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(data)
	}
}

// packed wraps a model part as a 3MF.
func packed(t testing.TB, name string) []byte {
	t.Helper()
	model, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	data, err := lonePackage(model)
	if err != nil {
		t.Fatal(err)
	}
	return data
}

func FuzzReadSTL(f *testing.F) {
	f.Add(stlBytes(f, cubeShape(0, 0, 0, 10)))
	f.Add(stlBytes(f, together(cubeShape(0, 0, 0, 10), reversed(cubeShape(2, 2, 2, 3)))))
	addFiles(f, "*.stl")
	f.Fuzz(func(t *testing.T, data []byte) { checkRead(t, "fuzz.stl", data) })
}

// FuzzReadSTLText keeps to text: most changes of a binary file are of one.
func FuzzReadSTLText(f *testing.F) {
	addFiles(f, "*.stl")
	f.Add([]byte(textSTL(cubeShape(0, 0, 0, 10))))
	f.Fuzz(func(t *testing.T, data []byte) {
		checkRead(t, "fuzz.stl", append([]byte("solid fuzz facet\n"), data...))
	})
}

func FuzzReadOBJ(f *testing.F) {
	addFiles(f, "*.obj")
	f.Fuzz(func(t *testing.T, data []byte) { checkRead(t, "fuzz.obj", data) })
}

func FuzzRead3MF(f *testing.F) {
	f.Add(packed(f, "testdata/two_units.model"))
	var b bytes.Buffer
	if err := Write3MF(&b, ThreeMF{Objects: []Object{{Name: "a", Mesh: cubeShape(0, 0, 0, 10)}}}); err != nil {
		f.Fatal(err)
	}
	f.Add(b.Bytes())
	f.Fuzz(func(t *testing.T, data []byte) { checkRead(t, "fuzz.3mf", data) })
}

// FuzzRead3MFModel puts the fuzzed bytes where the XML of the model goes: few
// random changes of a zip get past its checksums.
func FuzzRead3MFModel(f *testing.F) {
	addFiles(f, "*.model")
	f.Fuzz(func(t *testing.T, data []byte) {
		data, err := lonePackage(data)
		if err != nil {
			t.Fatal(err)
		}
		checkRead(t, "fuzz.3mf", data)
	})
}

// FuzzMend mends any heap of triangles with corners on a coarse lattice, where
// every defect is common.
func FuzzMend(f *testing.F) {
	f.Add([]byte("abcabdacdbcd"))
	f.Add([]byte{0, 3, 5, 0, 5, 6, 0, 6, 3, 3, 6, 5, 0, 5, 3, 1, 2, 3, 4, 5, 6})
	f.Fuzz(func(t *testing.T, data []byte) {
		if len(data) > 600 {
			t.Skip()
		}
		m := &Mesh{}
		for i := range 64 {
			m.Vertices = append(m.Vertices, r3.Vec{X: float64(i & 3), Y: float64(i >> 2 & 3), Z: float64(i >> 4)})
		}
		for i := 0; i+2 < len(data); i += 3 {
			m.Facets = append(m.Facets, [3]int32{int32(data[i] & 63), int32(data[i+1] & 63), int32(data[i+2] & 63)})
		}
		whole, health, err := Mend(context.Background(), m)
		if err != nil {
			return
		}
		checkHealth(t, &Part{Mesh: whole, Health: health})
		again, second, err := Mend(context.Background(), whole)
		if err == nil && health.Watertight && !second.Watertight {
			t.Errorf("mending again opened the surface: %v", second.Findings)
		}
		_ = again
	})
}

// FuzzUnite makes one of blocks on a lattice, turned by some angle and written with
// 32 bits. How many cells of the lattice they cover is counted: that is the volume,
// or it is said that they could not be made one.
func FuzzUnite(f *testing.F) {
	f.Add([]byte{0, 0, 0, 0, 2, 2, 2, 1, 1, 1, 2, 2, 2})
	f.Add([]byte{40, 0, 0, 0, 3, 3, 3, 1, 1, 0, 1, 1, 3, 0, 1, 1, 3, 1, 1})
	f.Add([]byte{0, 0, 0, 0, 3, 3, 3, 0, 0, 0, 3, 3, 3, 1, 1, 1, 1, 1, 1})
	f.Fuzz(func(t *testing.T, data []byte) {
		if len(data) < 7 || len(data) > 1+6*8 {
			t.Skip()
		}
		m, covered := &Mesh{}, map[[3]byte]bool{}
		for rest := data[1:]; len(rest) >= 6; rest = rest[6:] {
			low, size := [3]byte(rest[:3]), [3]byte(rest[3:6])
			for k := range 3 {
				low[k], size[k] = low[k]&3, 1+size[k]&3
			}
			addBlock(m, low, size, covered)
		}
		m = m.Transform(RotationAbout(r3.Unit(r3.Vec{X: 1, Y: 2, Z: 3}), float64(data[0])/40), r3.Vec{X: 1})
		for i, v := range m.Vertices {
			m.Vertices[i] = wide(narrow(v))
		}
		whole, h, err := Mend(context.Background(), m)
		if err != nil {
			t.Fatal(err)
		}
		checkHealth(t, &Part{Mesh: whole, Health: h})
		if strings.Contains(strings.Join(h.Findings, " "), "could not be made one") {
			t.Skip("left, and said")
		}
		if v := float64(len(covered)); !h.Watertight || !near(whole.Volume(), v, 1e-4) {
			t.Errorf("closed %v, volume %v of %v cells: %q %q", h.Watertight, whole.Volume(), v, h.Repairs, h.Findings)
		}
	})
}

// addBlock adds a block to m and its cells to those covered.
func addBlock(m *Mesh, low, size [3]byte, covered map[[3]byte]bool) {
	at := r3.Vec{X: float64(low[0]), Y: float64(low[1]), Z: float64(low[2])}
	m.Append(boxShape(at, r3.Add(at, r3.Vec{X: float64(size[0]), Y: float64(size[1]), Z: float64(size[2])})))
	for x := range size[0] {
		for y := range size[1] {
			for z := range size[2] {
				covered[[3]byte{low[0] + x, low[1] + y, low[2] + z}] = true
			}
		}
	}
}
