package mesh

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"
	"testing/iotest"
)

// facetText is one facet as text.
func facetText(vertices ...string) string {
	return "facet normal 0 0 1\nouter loop\nvertex " + strings.Join(vertices, "\nvertex ") + "\nendloop\nendfacet\n"
}

func TestSTLTextSamples(t *testing.T) {
	tests := []struct {
		file   string
		facets int
		notes  []string
	}{
		{"tetra_mixed_case.stl", 4, []string{"1 numbers have D", "1 numbers beyond the third"}},
		{"one_line.stl", 2, nil},
	}
	for _, tt := range tests {
		t.Run(tt.file, func(t *testing.T) {
			data, err := os.ReadFile("testdata/" + tt.file)
			if err != nil {
				t.Fatal(err)
			}
			f, err := readBytes(tt.file, data)
			if err != nil {
				t.Fatal(err)
			}
			if n := len(f.Items[0].Mesh.Facets); n != tt.facets || f.Format != "STL text" {
				t.Errorf("%s, %d facets, want %d", f.Format, n, tt.facets)
			}
			for _, want := range tt.notes {
				if !strings.Contains(strings.Join(f.Notes, " "), want) {
					t.Errorf("notes %q, want %q", f.Notes, want)
				}
			}
		})
	}
}

func TestSTLTextMeasures(t *testing.T) {
	data, err := os.ReadFile("testdata/tetra_mixed_case.stl")
	if err != nil {
		t.Fatal(err)
	}
	f, err := readBytes("a.stl", data)
	if err != nil {
		t.Fatal(err)
	}
	if m := f.Items[0].Mesh; len(m.Vertices) != 4 || !near(m.Volume(), 1000.0/6, 1e-12) {
		t.Errorf("%d vertices, volume %v; want 4, %v", len(m.Vertices), m.Volume(), 1000.0/6)
	}
}

func TestSTLTextRefuses(t *testing.T) {
	good := facetText("0 0 0", "1 0 0", "0 1 0")
	tests := []struct{ name, text, want string }{
		{"decimal comma", "solid a\n" + facetText("0,0 0 0", "1 0 0", "0 1 0"), "line 4: \"0,0\" has a decimal comma"},
		{"no number", "solid a\n" + facetText("0 zero 0", "1 0 0", "0 1 0"), "line 4: \"zero\" is not a number"},
		{"infinite", "solid a\n" + facetText("0 0 0", "1 0 1e999", "0 1 0"), "line 5: \"1e999\" is not a"},
		{"not a number", "solid a\n" + facetText("0 0 0", "1 0 0", "0 NaN 0"), "line 6: \"NaN\" is not a finite number"},
		{"two corners", "solid a\n" + facetText("0 0 0", "1 0 0"), "line 6: \"endloop\" where vertex should stand"},
		{"two loops", "solid a\n" + strings.Replace(good, "endloop\n", "endloop\nouter loop\n", 1), "line 8: \"outer\" where endfacet should stand"},
		{"hexadecimal without exponent", "solid a\n" + facetText("0x10 0 0", "1 0 0", "0 1 0"), "line 4: \"0x10\" is not a number"},
		{"colours between facets", "solid a\n" + good + "color 1 0 0\n" + good, "line 9: \"color\" where a facet should stand"},
		{"only remarks", "made for a pump\nin steel\n", "no triangles"},
		{"two numbers", "solid a\n" + facetText("0 0", "1 0 0", "0 1 0"), "line 5: \"vertex\" is not a number"},
		{"cut off in the first facet", "solid a\nfacet normal 0 0 1 outer loop vertex 0 0", "line 2: the file is cut off before its first whole facet;"},
		{"nothing", "solid a\nendsolid a\n", "no triangles"},
		{"junk between facets", "solid a\n" + good + "gasket\n", "line 9: \"gasket\" where a facet should stand"},
		{"endless word", "solid a\nfacet normal 0 0 1 outer loop vertex " + strings.Repeat("7", 1<<20) + " 0 0", "not a"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			_, err := readBytes("a.stl", []byte(tt.text))
			if err == nil || !strings.HasPrefix(err.Error(), "a.stl: ") || !strings.Contains(err.Error(), tt.want) || !strings.Contains(err.Error(), ";") {
				t.Errorf("error %v, want %q", err, tt.want)
			}
		})
	}
}

