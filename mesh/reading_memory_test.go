package mesh

import (
	"bytes"
	"context"
	"encoding/binary"
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
)

// shapeFile is a file of a shape that takes memory in a way of its own.
type shapeFile struct {
	name string
	data func() []byte
}

// repeatedSTL is a binary STL of n equal facets.
func repeatedSTL(t testing.TB, n int) []byte {
	one := stlBytes(t, &Mesh{Vertices: []r3.Vec{{}, {X: 1}, {Y: 1}}, Facets: [][3]int32{{0, 1, 2}}})
	head := bytes.Clone(one[:stlHeaderSize])
	binary.LittleEndian.PutUint32(head[stlHeaderSize-4:], uint32(n))
	return append(head, bytes.Repeat(one[stlHeaderSize:], n)...)
}

// apartShape is n triangles of which no two touch.
func apartShape(n int) *Mesh {
	m := &Mesh{}
	rnd := rand.New(rand.NewPCG(1, 2))
	for i := range int32(n) {
		a := r3.Vec{X: float64(i % 500), Y: float64(i / 500), Z: rnd.Float64()}
		m.Vertices = append(m.Vertices, a, r3.Add(a, r3.Vec{X: 0.5}), r3.Add(a, r3.Vec{Y: 0.5}))
		m.Facets = append(m.Facets, [3]int32{3 * i, 3*i + 1, 3*i + 2})
	}
	return m
}

// objOf writes m as OBJ.
func objOf(m *Mesh) []byte {
	var b bytes.Buffer
	for _, v := range m.Vertices {
		fmt.Fprintf(&b, "v %.4f %.4f %.4f\n", v.X, v.Y, v.Z)
	}
	for _, f := range m.Facets {
		fmt.Fprintf(&b, "f %d %d %d\n", f[0]+1, f[1]+1, f[2]+1)
	}
	return b.Bytes()
}

// tangledOBJ has n facets between few corners: most of them meet others on every
// edge.
func tangledOBJ(n int) []byte {
	var b bytes.Buffer
	rnd := rand.New(rand.NewPCG(1, 2))
	corners := n / 500
	for range corners {
		fmt.Fprintf(&b, "v %.3f %.3f %.3f\n", rnd.Float64(), rnd.Float64(), rnd.Float64())
	}
	for range n {
		fmt.Fprintf(&b, "f %d %d %d\n", 1+rnd.IntN(corners), 1+rnd.IntN(corners), 1+rnd.IntN(corners))
	}
	return b.Bytes()
}

func shapeFiles(t testing.TB) []shapeFile {
	ring := func() *Mesh { return torusShape(30, 8, 500, 250) }
	apart := func() *Mesh { return apartShape(60_000) }
	return []shapeFile{
		{"ring.stl", func() []byte { return stlBytes(t, ring()) }},
		{"ring text.stl", func() []byte { return []byte(textSTL(ring())) }},
		{"ring.obj", func() []byte { return objOf(ring()) }},
		{"ring.3mf", func() []byte { return written(t, "a.3mf", ring()) }},
		{"equal.stl", func() []byte { return repeatedSTL(t, 300_000) }},
		{"equal.obj", func() []byte { return []byte(objCube + strings.Repeat("f 1 2 3 4 5 6 7\n", 60_000)) }},
		{"apart.stl", func() []byte { return stlBytes(t, apart()) }},
		{"apart text.stl", func() []byte { return []byte(textSTL(apart())) }},
		{"apart.obj", func() []byte { return objOf(apart()) }},
		{"apart.3mf", func() []byte { return written(t, "a.3mf", apart()) }},
		{"tangled.obj", func() []byte { return tangledOBJ(150_000) }},
		{"unused.obj", func() []byte {
			return []byte(strings.Repeat("v 0 0 0\n", 400_000) + objCube + "f -8 -7 -6\nf -8 -7 -4\nf -8 -6 -4\nf -7 -6 -4\n")
		}},
	}
}

// TestMemoryOfReading holds the memory that reading and mending take against what
// is counted for facets, vertices and pieces. What does not grow with the file gets
// a little of its own.
func TestMemoryOfReading(t *testing.T) {
	if testing.Short() {
		t.Skip("short: numbers alone, and many of them")
	}
	const base = 12 << 20
	files := shapeFiles(t)
	for _, tt := range files {
		var f *File
		var err error
		data := tt.data()
		peak := peakHeap(t, func() {
			if f, err = readBytes(tt.name, data); err == nil {
				_, _ = f.Part(context.Background())
			}
		})
		if err != nil {
			t.Errorf("%s: %v", tt.name, err)
			continue
		}
		counted := uint64(f.room.allowed - f.room.left + pieceMemory*int64(piecesOf(f.Items[0].Mesh)))
		t.Logf("%s, %d MB: at most %d MB at once, %d counted", tt.name, len(data)>>20, peak>>20, counted>>20)
		if peak > counted+uint64(len(data))+base { // the file itself lets garbage gather
			t.Errorf("%s: %d bytes at once, %d counted", tt.name, peak, counted)
		}
	}
	t.Logf("%d files", len(files))
}

