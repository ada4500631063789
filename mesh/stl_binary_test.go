package mesh

import (
	"bytes"
	"context"
	"encoding/binary"
	"math"
	"slices"
	"strings"
	"testing"
)

func TestFacetsPresent(t *testing.T) {
	const unknown = math.MaxUint32
	tests := []struct {
		name   string
		stated uint32
		size   int64
		want   uint32
		note   string
		err    string
	}{
		{"as stated", 12, stlSize(12), 12, "", ""},
		{"fewer stated", 5, stlSize(12), 12, "all 12 were read", ""},
		{"none stated", 0, stlSize(12), 12, "all 12 were read", ""},
		{"not filled in", unknown, stlSize(12), 12, "all 12 were read", ""},
		{"not filled in, odd end", unknown, stlSize(12) + 7, 12, "all 12 were read", ""},
		{"more after it", 12, stlSize(12) + 684, 12, "684 bytes after", ""},
		{"cut off", 12, stlSize(7), 0, "", "only 7 are there"},
		{"cut off within a facet", 12, stlSize(11) + 49, 0, "", "only 11 are there"},
		{"absurd", 1 << 31, stlSize(3), 0, "", "only 3 are there"},
		{"empty", 0, stlSize(0), 0, "", "no triangles"},
		{"empty, promised", 12, stlSize(0), 0, "", "no triangles"},
		{"too many", 0, stlSize(maxFacets + 1), 0, "", "million facets"},
		{"too many, stated", maxFacets + 1, stlSize(maxFacets + 1), 0, "", "million facets"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			n, notes, err := facetsPresent(tt.stated, tt.size)
			if tt.err != "" {
				if err == nil || !strings.Contains(err.Error(), tt.err) {
					t.Fatalf("error %v, want %q", err, tt.err)
				}
				return
			}
			if err != nil || n != tt.want || (tt.note == "") != (len(notes) == 0) || !strings.Contains(strings.Join(notes, ""), tt.note) {
				t.Errorf("%d, %q, %v; want %d, %q", n, notes, err, tt.want, tt.note)
			}
		})
	}
}

// TestSTLClaimsCostNothing has headers that promise gigabytes.
func TestSTLClaimsCostNothing(t *testing.T) {
	data := stlBytes(t, cubeShape(0, 0, 0, 1))
	for _, n := range []uint32{1 << 24, 1 << 31, math.MaxUint32} {
		binary.LittleEndian.PutUint32(data[80:], n)
		allocated := testing.AllocsPerRun(1, func() { _, _ = readBytes("a.stl", data) })
		if allocated > 1000 {
			t.Errorf("%d facets promised: %v allocations", n, allocated)
		}
		var before, after runtimeBytes
		before.read()
		_, _ = readBytes("a.stl", data)
		if after.read(); after.total-before.total > 8<<20 {
			t.Errorf("%d facets promised: %d bytes set aside", n, after.total-before.total)
		}
	}
}

func TestSTLNormals(t *testing.T) {
	m := cubeShape(0, 0, 0, 1)
	data := stlBytes(t, m)
	for i := range 5 { // turn the normals of five facets over
		at := 84 + 50*i
		for k := range 3 {
			v := math.Float32frombits(binary.LittleEndian.Uint32(data[at+4*k:]))
			binary.LittleEndian.PutUint32(data[at+4*k:], math.Float32bits(-v))
		}
	}
	f, err := readBytes("a.stl", data)
	if err != nil {
		t.Fatal(err)
	}
	if !slices.ContainsFunc(f.Notes, func(s string) bool { return strings.Contains(s, "5 of 12 facets") }) {
		t.Errorf("notes %q", f.Notes)
	}
	if got := f.Items[0].Mesh.Volume(); got != 1 {
		t.Errorf("volume %v: the winding was not believed", got)
	}
}

// TestSTLBehindAnother tells two binary files that were copied into one from other
// bytes behind the facets.
func TestSTLBehindAnother(t *testing.T) {
	one, two := stlBytes(t, cubeShape(0, 0, 0, 1)), stlBytes(t, torusShape(30, 8, 6, 5))
	tests := []struct {
		name string
		data []byte
		note string
	}{
		{"two", slices.Concat(one, two), "another STL of 60 facets, which was not read"},
		{"three", slices.Concat(one, two, one), "another STL of 60 facets, which was not read"},
		{"other bytes", slices.Concat(one, bytes.Repeat([]byte{1}, 684)), ""},
		{"zeros", slices.Concat(one, make([]byte, 684)), ""},
		{"few bytes", slices.Concat(one, two[:40]), ""},
	}
	for _, tt := range tests {
		f, err := readBytes("a.stl", tt.data)
		if err != nil {
			t.Errorf("%s: %v", tt.name, err)
			continue
		}
		notes := strings.Join(f.Notes, " ")
		if len(f.Items[0].Mesh.Facets) != 12 || !strings.Contains(notes, "bytes after the last of the 12 facets") || strings.Contains(notes, "another STL") != (tt.note != "") || !strings.Contains(notes, tt.note) {
			t.Errorf("%s: %d facets, notes %q", tt.name, len(f.Items[0].Mesh.Facets), f.Notes)
		}
	}
	t.Logf("%d files", len(tests))
}

func TestSTLNamesFacet(t *testing.T) {
	for _, bad := range []float64{math.NaN(), math.Inf(1), math.Inf(-1)} {
		data := stlBytes(t, cubeShape(0, 0, 0, 1))
		binary.LittleEndian.PutUint32(data[84+50*6+12:], math.Float32bits(float32(bad)))
		_, err := readBytes("a.stl", data)
		if err == nil || !strings.Contains(err.Error(), "facet 7") {
			t.Errorf("%v: %v", bad, err)
		}
	}
}

// largeSTL is a binary STL of 1.3 million facets.
func largeSTL(b *testing.B) []byte { return stlBytes(b, torusShape(30, 8, 1300, 500)) }

func BenchmarkReadSTL1300k(b *testing.B) {
	data := largeSTL(b)
	b.ReportAllocs()
	b.SetBytes(int64(len(data)))
	for b.Loop() {
		if _, err := readBytes("a.stl", data); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkReadAndMend1300k is the whole way from the bytes to a sound part.
func BenchmarkReadAndMend1300k(b *testing.B) {
	data := largeSTL(b)
	b.ReportAllocs()
	for b.Loop() {
		f, err := Read(context.Background(), "a.stl", bytes.NewReader(data), int64(len(data)), ReadOptions{})
		if err != nil {
			b.Fatal(err)
		}
		if _, err := f.Part(context.Background()); err != nil {
			b.Fatal(err)
		}
	}
}
