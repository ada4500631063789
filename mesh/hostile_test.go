package mesh

import (
	"archive/zip"
	"bytes"
	"context"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"math"
	"strings"
	"sync/atomic"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
)

// hostile is a file made to do harm, and what has to come of it: a word of the
// one sentence that refuses it, or "" where it is read.
type hostile struct {
	name   string
	data   []byte
	refuse string
}

func hostileFiles(t testing.TB) []hostile {
	cube := stlBytes(t, cubeShape(0, 0, 0, 10))
	patched := func(at int, v float64) []byte {
		data := bytes.Clone(cube)
		binary.LittleEndian.PutUint32(data[at:], math.Float32bits(float32(v)))
		return data
	}
	counted := func(n uint32) []byte {
		data := bytes.Clone(cube)
		binary.LittleEndian.PutUint32(data[80:], n)
		return data
	}
	solid := bytes.Clone(cube)
	copy(solid, "solid facet normal")
	text := textSTL(cubeShape(0, 0, 0, 10))
	obj := objCube + "f 1 4 3 2\nf 5 6 7 8\nf 1 2 6 5\nf 2 3 7 6\nf 3 4 8 7\nf 4 1 5 8\n"
	three := threeMF(t, tetraModel(""))
	ring := modelText("", `<object id="1"><components><component objectid="2"/></components></object><object id="2"><components><component objectid="1"/></components></object>`, `<item objectid="1"/>`)
	return []hostile{
		{"empty.stl", nil, "empty"},
		{"truncated.stl", cube[:len(cube)-20], "cut off"},
		{"truncated text.stl", []byte(text[:len(text)/2]), ""},
		{"truncated in the first facet.stl", []byte(text[:60]), "cut off before its first whole facet"},
		{"four billion facets.stl", counted(math.MaxUint32 - 1), "promises 4294967294 facets"},
		{"unknown count.stl", counted(math.MaxUint32), ""},
		{"not a number.stl", patched(84+12, math.NaN()), "not a number"},
		{"infinite.stl", patched(84+12, math.Inf(-1)), "not a number"},
		{"near 1e30.stl", stlBytes(t, cubeShape(1e30, 1e30, 1e30, 1e29)), "beyond a kilometre"},
		{"near 1e-30.stl", stlBytes(t, cubeShape(0, 0, 0, 1e-30)), "no coordinate is larger"},
		{"begins with solid.stl", solid, ""},
		{"one facet.stl", stlBytes(t, without(cubeShape(0, 0, 0, 10), 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11)), "one plane"},
		{"CR only.stl", []byte(strings.ReplaceAll(text, "\n", "\r")), ""},
		{"CR LF and blank lines.stl", []byte(strings.ReplaceAll(text, "\n", "\r\n \t\r\n")), ""},
		{"decimal commas.stl", []byte(strings.ReplaceAll(text, ".5", ",5")), "decimal comma"},
		{"CR only.obj", []byte(strings.ReplaceAll(obj, "\n", "\r")), ""},
		{"comments.obj", []byte("# v 1 2\n" + strings.ReplaceAll(obj, "\n", " # f 1 2 9\n#\n")), ""},
		{"decimal commas.obj", []byte("v 0,5 0 0\n" + obj), "decimal comma"},
		{"missing vertices.obj", []byte(obj + "f 1 2 9\n"), "vertex 9, but the file has 8"},
		{"truncated.3mf", three[:len(three)-30], "not a whole zip"},
		{"truncated model.3mf", threeMF(t, tetraModel("")[:450]), "line 1"},
		{"ring of components.3mf", threeMF(t, ring), "made of itself"},
		{"nothing referred to.3mf", threeMF(t, modelText("", "", `<item objectid="7"/>`)), "object 7 is not in part"},
		{"path trick.3mf", zipOf(t, map[string]string{"_rels/.rels": fmt.Sprintf(relsText, strings.Replace(rootRel, "/3D/3dmodel.model", "/../../../etc/passwd", 1)), "../../../etc/passwd": "root", "3D/3dmodel.model": tetraModel("")}), "/etc/passwd"},
		{"the same name twice.3mf", zipOf(t, map[string]string{"_rels/.rels": fmt.Sprintf(relsText, rootRel), "3D/3dmodel.model": tetraModel(""), "3d/3dModel.model": tetraModel("")}), "twice"},
	}
}