// TestSTLTextAsItComes reads what programs and people make of the format, and says so.
func TestSTLTextAsItComes(t *testing.T) {
	good := facetText("0 0 0", "1 0 0", "0 1 0")
	square := facetText("0 0 0", "1 0 0", "1 1 0", "0 1 0")
	tests := []struct {
		name, text string
		facets     int
		area       float64
		notes      []string
	}{
		{"as it should", "solid a\n" + good + "endsolid a", 1, 0.5, nil},
		{"without endsolid", "solid a\n" + good + good, 2, 1, []string{"ends without endsolid after 2 facets, on line 16; facets may be missing"}},
		{"cut off in a facet", "solid a\n" + good + good[:40], 1, 0.5, []string{"cut off on line 11: only 1 whole facet before it was read"}},
		{"cut off in endsolid", "solid a\n" + good + "endsol", 1, 0.5, []string{"1 whole facet"}},
		{"cut off in endfacet", "solid a\n" + good + good + good[:len(good)-4], 2, 1, []string{"2 whole facets"}},
		{"cut off in a number", "solid a\n" + good + "facet normal 0 0 1 outer loop vertex 0 1e", 1, 0.5, []string{"1 whole facet"}},
		{"cut off in the second solid", "solid a\n" + good + "endsolid a\nsolid b\nfacet nor", 1, 0.5, []string{"1 whole facet", "holds 2 solids"}},
		{"cut off and filled with zeros", "solid a\n" + strings.Repeat(good, 60) + good[:40] + strings.Repeat("\x00", 512), 60, 30, []string{"60 whole facets"}},
		{"two solids", "solid a\n" + good + "endsolid a\nsolid b\n" + good + "endsolid b\n", 2, 1, []string{"holds 2 solids one after the other"}},
		{"two solids of one name, no end between", "solid a\n" + good + "solid a\n" + good + "endsolid a\n", 2, 1, []string{"holds 2 solids", "1 solid comes without an end"}},
		{"an empty solid beside", "solid a\nendsolid a\nsolid b\n" + good + "endsolid b\n", 1, 0.5, []string{"holds 2 solids"}},
		{"CR alone", strings.ReplaceAll("solid a\n"+good+good+"endsolid\n", "\n", "\r"), 2, 1, nil},
		{"a name with keywords", "solid facet plate vertex\n" + good + "endsolid facet plate vertex\n", 1, 0.5, nil},
		{"a byte order mark", "\xef\xbb\xbfsolid a\n" + good + "endsolid a", 1, 0.5, nil},
		{"remarks before the solid", "# pump rod guide\n; a solid part\n\nsolid a\n" + good + "endsolid a", 1, 0.5, []string{"8 words before the first solid passed over, from line 1 on"}},
		{"facets outside a solid", good + "solid a\n" + good + "endsolid a\n" + good, 3, 1.5, []string{"2 facets stand outside a solid, the first on line 1,"}},
		{"facets only", good + good, 2, 1, []string{"2 facets stand outside a solid"}},
		{"four corners", "solid a\n" + good + square + "endsolid a", 3, 1.5, []string{"1 facet has more than three corners, the first on line 9"}},
		{"five corners, hollow", "solid a\n" + facetText("0 0 0", "4 0 0", "1 1 0", "0 4 0", "-1 1 0") + "endsolid a", 3, 6, []string{"1 facet has more than three corners"}},
		{"four corners that cross", "solid a\n" + facetText("0 0 0", "2 2 0", "2 0 0", "0 3 0") + "endsolid a", 2, -1, []string{"1 facet crosses or touches its own edges"}},
		{"four corners that bend", "solid a\n" + facetText("0 0 0", "2 0 0", "2 2 1", "0 2 0") + "endsolid a", 2, -1, []string{"1 facet with more than three corners is not flat"}},
		{"hexadecimal", "solid a\n" + facetText("0x0p+0 0 0", "0x1p0 0 0", "0 0X1.0P+0 -0x0.0p-3") + "endsolid a", 1, 0.5, nil},
		{"hexadecimal with a fraction", "solid a\n" + facetText("0 0 0", "0x1.8p1 0 0", "0 0x.8p+1 0") + "endsolid a", 1, 1.5, nil},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			f, err := readBytes("a.stl", []byte(tt.text))
			if err != nil {
				t.Fatal(err)
			}
			m := f.Items[0].Mesh
			if n := len(m.Facets); n != tt.facets || tt.area >= 0 && !near(m.Area(), tt.area, 1e-12) {
				t.Errorf("%d facets, area %v", n, m.Area())
			}
			notes := slices.DeleteFunc(f.Notes, func(s string) bool {
				return strings.Contains(s, "no unit") || strings.Contains(s, "largest side") || strings.Contains(s, "stored normals")
			})
			all := strings.Join(notes, " ")
			if (len(tt.notes) == 0) != (len(notes) == 0) {
				t.Errorf("notes %q, want %q", notes, tt.notes)
			}
			for _, want := range tt.notes {
				if !strings.Contains(all, want) {
					t.Errorf("notes %q, want %q", notes, want)
				}
			}
		})
	}
	t.Logf("%d files", len(tests))
}

