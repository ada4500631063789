package mesh

import (
	"bytes"
	"context"
	"fmt"
	"math"
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
		{"UTF-16", "v\x00 \x000\x00\n\x00", "holds a byte 0"},
		{"cut off in a vertex", objCube[:len(objCube)-4], "line 8: a vertex with 2 numbers"},
		{"endless line", "v 0 0 0\n# " + strings.Repeat("x", maxOBJLine), "line 2: longer than 4 megabytes"},
	}
	t.Logf("%d files", len(tests))
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
		{"no end of line", objCube + strings.TrimSpace(faces), "ends within line 14, which may be cut off"},
		{"a byte order mark", "\xef\xbb\xbf" + objCube + faces, ""},
		{"lines and points beside faces", objCube + faces + "l 1 2 3\np 1\np 2 3\n", "3 lines and points passed over"},
		{"words that there are not", objCube + "V 0 0 0\nvertex 1 2 3\n" + faces, "2 lines begin with words that OBJ does not have and were passed over, the first is line 9"},
		{"hexadecimal numbers", strings.ReplaceAll(objCube+faces, "v 10 ", "v 0x1.4p+3 "), ""},
		{"numbers with D", strings.ReplaceAll(objCube+faces, "v 10 ", "v 1.0D+01 "), "4 numbers have D for their exponent"},
		{"weights and colours", strings.ReplaceAll(strings.ReplaceAll(objCube, "\n", " 1 0.5 0.5\n"), "v 0 0 0 1", "v 0 0 0 2") + faces, ""},
		{"textures and normals", objCube + "vt 0 0\nvn 0 0 1\nf 1/1/1 4//1 3/1 2\n" + faces[len("f 1 4 3 2\n"):], ""},
		{"numbers that count back", objCube + "f -8 -5 -6 -7\n" + faces[len("f 1 4 3 2\n"):], ""},
		{"a face of two corners beside", objCube + faces + "f 1 2\n", "1 face with fewer than three corners passed over, the first on line 15"},
		{"a face that crosses itself", objCube + faces[:len(faces)-len("f 4 1 5 8\n")] + "f 4 1 5 8\nv 3 0 0\nv 4 0 0\nv 5 0 0\nv 4 0 0\nf 9 10 11 12\n", "1 face crosses or touches its own edges, the first on line 19"},
		{"a bent face", "v 20 0 0\nv 21 0 0\nv 21 1 0.2\nv 20 1 0\nv 20 0 0\n" + strings.NewReplacer("f 1 4 3 2", "f 6 9 8 7", "5 6 7 8", "10 11 12 13", "1 2 6 5", "6 7 11 10", "2 3 7 6", "7 8 12 11", "3 4 8 7", "8 9 13 12", "4 1 5 8", "9 6 10 13").Replace(objCube+faces) + "f 1 2 3 4\nf 4 3 2 1\n", "2 faces with more than three corners are not flat, the first on line 20"},
		{"groups, materials, smoothing", "mtllib a\no a\ng b\nusemtl c\ns 1\n" + objCube + faces, ""},
		{"a continuation at the end", objCube + faces + "\\", "ends within line 15"},
		{"comments after numbers", strings.ReplaceAll(objCube, "\n", " # corner\n") + faces, ""},
		{"curves", objCube + faces + "curv 0 1 1 2 3\n", "1 curved surface or curve passed over"},
	}
	t.Logf("%d files", len(tests))
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			f, err := readBytes("a.obj", []byte(tt.text))
			if err != nil {
				t.Fatal(err)
			}
			if v := f.Items[0].Mesh.Volume(); !near(v, 1000, 1e-4) {
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

// TestOBJLargeFaces reads a prism of two faces with 20 000 corners.
func TestOBJLargeFaces(t *testing.T) {
	if testing.Short() {
		t.Skip("short: numbers alone, and many of them")
	}
	const n = 20_000
	var v, low, high, sides bytes.Buffer
	low.WriteString("f")
	high.WriteString("f")
	for i := range n {
		s, c := math.Sincos(2 * math.Pi * float64(i) / n)
		r := 10 + float64(i/2%2)
		fmt.Fprintf(&v, "v %.6f %.6f 0\nv %.6f %.6f 5\n", r*c, r*s, r*c, r*s)
		fmt.Fprintf(&low, " %d", 2*(n-1-i)+1)
		fmt.Fprintf(&high, " %d", 2*i+2)
		j := (i + 1) % n
		fmt.Fprintf(&sides, "f %d %d %d %d\n", 2*i+1, 2*j+1, 2*j+2, 2*i+2)
	}
	f, err := readBytes("gear.obj", []byte(v.String()+low.String()+"\n"+high.String()+"\n"+sides.String()))
	if err != nil {
		t.Fatal(err)
	}
	m := f.Items[0].Mesh
	p, err := f.Part(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	want := m.Volume() // of the faces as written, whatever their triangles
	if len(m.Facets) != 2*(n-2)+2*n || !p.Health.Watertight || !near(p.Mesh.Volume(), want, 1e-6) || want < 5*math.Pi*100 || want > 5*math.Pi*121 {
		t.Errorf("%d facets, volume %v, %v of the part, %q", len(m.Facets), want, p.Mesh.Volume(), f.Notes)
	}
	if len(f.Notes) > 1 {
		t.Errorf("notes %q", f.Notes)
	}
}
