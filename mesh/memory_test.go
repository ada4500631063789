package mesh

import (
	"bytes"
	"context"
	"encoding/binary"
	"math"
	"runtime"
	"runtime/metrics"
	"strings"
	"sync"
	"testing"
	"time"

	"gonum.org/v1/gonum/spatial/r3"
)

// peakHeap runs work and gives the most bytes of heap in use at any moment of it,
// above what was in use before: the sum of what is reachable and what has not been
// swept yet, asked of the runtime every millisecond and once more at the end.
func peakHeap(t testing.TB, work func()) uint64 {
	t.Helper()
	heap := func() uint64 {
		s := []metrics.Sample{{Name: "/memory/classes/heap/objects:bytes"}}
		metrics.Read(s)
		return s[0].Value.Uint64()
	}
	runtime.GC()
	before := heap()
	peak := before
	stop := make(chan struct{})
	var wg sync.WaitGroup
	wg.Go(func() {
		tick := time.NewTicker(time.Millisecond)
		defer tick.Stop()
		for {
			select {
			case <-stop:
				return
			case <-tick.C:
				peak = max(peak, heap())
			}
		}
	})
	work()
	close(stop)
	wg.Wait()
	return max(peak, heap()) - before
}

// allowance is what a file of size bytes may take: four times its size and 500 MB.
func allowance(size int64) uint64 { return uint64(4*size + 500<<20) }

// binarySTL writes a binary STL of claimed facets that holds those of m.
func binarySTL(claimed uint32, m *Mesh) []byte {
	out := binary.LittleEndian.AppendUint32(make([]byte, 80, 84+50*len(m.Facets)), claimed)
	for i := range m.Facets {
		a, b, c := m.Corners(i)
		for _, v := range []r3.Vec{{}, a, b, c} {
			for _, x := range []float64{v.X, v.Y, v.Z} {
				out = binary.LittleEndian.AppendUint32(out, math.Float32bits(float32(x)))
			}
		}
		out = append(out, 0, 0)
	}
	return out
}

// manyBodies is n cubes apart from each other.
func manyBodies(n int) *Mesh {
	m := &Mesh{}
	side := int(math.Ceil(math.Cbrt(float64(n))))
	for i := range n {
		m.Append(cubeShape(float64(3*(i%side)), float64(3*(i/side%side)), float64(3*(i/side/side)), 2))
	}
	return m
}

// TestHostileFilesStayInBounds reads files that lie, repeat or exaggerate: each gives a
// part or one sentence, and never takes more memory than four times the file and
// 500 MB, as the runtime tells it.
func TestHostileFilesStayInBounds(t *testing.T) {
	cube := cubeShape(0, 0, 0, 10)
	scaled := func(k float64) *Mesh { return cube.Transform(Diagonal(r3.Vec{X: k, Y: k, Z: k}), r3.Vec{}) }
	odd := cubeShape(0, 0, 0, 10)
	odd.Vertices[0].X = math.NaN()
	solid := binarySTL(12, cube)
	copy(solid, "solid but binary")
	text := "solid s\rfacet normal 0 0 1\router loop\rvertex 0,5 0 0\rvertex 1,5 0 0\rvertex 0 1,5 0\rendloop\rendfacet\rendsolid s\r"
	for _, tt := range []struct {
		name, file string
		data       []byte
		part       bool // or a refusal
	}{
		{"four billion facets claimed", "claims.stl", binarySTL(math.MaxUint32, cube), true}, // as many as there are, with a note,
		{"cut off in the middle of a facet", "cut.stl", binarySTL(12, cube)[:84+50*7+11], false},
		{"a corner that is no number", "nan.stl", binarySTL(12, odd), false},
		{"near 1e30", "huge.stl", binarySTL(12, scaled(1e29)), false},
		{"near 1e-30", "tiny.stl", binarySTL(12, scaled(1e-31)), false},
		{"empty", "empty.stl", nil, false},
		{"one facet", "one.stl", binarySTL(1, &Mesh{Vertices: cube.Vertices, Facets: cube.Facets[:1]}), false},
		{"binary that begins with solid", "solid.stl", solid, true},
		{"text with old line ends and decimal commas", "old.stl", []byte(text), false},
		{"corners that are not there", "missing.obj", []byte("v 0 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 9\n"), false},
		{"ten thousand bodies", "many.stl", binarySTL(120_000, manyBodies(10_000)), true},
	} {
		t.Run(tt.name, func(t *testing.T) {
			var err error
			var part *Part
			peak := peakHeap(t, func() { part, err = readWhole(t, tt.file, tt.data) })
			if most := allowance(int64(len(tt.data))); peak > most {
				t.Errorf("%d MB were in use at once, want at most %d", peak>>20, most>>20)
			}
			switch {
			case tt.part && err != nil:
				t.Errorf("refused: %v", err)
			case !tt.part && err == nil:
				t.Errorf("a part of %d facets was made of it", len(part.Mesh.Facets))
			case err != nil && strings.ContainsAny(err.Error(), "\n\r"):
				t.Errorf("the refusal takes several lines: %q", err)
			}
			if tt.file == "many.stl" && err == nil && part.Health.Bodies != 10_000 {
				t.Errorf("%d bodies, want 10 000", part.Health.Bodies)
			}
		})
	}
}

func readWhole(t testing.TB, name string, data []byte) (*Part, error) {
	t.Helper()
	f, err := Read(context.Background(), name, bytes.NewReader(data), int64(len(data)), ReadOptions{})
	if err != nil {
		return nil, err
	}
	return f.Part(context.Background())
}

// TestTenMillionFacets reads a file of ten million facets within four times its size
// and 500 MB.
func TestTenMillionFacets(t *testing.T) {
	if testing.Short() {
		t.Skip("short: ten million facets take a while and 2 GB")
	}
	data := binarySTL(10_000_000, torusShape(30, 10, 2500, 2000))
	runtime.GC()
	var part *Part
	var err error
	peak := peakHeap(t, func() { part, err = readWhole(t, "ring.stl", data) })
	if err != nil {
		t.Fatal(err)
	}
	if most := allowance(int64(len(data))); peak > most {
		t.Errorf("%d MB were in use at once, want at most %d", peak>>20, most>>20)
	}
	t.Logf("%d facets read and checked with %d MB in use at most, file %d MB", len(part.Mesh.Facets), peak>>20, len(data)>>20)
}
