package assets

import (
	"encoding/binary"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

func TestPartsAreSound(t *testing.T) {
	for _, d := range DemoParts() {
		t.Run(d.ID, func(t *testing.T) {
			facets := readPart(t, d)
			least, most := 2000, 20000
			if d.ID == "creep-coupon" {
				least = 60 // flat faces on purpose
			}
			if n := len(facets); n < least || n > most {
				t.Errorf("%d facets, want %d to %d", n, least, most)
			}
			checkClosed(t, facets)
			if v := volume(facets); v <= 0 {
				t.Errorf("volume = %g mm3, want it positive: facets face inward", v)
			}
			size := extent(facets)
			for i, s := range size {
				if s < 15 || s > 110 {
					t.Errorf("size along axis %d = %.1f mm, want 15 to 110", i, s)
				}
			}
			t.Logf("%d facets, %.1f x %.1f x %.1f mm, %.0f mm3", len(facets), size[0], size[1], size[2], volume(facets))
		})
	}
}

// readPart reads the binary STL of a demo part.
func readPart(t *testing.T, d Demo) []facet {
	t.Helper()
	data, err := d.Mesh()
	if err != nil {
		t.Fatal(err)
	}
	if len(data) < 84 || strings.HasPrefix(string(data), "solid") {
		t.Fatalf("%s is not a binary STL file", d.File)
	}
	n := int(binary.LittleEndian.Uint32(data[80:]))
	if want := 84 + 50*n; len(data) != want {
		t.Fatalf("%s has %d bytes, want %d for %d facets", d.File, len(data), want, n)
	}
	facets := make([]facet, n)
	for i := range facets {
		at := data[84+50*i+12:]
		for k := range 9 {
			facets[i][k/3][k%3] = math.Float32frombits(binary.LittleEndian.Uint32(at[4*k:]))
		}
	}
	return facets
}

// checkClosed wants each directed edge once and its reverse once, vertices told
// apart exactly, and no facet without area.
func checkClosed(t *testing.T, facets []facet) {
	t.Helper()
	type edge [2][3]float32
	count := map[edge]int{}
	for i, f := range facets {
		if f.cross() == [3]float64{} {
			t.Errorf("facet %d has no area", i)
		}
		for k := range 3 {
			count[edge{f[k], f[(k+1)%3]}]++
		}
	}
	bad := 0
	for e, n := range count {
		if n != 1 || count[edge{e[1], e[0]}] != 1 {
			bad++
		}
	}
	if bad > 0 {
		t.Errorf("%d edges are not shared by exactly two facets facing the same way", bad)
	}
}

// volume is the sum of signed tetrahedra, mm3.
func volume(facets []facet) float64 {
	var six float64
	for _, f := range facets {
		c := f.cross()
		for i := range 3 {
			six += float64(f[0][i]) * c[i]
		}
	}
	return six / 6
}

// extent is the size of the bounding box, mm.
func extent(facets []facet) [3]float64 {
	inf := math.Inf(1)
	low, high := [3]float64{inf, inf, inf}, [3]float64{-inf, -inf, -inf}
	for _, f := range facets {
		for _, v := range f {
			for i := range 3 {
				low[i] = min(low[i], float64(v[i]))
				high[i] = max(high[i], float64(v[i]))
			}
		}
	}
	return [3]float64{high[0] - low[0], high[1] - low[1], high[2] - low[2]}
}

// shells counts the connected surfaces, with the sign of the volume each encloses.
func shells(facets []facet) (solid, void int) {
	parent := map[[3]float32][3]float32{}
	root := func(v [3]float32) [3]float32 {
		for {
			p, ok := parent[v]
			if !ok || p == v {
				return v
			}
			if g, ok := parent[p]; ok {
				parent[v] = g
			}
			v = p
		}
	}
	for _, f := range facets {
		parent[root(f[0])] = root(f[1])
		parent[root(f[1])] = root(f[2])
	}
	group := map[[3]float32][]facet{}
	for _, f := range facets {
		r := root(f[0])
		group[r] = append(group[r], f)
	}
	for _, g := range group {
		if volume(g) > 0 {
			solid++
		} else {
			void++
		}
	}
	return solid, void
}

// Only the poppet has an enclosed void, and every part is one body.
func TestBodiesAndVoids(t *testing.T) {
	for _, d := range DemoParts() {
		want := 0
		if d.ID == "check-poppet" {
			want = 1
		}
		if solid, void := shells(readPart(t, d)); solid != 1 || void != want {
			t.Errorf("%s: %d bodies and %d voids, want 1 and %d", d.ID, solid, void, want)
		}
	}
}

// Each mesh has its source beside it, and no mesh is left over.
func TestEachPartHasItsSource(t *testing.T) {
	files, err := fs.Glob(Parts(), "*.stl")
	if err != nil {
		t.Fatal(err)
	}
	if len(files) != len(DemoParts()) {
		t.Errorf("%d meshes, %d demo parts", len(files), len(DemoParts()))
	}
	for _, d := range DemoParts() {
		if _, err := os.Stat(filepath.Join("parts", d.ID+".scad")); err != nil {
			t.Errorf("%s has no source: %v", d.ID, err)
		}
		if d.Title == "" || d.Story == "" {
			t.Errorf("%s has no title or story", d.ID)
		}
	}
}
