package window

import (
	"os"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
	"testing"
	"time"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/app/job"
	"kilnpoise/mesh/meshtest"
)

// soakParts is how many parts one window works through; KILNPOISE_SOAK asks for more:
// 200 take about an hour with the furnace of real parts, a few minutes with these.
func soakParts(t *testing.T) int {
	t.Helper()
	if asked := os.Getenv("KILNPOISE_SOAK"); asked != "" {
		n, err := strconv.Atoi(asked)
		if err != nil {
			t.Fatal(err)
		}
		return n
	}
	if testing.Short() {
		return 6
	}
	return 15
}

// use is what a process takes, with nothing lying about.
func use() (goroutines int, heapMB float64) {
	for range 3 {
		runtime.GC()
		time.Sleep(20 * time.Millisecond) // timers of the toolkit and finalizers
	}
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	return runtime.NumGoroutine(), float64(m.HeapAlloc) / 1e6
}

// One window works through many parts: opened, advised, marked, saved, handed over and
// left. Goroutines and heap come back to where they were, and nothing temporary stays.
func TestTheSecondHalfOfAWeek(t *testing.T) {
	n := soakParts(t)
	parts, out, state, jobs := t.TempDir(), t.TempDir(), filepath.Join(t.TempDir(), "state"), t.TempDir()
	b := newBench(t, &scripted{}, 1000, 700)
	b.keepJobsIn(state)
	const warm = 3 // caches of the toolkit fill with the first parts
	var goroutines int
	var heap float64
	for i := range n {
		name := "part" + strconv.Itoa(i)
		path := filepath.Join(parts, name+".stl")
		k := float64(i%7 + 5)
		writeSTL(t, path, meshtest.Blocks([]float64{0, 12, 20, 32}, []float64{0, 12, 20, 32}, []float64{0, 2 * k, 2*k + 6},
			func(i, j, k int) bool { return k == 1 || i == 1 && j == 1 }))
		b.soakOne(path, filepath.Join(jobs, name+job.Extension), out)
		if i == warm-1 {
			goroutines, heap = use()
		}
	}
	nowGoroutines, nowHeap := use()
	t.Logf("%d parts: goroutines %d and %d, heap %.1f and %.1f MB", n, goroutines, nowGoroutines, heap, nowHeap)
	if nowGoroutines > goroutines+4 {
		t.Errorf("%d goroutines after %d parts, %d after %d", nowGoroutines, n, goroutines, warm)
	}
	if nowHeap > 1.25*heap+10 {
		t.Errorf("%.1f MB after %d parts, %.1f after %d", nowHeap, n, heap, warm)
	}
	b.close()
	if err := b.end(); err != nil {
		t.Error(err)
	}
	for _, root := range []string{parts, out, jobs, filepath.Dir(state)} {
		checkNothingTemporary(t, root)
	}
}

// soakOne does one of everything with a part.
func (b *bench) soakOne(path, jobPath, out string) {
	b.t.Helper()
	name := strings.TrimSuffix(filepath.Base(path), ".stl")
	b.openPath(path)
	b.until("the part", func() bool { return b.desk.part != nil && b.desk.part.Name == name })
	b.waitAdvised()
	b.beginMarking()
	b.until("the part to be ready for marks", func() bool { return b.desk.surface != nil })
	b.facePicked(facetFacing(b.t, b.desk.part.Mesh, r3.Vec{Z: 1}))
	b.brief.marks.keepIt()
	b.endMarking()
	b.until("the advice with the mark", func() bool { return !b.busy() && len(b.desk.advice.Brief.Marks.Faces) > 0 })
	b.win.Canvas().Capture()
	b.choose(1)
	b.takeNotes("of " + name)
	b.handOver(handChoice{folder: out, name: name, threeMF: true, stl: true})
	b.endHandOver()
	b.save(jobPath)
	b.settle()
}

// checkNothingTemporary fails for hidden files but the list of what was handed over.
func checkNothingTemporary(t *testing.T, root string) {
	t.Helper()
	err := filepath.WalkDir(root, func(path string, d os.DirEntry, err error) error {
		if name := d.Name(); err == nil && path != root && (strings.HasPrefix(name, ".") && name != ".kilnpoise-set.json" || strings.HasSuffix(name, ".lock")) {
			t.Errorf("%s stays", path)
		}
		return err
	})
	if err != nil && !os.IsNotExist(err) {
		t.Error(err)
	}
}
