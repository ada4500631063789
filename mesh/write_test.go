package mesh

import (
	"archive/zip"
	"bytes"
	"context"
	"errors"
	"io"
	"maps"
	"math"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"github.com/hpinc/go3mf"
	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"
)

// written gives m as a file of either format.
func written(t testing.TB, name string, m *Mesh) []byte {
	t.Helper()
	if filepath.Ext(name) == ".stl" {
		return stlBytes(t, m)
	}
	var b bytes.Buffer
	if err := Write3MF(&b, ThreeMF{Objects: []Object{{Name: "part", Mesh: m}}}); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// TestRoundTrip writes turned and shifted bodies and reads them back.
func TestRoundTrip(t *testing.T) {
	shapes := []*Mesh{cubeShape(0, 0, 0, 10), torusShape(30, 8, 24, 12), sphereShape(7, 9), lopsided(),
		together(cubeShape(0, 0, 0, 10), reversed(cubeShape(3, 3, 3, 4)))}
	for _, name := range []string{"a.stl", "a.3mf"} {
		t.Run(name, func(t *testing.T) {
			rapid.Check(t, func(rt *rapid.T) {
				m := rapid.SampledFrom(shapes).Draw(rt, "shape")
				m = m.Transform(drawRotation(rt), r3.Scale(rapid.Float64Range(0, 300).Draw(rt, "far"), drawUnit(rt, "shift")))
				f, err := readBytes(name, written(t, name, m))
				if err != nil {
					rt.Fatal(err)
				}
				got := f.Items[0].Mesh
				if len(got.Facets) != len(m.Facets) {
					rt.Fatalf("%d facets, want %d", len(got.Facets), len(m.Facets))
				}
				for i := range m.Facets {
					a, b, c := m.Corners(i)
					p, q, r := got.Corners(i)
					if wide(narrow(a)) != p || wide(narrow(b)) != q || wide(narrow(c)) != r {
						rt.Fatalf("facet %d: %v, want %v to 32 bits", i, [3]r3.Vec{p, q, r}, [3]r3.Vec{a, b, c})
					}
				}
				part, err := f.Part(context.Background())
				if err != nil || !part.Health.Watertight || !near(part.Mesh.Volume(), m.Volume(), 1e-5) {
					rt.Fatalf("no longer closed, or of another volume: %v", err)
				}
			})
		})
	}
}

func TestWriteSTLHeader(t *testing.T) {
	m := cubeShape(0, 0, 0, 1)
	for _, header := range []string{"", "Kilnpoise", "solid facet", "  SOLID", strings.Repeat("long ", 40)} {
		var b bytes.Buffer
		if err := WriteSTL(&b, m, header); err != nil {
			t.Fatal(err)
		}
		if startsSolid(b.Bytes()) || int64(b.Len()) != stlSize(12) {
			t.Errorf("header %q: begins %q, %d bytes", header, b.Bytes()[:8], b.Len())
		}
		if f, err := readBytes("a.stl", b.Bytes()); err != nil || len(f.Items[0].Mesh.Facets) != 12 {
			t.Errorf("header %q: %v", header, err)
		}
	}
}

func TestWriteRefuses(t *testing.T) {
	bad := cubeShape(0, 0, 0, 1)
	bad.Vertices[3].Y = math.NaN()
	large := cubeShape(0, 0, 0, 1e39)
	for name, m := range map[string]*Mesh{"nothing": nil, "no facets": {}, "not a number": bad, "beyond 32 bits": large} {
		if err := WriteSTL(io.Discard, m, ""); err == nil {
			t.Errorf("%s: written as STL", name)
		}
		if err := Write3MF(io.Discard, ThreeMF{Objects: []Object{{Mesh: m}}}); err == nil {
			t.Errorf("%s: written as 3MF", name)
		}
	}
	if err := Write3MF(io.Discard, ThreeMF{}); err == nil {
		t.Error("a 3MF without objects was written")
	}
	full := errors.New("the disk is full")
	if err := WriteSTL(failingWriter{full}, cubeShape(0, 0, 0, 1), ""); !errors.Is(err, full) {
		t.Errorf("error %v", err)
	}
	if err := Write3MF(failingWriter{full}, ThreeMF{Objects: []Object{{Mesh: cubeShape(0, 0, 0, 1)}}}); !errors.Is(err, full) {
		t.Errorf("error %v", err)
	}
}

type failingWriter struct{ err error }

func (w failingWriter) Write([]byte) (int, error) { return 0, w.err }

// samplePair is a 3MF of two objects with metadata of both kinds.
func samplePair() ThreeMF {
	return ThreeMF{
		Objects: []Object{{Name: "elbow <left> & \"right\"", Mesh: torusShape(30, 8, 24, 12)}, {Name: "plug", Mesh: cubeShape(90, 0, 0, 10)}},
		Metadata: []Metadata{
			{"Title", "elbow & plug"}, {"Application", "Kilnpoise"}, {"Description", "turned and oversized"},
			{"up", "0 0.6 0.8"}, {"oversize", "1.190476 1.190476 1.25"}, {"bad\xff", "text\xff"},
		},
	}
}

// Test3MFIsValid has the 3MF library read a file strictly and hold it against
// the specification.
func Test3MFIsValid(t *testing.T) {
	var b bytes.Buffer
	if err := Write3MF(&b, samplePair()); err != nil {
		t.Fatal(err)
	}
	decoder := go3mf.NewDecoder(bytes.NewReader(b.Bytes()), int64(b.Len()))
	decoder.Strict = true
	var model go3mf.Model
	if err := decoder.Decode(&model); err != nil {
		t.Fatal(err)
	}
	if err := errors.Join(model.Validate(), model.ValidateCoherency()); err != nil {
		t.Error(err)
	}
	if model.Units != go3mf.UnitMillimeter || len(model.Build.Items) != 2 || model.Resources.Objects[0].Name != samplePair().Objects[0].Name {
		t.Errorf("unit %v, items %v, objects %v", model.Units, model.Build.Items, model.Resources.Objects)
	}
	want := map[string]string{
		"Title": "elbow & plug", "Application": "Kilnpoise",
		"Description": "turned and oversized\nup: 0 0.6 0.8\noversize: 1.190476 1.190476 1.25\nbad?: text?",
	}
	got := map[string]string{}
	for _, m := range model.Metadata {
		got[m.Name.Local] = m.Value
	}
	if !maps.Equal(got, want) {
		t.Errorf("metadata %q, want %q", got, want)
	}
}

func Test3MFSameAgain(t *testing.T) {
	var b bytes.Buffer
	if err := Write3MF(&b, samplePair()); err != nil {
		t.Fatal(err)
	}
	for range 20 {
		var again bytes.Buffer
		if err := Write3MF(&again, samplePair()); err != nil || !bytes.Equal(b.Bytes(), again.Bytes()) {
			t.Fatalf("the same input gave other bytes, %v", err)
		}
	}
	f, err := readBytes("a.3mf", b.Bytes())
	if err != nil || len(f.Items) != 2 || f.Items[1].Name != "plug" || f.Unit != Millimetre || f.UnitAssumed || len(f.Notes) > 0 {
		t.Errorf("read back: %+v, %v", f, err)
	}
}

func Test3MFTellsNoTime(t *testing.T) {
	data := written(t, "a.3mf", cubeShape(0, 0, 0, 10))
	z, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		t.Fatal(err)
	}
	for _, part := range z.File {
		if y := part.Modified.Year(); y > 1980 || len(part.Extra) > 0 {
			t.Errorf("part %s bears the time %v", part.Name, part.Modified)
		}
	}
}

