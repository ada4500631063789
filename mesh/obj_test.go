package mesh

import (
	"bytes"
	"fmt"
	"os"
	"strings"
	"testing"
)

const objCube = `v 0 0 0
v 10 0 0
v 10 10 0
v 0 10 0
v 0 0 10
v 10 0 10
v 10 10 10
v 0 10 10
`

func TestOBJSample(t *testing.T) {
	data, err := os.ReadFile("testdata/l_prism.obj")
	if err != nil {
		t.Fatal(err)
	}
	for name, text := range map[string]string{
		"LF": string(data), "CR LF": strings.ReplaceAll(string(data), "\n", "\r\n"), "CR": strings.ReplaceAll(string(data), "\n", "\r"),
	} {
		t.Run(name, func(t *testing.T) {
			f, err := readBytes("l_prism.obj", []byte(text))
			if err != nil {
				t.Fatal(err)
			}
			m := f.Items[0].Mesh
			// Two concave ends of six corners and six sides of four.
			if len(m.Facets) != 2*4+6*2 || !near(m.Volume(), (20*5+5*15)*4, 1e-12) {
				t.Errorf("%d facets, volume %v", len(m.Facets), m.Volume())
			}
			if c := NewTopology(m).count(); c.torn != 0 {
				t.Errorf("edges %+v", c)
			}
			notes := strings.Join(f.Notes, " ")
			for _, want := range []string{"1 face with fewer than three corners passed over, the first on line 26", "1 line or point"} {
				if !strings.Contains(notes, want) {
					t.Errorf("notes %q, want %q", f.Notes, want)
				}
			}
		})
	}
}

func TestOBJRefuses(t *testing.T) {
	many := &bytes.Buffer{}
	many.WriteString("v 0 0 0\nv 1 0 0\nv 0 1 0\nf")
	for range maxPolygon + 1 {
		many.WriteString(" 1")
	}
	tests := []struct{ name, text, want string }{
		{"number 0", objCube + "f 1 2 0", "line 9: vertex number 0"},
		{"beyond the list", objCube + "f 1 2 3\nf 1 2 9\n", "line 10: vertex 9, but the file has 8"},
		{"before the list", objCube + "f 1 2 -9", "line 9: vertex -9, but only 8 come before it"},
		{"beyond any list", objCube + "f 1 2 99999999999", "line 9: vertex 99999999999, beyond any list"},
		{"no number", objCube + "f 1 2 x", `line 9: "x" is no vertex number`},
		{"no vertex at all", objCube + "f /1 /2 /3", `line 9: "/1" is no vertex number`},
		{"short vertex", "v 0 0\n", "line 1: a vertex with 2 numbers"},
		{"decimal comma", "v 0,5 0 0\n", `line 1: "0,5" has a decimal comma`},
		{"infinite", "v 1 inf 0\n", `line 1: "inf" is not a finite number`},
		{"no faces", objCube, "no faces"},
		{"points only", objCube + "p 1 2 3\n", "no faces"},
		{"line numbers after a continuation", "v 0 \\\n0 \\\n0\nv 1 x 0\n", `line 4: "x" is not a number`},
		{"endless polygon", many.String(), "line 4: a face with 10001 corners"},
		{"endless line", "v 0 0 0\n# " + strings.Repeat("x", maxOBJLine), "line 2: longer than 4 megabytes"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			_, err := readBytes("a.obj", []byte(tt.text))
			if err == nil || !strings.HasPrefix(err.Error(), "a.obj: ") || !strings.Contains(err.Error(), tt.want) || !strings.Contains(err.Error(), ";") {
				t.Errorf("error %v, want %q", err, tt.want)
			}
		})
	}
}

func TestOBJTolerates(t *testing.T) {
	faces := "f 1 4 3 2\nf 5 6 7 8\nf 1 2 6 5\nf 2 3 7 6\nf 3 4 8 7\nf 4 1 5 8\n"
	tests := []struct{ name, text, note string }{
		{"as it should", objCube + faces, ""},
		{"faces first", faces + objCube, "6 faces came before their vertices"},
		{"no end of line", objCube + strings.TrimSpace(faces), ""},
		{"groups, materials, smoothing", "mtllib a\no a\ng b\nusemtl c\ns 1\n" + objCube + faces, ""},
		{"a continuation at the end", objCube + faces + "\\", ""},
		{"comments after numbers", strings.ReplaceAll(objCube, "\n", " # corner\n") + faces, ""},
		{"curves", objCube + faces + "curv 0 1 1 2 3\n", "1 curved surface or curve passed over"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			f, err := readBytes("a.obj", []byte(tt.text))
			if err != nil {
				t.Fatal(err)
			}
			if v := f.Items[0].Mesh.Volume(); v != 1000 {
				t.Errorf("volume %v", v)
			}
			notes := strings.Join(f.Notes[1:], " ") // after the unit
			if (tt.note == "") != (notes == "") || !strings.Contains(notes, tt.note) {
				t.Errorf("notes %q, want %q", notes, tt.note)
			}
		})
	}
}

func BenchmarkReadOBJ(b *testing.B) {
	m := torusShape(30, 8, 200, 100)
	var text bytes.Buffer
	for _, v := range m.Vertices {
		fmt.Fprintf(&text, "v %.6f %.6f %.6f\n", v.X, v.Y, v.Z)
	}
	for _, f := range m.Facets {
		fmt.Fprintf(&text, "f %d//1 %d//1 %d//1\n", f[0]+1, f[1]+1, f[2]+1)
	}
	b.ReportAllocs()
	b.SetBytes(int64(text.Len()))
	for b.Loop() {
		if _, err := readBytes("a.obj", text.Bytes()); err != nil {
			b.Fatal(err)
		}
	}
}