// TestSTLTextCutAnywhere cuts the text of a cube after each of its bytes: the whole
// facets are taken, that and how many is said, and nothing is closed that is missing.
func TestSTLTextCutAnywhere(t *testing.T) {
	if testing.Short() {
		t.Skip("short: numbers alone, and many of them")
	}
	text := textSTL(cubeShape(0, 0, 0, 10))
	last := strings.LastIndex(text, "endfacet") + len("endfacet")
	taken, refused := 0, 0
	for n := range last {
		whole := strings.Count(text[:n], "endfacet")
		f, err := readBytes("a.stl", []byte(text[:n]))
		if whole == 0 {
			if refused++; err == nil {
				t.Fatalf("cut after %d bytes: read", n)
			}
			continue
		}
		if err != nil {
			t.Fatalf("cut after %d bytes: %v", n, err)
		}
		taken++
		if got := len(f.Items[0].Mesh.Facets); got != whole || !strings.Contains(strings.Join(f.Notes, " "), count(whole, "whole facet before", "whole facets before")) && f.CutOff {
			t.Fatalf("cut after %d bytes: %d facets, want %d: %q", n, got, whole, f.Notes)
		}
		p, err := f.Part(context.Background())
		if whole < 3 { // all in one plane
			continue
		}
		if err != nil {
			t.Fatalf("cut after %d bytes: %v", n, err)
		}
		if !p.CutOff || p.Health.Watertight || len(p.Mesh.Facets) != whole {
			t.Fatalf("cut after %d bytes: cut off %v, closed %v, %d facets of %d: %q", n, p.CutOff, p.Health.Watertight, len(p.Mesh.Facets), whole, p.Health.Repairs)
		}
	}
	t.Logf("%d cuts: %d read as far as they go, %d refused", last, taken, refused)
}

// TestCutOffBehindAClosedBody has the file end in the second of two bodies: the first
// is closed, and the part is said to be cut off all the same.
func TestCutOffBehindAClosedBody(t *testing.T) {
	text := textSTL(cubeShape(0, 0, 0, 10))
	f, err := readBytes("a.stl", []byte(text+"solid b\nfacet normal 0 0 1\nouter loop\nvertex 20 "))
	if err != nil {
		t.Fatal(err)
	}
	p, err := f.Part(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	if !p.CutOff || !p.Health.Watertight {
		t.Errorf("cut off %v, closed %v; want both", p.CutOff, p.Health.Watertight)
	}
}

// A file without its last word is whole where its surface is closed.
func TestNoEndsolidIsNotCutOff(t *testing.T) {
	text := textSTL(cubeShape(0, 0, 0, 10))
	f, err := readBytes("a.stl", []byte(strings.TrimSuffix(text, "endsolid\n")))
	if err != nil {
		t.Fatal(err)
	}
	p, err := f.Part(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	if p.CutOff || !p.Health.Watertight {
		t.Errorf("cut off %v, closed %v", p.CutOff, p.Health.Watertight)
	}
}

// TestWordsAcrossBlocks has words and line ends fall on the seams between blocks.
func TestWordsAcrossBlocks(t *testing.T) {
	text := "alpha  beta\n\ngamma\r\n delta\t\n"
	w := newWordReader(iotest.OneByteReader(strings.NewReader(text)))
	var got []string
	for word := w.next(); word != nil; word = w.next() {
		got = append(got, fmt.Sprintf("%s@%d", word, w.line))
	}
	if want := "alpha@1 beta@1 gamma@3 delta@4"; strings.Join(got, " ") != want {
		t.Errorf("words %v, want %s", got, want)
	}
	if long := newWordReader(bytes.NewReader(bytes.Repeat([]byte("x"), 1<<20))).next(); len(long) != maxWord {
		t.Errorf("a word of %d bytes", len(long))
	}
}

func BenchmarkReadSTLText(b *testing.B) {
	m := torusShape(30, 8, 200, 100)
	var text bytes.Buffer
	text.WriteString("solid torus\n")
	for i := range m.Facets {
		p, q, r := m.Corners(i)
		fmt.Fprintf(&text, "  facet normal 0 0 0\n    outer loop\n      vertex %e %e %e\n      vertex %e %e %e\n      vertex %e %e %e\n    endloop\n  endfacet\n",
			p.X, p.Y, p.Z, q.X, q.Y, q.Z, r.X, r.Y, r.Z)
	}
	text.WriteString("endsolid torus\n")
	b.ReportAllocs()
	b.SetBytes(int64(text.Len()))
	for b.Loop() {
		if _, err := readBytes("a.stl", text.Bytes()); err != nil {
			b.Fatal(err)
		}
	}
}
