package headless_test

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"runtime"
	"runtime/metrics"
	"strings"
	"sync"
	"testing"
	"time"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/app/headless"
	"kilnpoise/mesh"
	"kilnpoise/mesh/meshtest"
	"kilnpoise/orient"
)

// peakHeap runs work and gives the most bytes of heap in use at any moment of it,
// above what was in use before, asked of the runtime every millisecond.
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

// advised is what came of a file.
type advised struct {
	report orient.Report
	err    error
	peak   uint64
}

// advise runs advise on a file, in the given directions only, without the furnace.
func advise(t testing.TB, path string) (a advised) {
	t.Helper()
	var out bytes.Buffer
	o := headless.Options{Part: path, JSON: true, NoFiles: true, NoFurnace: true, OnlyGiven: true, Shrink: &[3]float64{}}
	a.peak = peakHeap(t, func() { a.err = headless.Run(context.Background(), o, &out, &bytes.Buffer{}) })
	if a.err == nil {
		if err := json.Unmarshal(out.Bytes(), &a.report); err != nil {
			t.Fatal(err)
		}
	}
	return a
}

// check wants an advice with numbers that are numbers, or one clear sentence that
// names the file, and either in bounded memory.
func (a *advised) check(t *testing.T, path string) {
	t.Helper()
	info, err := os.Stat(path)
	if err != nil {
		t.Fatal(err)
	}
	if a.peak > allowance(info.Size()) {
		t.Errorf("%d MB at once for %d bytes", a.peak>>20, info.Size())
	}
	if a.err != nil {
		text := a.err.Error()
		if strings.ContainsAny(text, "\n\r") || len(text) > 500 || !strings.Contains(text, strings.TrimSuffix(filepath.Base(path), filepath.Ext(path))) {
			t.Errorf("not one sentence that names the file: %q", text)
		}
		return
	}
	if len(a.report.Candidates) == 0 {
		t.Fatal("an advice without candidates")
	}
	m := a.report.Candidates[0].Measures
	for _, v := range []float64{m.OverhangAreaMM2, m.SupportVolumeMM3, m.SupportContactMM2, m.HeightMM, m.FootprintMM2, m.TipAngleDeg, m.SagMM, a.report.Part.AreaMM2} {
		if math.IsNaN(v) || math.IsInf(v, 0) || v < 0 {
			t.Errorf("measures %+v", m)
			break
		}
	}
}

// TestHostileFolder advises on every file made to be hard.
func TestHostileFolder(t *testing.T) {
	if testing.Short() {
		t.Skip("short: some two hundred files")
	}
	t.Setenv("XDG_CONFIG_HOME", t.TempDir())
	folder := filepath.Join("..", "..", "..", "shared", "meshes", "hostile")
	if _, err := os.Stat(folder); err != nil {
		t.Skip("the folder ../shared with sample parts is absent")
	}
	advices, sentences := 0, 0
	err := filepath.WalkDir(folder, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		t.Run(d.Name(), func(t *testing.T) {
			a := advise(t, path)
			a.check(t, path)
			if a.err != nil {
				sentences++
			} else {
				advices++
			}
		})
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	t.Logf("%d advices, %d sentences", advices, sentences)
	if advices < 50 || sentences < 50 {
		t.Errorf("%d advices, %d sentences", advices, sentences)
	}
}

// TestHostileMade advises on files made here.
func TestHostileMade(t *testing.T) {
	t.Setenv("XDG_CONFIG_HOME", t.TempDir())
	cube := stl(t, meshtest.Block(10, 10, 10))
	claims := bytes.Clone(cube)
	copy(claims[80:84], "\xfe\xff\xff\xff")
	nan := bytes.Clone(cube)
	copy(nan[84+12:], "\x00\x00\xc0\x7f")
	solid := bytes.Clone(cube)
	copy(solid, "solid ")
	far := meshtest.Block(1e29, 1e29, 1e29).Transform(mesh.Identity(), r3.Vec{X: 1e30, Y: 1e30, Z: 1e30})
	one := &mesh.Mesh{Vertices: []r3.Vec{{}, {X: 10}, {Y: 10}}, Facets: [][3]int32{{0, 1, 2}}}
	tests := []struct {
		name string
		data []byte
		want string // of the sentence; "" for an advice
	}{
		{"nothing.stl", nil, "empty"},
		{"cut.stl", cube[:300], "cut off"},
		{"claims.stl", claims, "promises"},
		{"nan.stl", nan, "not a number"},
		{"far.stl", stl(t, far), "kilometre"},
		{"one.stl", stl(t, one), "one plane"},
		{"solid.stl", solid, ""},
		{"junk.3mf", []byte("PK\x03\x04 and no more"), "zip"},
		{"junk.obj", []byte("v 0 0 0\nf 1 2 3\n"), "vertex 2"},
		{"flat block.stl", stl(t, meshtest.Block(50, 50, 1e-4)), ""},
		{"needle.stl", stl(t, meshtest.Block(500, 0.01, 0.01)), "no volume"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			path := filepath.Join(t.TempDir(), tt.name)
			if err := os.WriteFile(path, tt.data, 0o600); err != nil {
				t.Fatal(err)
			}
			a := advise(t, path)
			a.check(t, path)
			if (tt.want == "") != (a.err == nil) || a.err != nil && !strings.Contains(a.err.Error(), tt.want) {
				t.Errorf("error %v, want %q", a.err, tt.want)
			}
		})
	}
}