func Test3MFLeavesCollapsedOut(t *testing.T) {
	m := cubeShape(0, 0, 0, 10)
	m.Facets = append(m.Facets, [3]int32{1, 1, 2})
	f, err := readBytes("a.3mf", written(t, "a.3mf", m))
	if err != nil || len(f.Items[0].Mesh.Facets) != 12 {
		t.Errorf("%+v, %v", f, err)
	}
}

func TestWriteFileWhole(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "a.stl")
	put := func(text string, err error) error {
		return WriteFileWhole(path, func(w io.Writer) error {
			_, werr := io.WriteString(w, text)
			return errors.Join(werr, err)
		})
	}
	holds := func(want string) {
		t.Helper()
		got, err := os.ReadFile(path)
		if err != nil || string(got) != want {
			t.Errorf("file holds %q, %v; want %q", got, err, want)
		}
		if left, _ := os.ReadDir(dir); len(left) != 1 {
			t.Errorf("folder holds %v", left)
		}
	}
	if err := put("first", nil); err != nil {
		t.Fatal(err)
	}
	holds("first")
	fault := errors.New("no more")
	if err := put("half of the sec", fault); !errors.Is(err, fault) || !strings.HasPrefix(err.Error(), "a.stl") {
		t.Errorf("error %v", err)
	}
	holds("first")
	func() {
		defer func() { _ = recover() }()
		_ = WriteFileWhole(path, func(io.Writer) error { panic("oh") })
	}()
	holds("first")
	if err := put("second", nil); err != nil {
		t.Fatal(err)
	}
	holds("second")
}

func TestWriteFileWholeKeepsPermissionsAndLinks(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("no permissions of this kind")
	}
	dir := t.TempDir()
	path, link := filepath.Join(dir, "a"), filepath.Join(dir, "link")
	if err := errors.Join(os.WriteFile(path, []byte("old"), 0o640), os.Chmod(path, 0o640), os.Symlink("a", link)); err != nil {
		t.Fatal(err)
	}
	if err := WriteFileWhole(link, func(w io.Writer) error { _, err := io.WriteString(w, "new"); return err }); err != nil {
		t.Fatal(err)
	}
	info, err := os.Lstat(link)
	if err != nil || info.Mode()&os.ModeSymlink == 0 {
		t.Errorf("the link became %v, %v", info.Mode(), err)
	}
	if info, err = os.Stat(path); err != nil || info.Mode().Perm() != 0o640 {
		t.Errorf("permissions %v, %v", info.Mode(), err)
	}
	if got, _ := os.ReadFile(path); string(got) != "new" {
		t.Errorf("file holds %q", got)
	}
}

func TestWriteFileWholeRefuses(t *testing.T) {
	dir := t.TempDir()
	nothing := func(io.Writer) error { t.Error("write was called"); return nil }
	for _, path := range []string{dir, filepath.Join(dir, "no such folder", "a.stl")} {
		if err := WriteFileWhole(path, nothing); err == nil || !strings.HasPrefix(err.Error(), filepath.Base(path)) {
			t.Errorf("%s: %v", path, err)
		}
	}
}

func BenchmarkWriteSTL1300k(b *testing.B) {
	m := torusShape(30, 8, 1300, 500)
	b.ReportAllocs()
	for b.Loop() {
		if err := WriteSTL(io.Discard, m, ""); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkWrite3MF1300k(b *testing.B) {
	doc := ThreeMF{Objects: []Object{{Mesh: torusShape(30, 8, 1300, 500)}}}
	b.ReportAllocs()
	for b.Loop() {
		if err := Write3MF(io.Discard, doc); err != nil {
			b.Fatal(err)
		}
	}
}