func piecesOf(m *Mesh) int {
	p, err := findPatches(context.Background(), NewTopology(Weld(m)))
	if err != nil {
		return 0
	}
	return len(p.list)
}

// TestRoom has small files that unfold to very much, in every format, and such as are kept
// packed.
func TestRoom(t *testing.T) {
	if testing.Short() {
		t.Skip("short: numbers alone, and many of them")
	}
	tests := []struct {
		name         string
		data         func() []byte
		packed       int64
		read, mended string // words of the refusal
		large        bool
	}{
		{"faces.obj", func() []byte { return []byte(objCube + strings.Repeat("f 1 2 3 4 5 6 7\n", 40<<20/16)) }, 0, "facets, 8 vertices take more memory than a file of this size may (660 MB)", "", false},
		{"vertices.obj", func() []byte { return bytes.Repeat([]byte("v 0 0 0\n"), 48<<20/8) }, 0, "vertices take more memory", "", false},
		{"packed vertices.obj", func() []byte { return bytes.Repeat([]byte("v 0 0 0\n"), 24<<20/8) }, 86 << 10, "vertices take more memory", "", false},
		{"packed comments.obj", func() []byte {
			return append(objOf(cubeShape(0, 0, 0, 10)), bytes.Repeat([]byte("# x\n"), 80<<20/4)...)
		}, 86 << 10, "", "", false},
		{"packed.stl", func() []byte { return repeatedSTL(t, 1_500_000) }, 86 << 10, "", "one plane", false},
		{"packed, more.stl", func() []byte { return repeatedSTL(t, 4_500_000) }, 86 << 10, "facets, 3 vertices take more memory than a file of this size may (500 MB)", "", false},
		{"apart.stl", func() []byte { return stlBytes(t, apartShape(900_000)) }, 0, "", "900000 pieces of surface take more memory", false},
		{"equal.stl", func() []byte { return repeatedSTL(t, 1_000_000) }, 0, "", "one plane", false},
		{"equal, large.stl", func() []byte { return repeatedSTL(t, 5_000_000) }, 0, "", "one plane", true},
	}
	t.Logf("%d files", len(tests))
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			if tt.large && testing.Short() {
				t.Skip("short: a file of 238 MB")
			}
			data := tt.data()
			size, packed := int64(len(data)), tt.packed
			if packed == 0 {
				packed = size
			}
			var f *File
			var readErr, mendErr error
			peak := peakHeap(t, func() {
				f, readErr = Read(context.Background(), tt.name, bytes.NewReader(data), size, ReadOptions{Packed: tt.packed})
				if readErr == nil {
					_, mendErr = f.Part(context.Background())
				}
			})
			if tt.packed > 0 {
				peak += uint64(size) // what it unpacks to is held beside
			}
			t.Logf("%d MB, %d MB packed: at most %d MB at once, %d allowed", size>>20, tt.packed>>20, peak>>20, allowance(packed)>>20)
			if peak > allowance(packed) {
				t.Errorf("%d MB", peak>>20)
			}
			for _, e := range []struct {
				err  error
				want string
			}{{readErr, tt.read}, {mendErr, tt.mended}} {
				if (e.err == nil) != (e.want == "") || e.err != nil && !strings.Contains(e.err.Error(), e.want) {
					t.Errorf("error %v, want %q", e.err, e.want)
				}
				if e.err != nil {
					checkSentence(t, tt.name, e.err)
				}
			}
		})
	}
}

// TestPilesLeaveTheSolid mends a cube whose facets are stored over and over, an odd
// or an even number of times.
func TestPilesLeaveTheSolid(t *testing.T) {
	for _, copies := range []int{pileHeight - 1, pileHeight, pileHeight + 1, pileHeight + 2, 1000} {
		m := &Mesh{}
		for range copies {
			m.Append(cubeShape(0, 0, 0, 10))
		}
		whole, h, err := Mend(context.Background(), m)
		if err != nil {
			t.Fatal(err)
		}
		if v := whole.Volume(); v != 1000 || !h.Watertight || h.Duplicates != 12*(copies-1) {
			t.Errorf("%d copies: volume %v, closed %v, %d copies taken out: %q", copies, v, h.Watertight, h.Duplicates, h.Repairs)
		}
	}
}