// textSTL writes m as text, its coordinates with a half.
func textSTL(m *Mesh) string {
	var b strings.Builder
	b.WriteString("solid\n")
	for i := range m.Facets {
		p, q, r := m.Corners(i)
		b.WriteString("facet normal 0 0 0\nouter loop\n")
		for _, v := range []r3.Vec{p, q, r} {
			fmt.Fprintf(&b, "vertex %.1f %.1f %.1f\n", v.X+0.5, v.Y+0.5, v.Z+0.5)
		}
		b.WriteString("endloop\nendfacet\n")
	}
	return b.String() + "endsolid\n"
}

// TestHostileFiles reads what was made to do harm: a part or one sentence, in no
// more memory than is set aside for any small file. What is set aside altogether
// bounds what is held at any moment.
func TestHostileFiles(t *testing.T) {
	for _, tt := range hostileFiles(t) {
		t.Run(tt.name, func(t *testing.T) {
			var before, after runtimeBytes
			before.read()
			f, err := readBytes(tt.name, tt.data)
			var p *Part
			if err == nil {
				p, err = f.Part(context.Background())
			}
			after.read()
			if used := after.total - before.total; used > 8<<20 {
				t.Errorf("%d MB set aside for %d bytes", used>>20, len(tt.data))
			}
			if tt.refuse == "" {
				if err != nil || !(p.Mesh.Volume() > 0) {
					t.Errorf("not read: %v", err)
				}
				return
			}
			if err == nil {
				t.Fatalf("read, with notes %q, findings %q", f.Notes, p.Health.Findings)
			}
			checkSentence(t, tt.name, err)
			if !strings.Contains(err.Error(), tt.refuse) {
				t.Errorf("error %v, want %q", err, tt.refuse)
			}
		})
	}
}

// TestHostileWork counts the bytes that are asked of a file: none is gone through
// more often than three times (to tell the format, to read, for its hash), however
// it is made.
func TestHostileWork(t *testing.T) {
	for _, tt := range hostileFiles(t) {
		r := &countingReader{r: bytes.NewReader(tt.data)}
		f, err := Read(context.Background(), tt.name, r, int64(len(tt.data)), ReadOptions{})
		if err == nil {
			_, _ = f.Part(context.Background())
		}
		// A small file is asked for in blocks larger than it; zip looks at its
		// directory once more.
		if n := r.bytes.Load(); n > int64(4*len(tt.data)+8<<10) {
			t.Errorf("%s: %d bytes read of %d", tt.name, n, len(tt.data))
		}
	}
}

// countingReader counts what is read.
type countingReader struct {
	r     io.ReaderAt
	bytes atomic.Int64
}

func (c *countingReader) ReadAt(b []byte, off int64) (int, error) {
	n, err := c.r.ReadAt(b, off)
	c.bytes.Add(int64(n))
	return n, err
}