func stl(t testing.TB, m *mesh.Mesh) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := mesh.WriteSTL(&b, m, "a hostile part"); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// TestCrossingCubes advises on two cubes that run through each other: volume, height,
// overhang, support and footprint are those of the whole.
func TestCrossingCubes(t *testing.T) {
	t.Setenv("XDG_CONFIG_HOME", t.TempDir())
	m := meshtest.Block(10, 10, 10)
	m.Append(meshtest.Block(10, 10, 10).Transform(mesh.Identity(), r3.Vec{X: 5, Z: 5}))
	twice := meshtest.Block(10, 10, 10)
	twice.Append(meshtest.Block(4, 4, 4).Transform(mesh.Identity(), r3.Vec{X: 3, Y: 3, Z: 3}))
	tests := []struct {
		name                                        string
		m                                           *mesh.Mesh
		volume, area, height, overhang, support, at float64
	}{
		{"one beside and above the other", m, 1750, 2*175 + 60*10, 15, 50, 250, 100},
		{"one within the other", twice, 1000, 600, 10, 0, 0, 100},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			a := advise(t, writePart(t, tt.m))
			if a.err != nil {
				t.Fatal(a.err)
			}
			c := &a.report.Candidates[0]
			for i := range a.report.Candidates {
				if a.report.Candidates[i].Origin == orient.AsLoaded {
					c = &a.report.Candidates[i]
				}
			}
			for name, v := range map[string][2]float64{
				"volume": {a.report.Part.VolumeMM3, tt.volume}, "area": {a.report.Part.AreaMM2, tt.area}, "height": {c.Measures.HeightMM, tt.height},
				"overhang": {c.Measures.OverhangAreaMM2, tt.overhang}, "support": {c.Measures.SupportVolumeMM3, tt.support}, "footprint": {c.Measures.FootprintMM2, tt.at},
			} {
				if math.Abs(v[0]-v[1]) > 1e-4*max(v[1], 1) {
					t.Errorf("%s %v, want %v", name, v[0], v[1])
				}
			}
			if !a.report.Part.Watertight || !strings.Contains(strings.Join(a.report.Part.Findings, " "), "made one surface") {
				t.Errorf("findings %q", a.report.Part.Findings)
			}
		})
	}
}

// stopper is standard error that ends the context after so many lines.
type stopper struct {
	cancel context.CancelFunc
	left   int
	after  []string // lines told after the end
}

func (s *stopper) Write(b []byte) (int, error) {
	switch s.left--; {
	case s.left == 0:
		s.cancel()
	case s.left < 0:
		s.after = append(s.after, string(b))
	}
	return len(b), nil
}

// TestAdviseStopsAnywhere ends the context at one step of the progress after the
// other: the whole ends with the context's error, and goes no step farther than the
// one that each of the goroutines was in.
func TestAdviseStopsAnywhere(t *testing.T) {
	t.Setenv("XDG_CONFIG_HOME", t.TempDir())
	m := meshtest.Torus(30, 8, 60)
	m.Append(meshtest.Sphere(10, 40).Transform(mesh.Identity(), r3.Vec{X: 31}))
	o := headless.Options{Part: writePart(t, m), JSON: true, NoFiles: true, FurnaceGrid: 500, Candidates: 2}
	whole := &stopper{cancel: func() {}}
	if err := headless.Run(context.Background(), o, &bytes.Buffer{}, whole); err != nil {
		t.Fatal(err)
	}
	steps := 0 // up to the verdict, which is told when all is done
	for _, line := range whole.after {
		if strings.Contains(line, " %  ") {
			steps++
		}
	}
	if steps < 10 {
		t.Fatalf("%d steps told", steps)
	}
	for k := 1; k < steps; k += 1 + steps/12 {
		ctx, cancel := context.WithCancel(context.Background())
		s := &stopper{cancel: cancel, left: k}
		err := headless.Run(ctx, o, &bytes.Buffer{}, s)
		if !errors.Is(err, context.Canceled) {
			t.Errorf("stopped at line %d of %d: %v", k, steps, err)
		}
		if most := 1 + runtime.GOMAXPROCS(0); len(s.after) > most {
			t.Errorf("stopped at line %d, %d more: %q", k, len(s.after), s.after)
		}
		cancel()
	}
}
