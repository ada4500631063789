package mesh

import (
	"context"
	"math"
	"runtime"
	"runtime/metrics"
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

// TestTenMillionFacets reads and mends a file of ten million facets within four
// times its size and 500 MB.
func TestTenMillionFacets(t *testing.T) {
	if testing.Short() {
		t.Skip("short: ten million facets take half a minute and 2 GB")
	}
	data := stlBytes(t, torusShape(30, 8, 5000, 1000))
	var p *Part
	var err error
	peak := peakHeap(t, func() {
		var f *File
		if f, err = readBytes("ring.stl", data); err == nil {
			p, err = f.Part(context.Background())
		}
	})
	if err != nil {
		t.Fatal(err)
	}
	t.Logf("%d MB of file: at most %d MB at once, %d allowed", len(data)>>20, peak>>20, allowance(int64(len(data)))>>20)
	if peak > allowance(int64(len(data))) {
		t.Errorf("%d MB", peak>>20)
	}
	if want := 2 * math.Pi * math.Pi * 30 * 64; !p.Health.Watertight || !near(p.Mesh.Volume(), want, 1e-4) {
		t.Errorf("volume %v, want about %v", p.Mesh.Volume(), want)
	}
}

// TestUniteMemory makes one of two bodies of 720 000 facets each, from a file that
// packs them well.
func TestUniteMemory(t *testing.T) {
	if testing.Short() {
		t.Skip("short: over a million facets take some ten seconds")
	}
	ring := torusShape(30, 8, 800, 450)
	data := written(t, "a.3mf", together(ring, ring.Transform(RotationAbout(r3.Vec{X: 1}, 1.1), r3.Vec{X: 52, Z: 1})))
	var p *Part
	var err error
	peak := peakHeap(t, func() {
		var f *File
		if f, err = readBytes("a.3mf", data); err == nil {
			p, err = f.Part(context.Background())
		}
	})
	if err != nil {
		t.Fatal(err)
	}
	t.Logf("%d MB of file: at most %d MB at once, %d allowed: %q", len(data)>>20, peak>>20, allowance(int64(len(data)))>>20, p.Health.Repairs)
	if peak > allowance(int64(len(data))) || len(p.Health.Steps) != 1 || !p.Health.Watertight {
		t.Errorf("%d MB, steps %q, findings %q", peak>>20, p.Health.Repairs, p.Health.Findings)
	}
}

// TestColumnsInBoundedMemory casts more and more lines through a tray of bodies seen
// from the side: they come to an end, never fewer of more, and what they find stays
// true.
func TestColumnsInBoundedMemory(t *testing.T) {
	if testing.Short() {
		t.Skip("short: numbers alone, and many of them")
	}
	tray := &Mesh{}
	for i := range 100 {
		tray.Append(boxShape(r3.Vec{X: 0, Y: 0, Z: float64(i)}, r3.Vec{X: 10, Y: 10, Z: float64(i) + 0.5}))
	}
	box := tray.Bounds()
	before := 0
	var c Columns
	for lines := 1 << 10; lines <= 1<<24; lines *= 4 {
		c.Fill(tray.Vertices, tray.Facets, box.Min, box.Max, lines)
		n := c.NX * c.NY
		if got := len(c.crossings); got != 200*n || got > mostCrossings*101/100 || cap(c.crossings) > mostCrossings*105/100 || cap(c.unsorted) > mostCrossings/4 {
			t.Errorf("%d lines meet %d facets, room for %d", n, got, cap(c.unsorted))
		}
		if n < before || n == before && lines <= 1<<20 {
			t.Errorf("%d lines of %d, but %d of a quarter", n, lines, before)
		}
		before = n
		if few := lines * 200; few <= mostCrossings/2 && n != lines {
			t.Errorf("%d lines of %d", n, lines)
		}
	}
}