// TestUnfoldingIsBounded has small files that stand for many facets: repeated
// components, and a model that packs well. They are refused before they take more
// memory than a file of their size may.
func TestUnfoldingIsBounded(t *testing.T) {
	if testing.Short() {
		t.Skip("short: numbers alone, and many of them")
	}
	crowd := strings.Repeat(`<component objectid="1"/>`, 90_000)
	ball := sphereShape(10, 20)
	var v, f strings.Builder
	for _, p := range ball.Vertices {
		fmt.Fprintf(&v, `<vertex x="%g" y="%g" z="%g"/>`, p.X, p.Y, p.Z)
	}
	for _, c := range ball.Facets {
		fmt.Fprintf(&f, `<triangle v1="%d" v2="%d" v3="%d"/>`, c[0], c[1], c[2])
	}
	object := `<object id="1"><mesh><vertices>` + v.String() + `</vertices><triangles>` + f.String() + `</triangles></mesh></object>`
	tests := []struct {
		name string
		data []byte
		want string
	}{
		{"components", threeMF(t, modelText("", object+`<object id="2"><components>`+crowd+`</components></object>`, `<item objectid="2"/>`)), "take more memory than a file of this size may"},
		{"items", threeMF(t, modelText("", object, strings.Repeat(`<item objectid="1" transform="1 0 0 0 1 0 0 0 1 5 0 0"/>`, 20_000))), "take more memory than a file of this size may"},
		{"triangles", wellPacked(t, 12<<20/50, `<triangle v1="0" v2="1" v3="2"/>`), ""},
		{"a directory without end", longDirectory(t, 400_000), "more than 10000 entries"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			var err error
			peak := peakHeap(t, func() {
				var f *File
				if f, err = readBytes("a.3mf", tt.data); err == nil {
					_, _ = f.Part(context.Background())
				}
			})
			t.Logf("%d bytes: at most %d MB at once, %d MB allowed", len(tt.data), peak>>20, allowance(int64(len(tt.data)))>>20)
			if peak > allowance(int64(len(tt.data))) {
				t.Errorf("%d MB", peak>>20)
			}
			if tt.want == "" {
				return
			}
			if err == nil || !strings.Contains(err.Error(), tt.want) {
				t.Fatalf("error %v, want %q", err, tt.want)
			}
			checkSentence(t, "a.3mf", err)
		})
	}
}

// wellPacked is a 3MF with n times the same triangle.
func wellPacked(t testing.TB, n int, triangle string) []byte {
	return threeMF(t, strings.Replace(tetraModel(""), "</triangles>", strings.Repeat(triangle, n)+"</triangles>", 1))
}

// longDirectory is a zip of n empty entries.
func longDirectory(t testing.TB, n int) []byte {
	t.Helper()
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for i := range n {
		if _, err := z.CreateHeader(&zip.FileHeader{Name: fmt.Sprint(i)}); err != nil {
			t.Fatal(err)
		}
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// TestTenThousandBodies reads and mends a file of ten thousand bodies, hollow and
// overlapping ones among them.
func TestTenThousandBodies(t *testing.T) {
	if testing.Short() {
		t.Skip("short: numbers alone, and many of them")
	}
	m := &Mesh{}
	want := 0.0
	for i := range 10_000 {
		x, y := float64(i%100), float64(i/100)
		side, volume := 0.8, 0.8*0.8*0.8
		if i%200 == 7 { // runs into its neighbours by 0.1
			side, volume = 1.1, 1.1*1.1*1.1-0.1*0.8*0.8-0.1*0.8*0.8-0.1*0.1*0.8
		}
		m.Append(cubeShape(x, y, 0, side))
		if i%100 == 3 {
			m.Append(reversed(cubeShape(x+0.2, y+0.2, 0.2, 0.4)))
			volume -= 0.4 * 0.4 * 0.4
		}
		want += volume
	}
	data := stlBytes(t, m)
	var p *Part
	var err error
	peak := peakHeap(t, func() {
		var f *File
		if f, err = readBytes("a.stl", data); err == nil {
			p, err = f.Part(context.Background())
		}
	})
	if err != nil {
		t.Fatal(err)
	}
	t.Logf("%d bytes: at most %d MB at once; %q %q", len(data), peak>>20, p.Health.Repairs, p.Health.Findings)
	if peak > allowance(int64(len(data))) {
		t.Errorf("%d MB", peak>>20)
	}
	if p.Health.Cavities != 100 || p.Health.Nested != 0 || p.Health.Bodies != 10_000-3*50 || !p.Health.Watertight || p.Health.OverlapVolume != 0 || !near(p.Mesh.Volume(), want, 1e-5) {
		t.Errorf("%d cavities, %d nested, %d bodies, volume %v, want 100, 0, 9850, %v", p.Health.Cavities, p.Health.Nested, p.Health.Bodies, p.Mesh.Volume(), want)
	}
}

// countingContext ends after it has been asked so many times.
type countingContext struct {
	context.Context
	asked atomic.Int64
	end   int64
}

func (c *countingContext) Err() error {
	if c.asked.Add(1) > c.end {
		return context.Canceled
	}
	return nil
}

// TestMendStopsAnywhere ends the context at every one of the moments at which
// mending asks for it. It asks often, in proportion to the work, and once it has
// been told to stop it does no more than end.
func TestMendStopsAnywhere(t *testing.T) {
	if testing.Short() {
		t.Skip("short: numbers alone, and many of them")
	}
	overlapping := together(torusShape(30, 8, 120, 60), sphereShape(10, 30).Transform(Identity(), r3.Vec{X: 31}))
	for name, m := range map[string]*Mesh{
		"sound": torusShape(30, 8, 300, 200), "inside out": reversed(torusShape(30, 8, 300, 200)), "overlapping": overlapping,
	} {
		t.Run(name, func(t *testing.T) {
			whole := &countingContext{Context: context.Background(), end: math.MaxInt64}
			if _, _, err := Mend(whole, m); err != nil {
				t.Fatal(err)
			}
			asked := whole.asked.Load()
			// Welding, finding edges and walking go over all facets at least once
			// each, and look after every pauseSteps of them.
			if least := int64(4 * len(m.Facets) / pauseSteps); asked < least {
				t.Errorf("asked %d times for %d facets, want %d at least", asked, len(m.Facets), least)
			}
			for end := int64(0); end < asked; end += 1 + asked/25 {
				ctx := &countingContext{Context: context.Background(), end: end}
				_, _, err := Mend(ctx, m)
				if !errors.Is(err, context.Canceled) {
					t.Fatalf("stopped at %d of %d: %v", end, asked, err)
				}
				if more := ctx.asked.Load() - end; more > 4 {
					t.Errorf("stopped at %d, asked %d times more", end, more)
				}
			}
		})
	}
}

// TestReadStopsAnywhere does the same to reading, and counts the bytes read after
// the end.
func TestReadStopsAnywhere(t *testing.T) {
	if testing.Short() {
		t.Skip("short: numbers alone, and many of them")
	}
	ring := torusShape(30, 8, 200, 100)
	var obj strings.Builder
	for _, v := range ring.Vertices {
		fmt.Fprintf(&obj, "v %g %g %g\n", v.X, v.Y, v.Z)
	}
	for _, f := range ring.Facets {
		fmt.Fprintf(&obj, "f %d %d %d\n", f[0]+1, f[1]+1, f[2]+1)
	}
	for name, data := range map[string][]byte{
		"a.stl": stlBytes(t, ring), "text.stl": []byte(textSTL(ring)), "a.obj": []byte(obj.String()), "a.3mf": written(t, "a.3mf", ring),
	} {
		t.Run(name, func(t *testing.T) {
			whole := &countingContext{Context: context.Background(), end: math.MaxInt64}
			if _, err := Read(whole, name, bytes.NewReader(data), int64(len(data)), ReadOptions{}); err != nil {
				t.Fatal(err)
			}
			asked := whole.asked.Load()
			if least := int64(len(data) >> 20); asked < least {
				t.Errorf("asked %d times for %d bytes", asked, len(data))
			}
			for end := int64(0); end < asked; end += 1 + asked/25 {
				ctx := &countingContext{Context: context.Background(), end: end}
				r := &afterReader{ctx: ctx, r: bytes.NewReader(data)}
				_, err := Read(ctx, name, r, int64(len(data)), ReadOptions{})
				if !errors.Is(err, context.Canceled) {
					t.Fatalf("stopped at %d of %d: %v", end, asked, err)
				}
				if r.after > 0 {
					t.Errorf("stopped at %d: %d bytes read after the end", end, r.after)
				}
			}
		})
	}
}

// afterReader counts the bytes that are read after the end of a context.
type afterReader struct {
	ctx   *countingContext
	r     io.ReaderAt
	after int
}

func (r *afterReader) ReadAt(b []byte, off int64) (int, error) {
	n, err := r.r.ReadAt(b, off)
	if r.ctx.asked.Load() > r.ctx.end {
		r.after += n
	}
	return n, err
}
