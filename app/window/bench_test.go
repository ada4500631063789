package window

import (
	"context"
	"io"
	"os"
	"path/filepath"
	"sync"
	"testing"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/test"
	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/app/fault"
	"kilnpoise/assets"
	"kilnpoise/mesh"
	"kilnpoise/orient"
	"kilnpoise/orient/process"
)

// queue stands for the UI goroutine's queue: what workers post is run by the
// test's own goroutine, so that only one goroutine touches the window.
type queue struct {
	mu   sync.Mutex
	todo []func()
}

func (q *queue) post(f func()) {
	q.mu.Lock()
	defer q.mu.Unlock()
	q.todo = append(q.todo, f)
}

// drain runs what was posted, and reports whether there was anything.
func (q *queue) drain() bool {
	q.mu.Lock()
	todo := q.todo
	q.todo = nil
	q.mu.Unlock()
	for _, f := range todo {
		f()
	}
	return len(todo) > 0
}

// bench is a window under test.
type bench struct {
	*mainWindow
	t *testing.T
	q *queue
}

// newBench makes a window of that size with the real engine or a fake.
func newBench(t *testing.T, e engine, width, height float32) *bench {
	t.Helper()
	a := test.NewTempApp(t)
	records := process.OpenLibrary(assets.Records(), t.TempDir())
	w := newWindow(a, e, records, Options{Version: "test", Faults: fault.Desk{Folder: t.TempDir(), Version: "test"}})
	q := &queue{}
	w.deliver = q.post
	t.Cleanup(w.cancel)
	w.win.Resize(fyne.NewSize(width, height))
	w.win.Show()
	return &bench{w, t, q}
}

// until runs posted work until ok, and fails the test when that takes too long.
func (b *bench) until(what string, ok func() bool) {
	b.t.Helper()
	ctx, cancel := context.WithTimeout(b.t.Context(), 2*time.Minute)
	defer cancel()
	for !ok() {
		if !b.q.drain() {
			time.Sleep(time.Millisecond)
		}
		if ctx.Err() != nil {
			b.t.Fatalf("waited in vain for %s", what)
		}
	}
}

// waitAdvised waits until the advice is there and the furnace solved.
func (b *bench) waitAdvised() {
	b.t.Helper()
	b.until("the advice", func() bool {
		return b.desk.advice != nil && !b.opening.running() && !b.advising.running() && !b.firing.running()
	})
}

// key presses a key as the window gets it: by what has the focus, or by itself.
func (b *bench) key(name fyne.KeyName) {
	e := &fyne.KeyEvent{Name: name}
	if f := b.win.Canvas().Focused(); f != nil {
		f.TypedKey(e)
		return
	}
	b.win.Canvas().OnTypedKey()(e)
}

// stlFile writes m as a part file and gives its path.
func stlFile(t *testing.T, name string, m *mesh.Mesh) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), name)
	writeSTL(t, path, m)
	return path
}

// writeSTL writes m to a part file, over what is there.
func writeSTL(t *testing.T, path string, m *mesh.Mesh) {
	t.Helper()
	err := mesh.WriteFileWhole(path, func(w io.Writer) error { return mesh.WriteSTL(w, m, "test") })
	if err != nil {
		t.Fatal(err)
	}
}

// exists reports whether there is a file that is not empty.
func exists(path string) bool {
	info, err := os.Stat(path)
	return err == nil && info.Size() > 0
}

// scripted is an engine whose steps a test can hold or replace. Unless search is
// set it measures only the part as loaded, along the axes of the file and along
// the user's own directions: most tests are not about the search.
type scripted struct {
	workshop
	search bool
	advise func(context.Context, *mesh.Part, orient.Brief, func(orient.Progress)) (*orient.Advice, error)
	revise func(context.Context, *orient.Advice, orient.Brief, func(orient.Progress)) (*orient.Advice, error)
	fire   func(context.Context, *orient.Advice, func(orient.Progress)) (*orient.Advice, error)
}

func (s *scripted) Advise(ctx context.Context, p *mesh.Part, b orient.Brief, r func(orient.Progress)) (*orient.Advice, error) {
	if s.advise != nil {
		return s.advise(ctx, p, b, r)
	}
	return s.workshop.Advise(ctx, p, s.short(b), r)
}

func (s *scripted) Revise(ctx context.Context, a *orient.Advice, b orient.Brief, r func(orient.Progress)) (*orient.Advice, error) {
	if s.revise != nil {
		return s.revise(ctx, a, b, r)
	}
	return s.workshop.Revise(ctx, a, s.short(b), r)
}

// Fire leaves the estimates unless the test says otherwise: most tests are not
// about the furnace.
func (s *scripted) Fire(ctx context.Context, a *orient.Advice, r func(orient.Progress)) (*orient.Advice, error) {
	if s.fire != nil {
		return s.fire(ctx, a, r)
	}
	return a, nil
}

// Map measures few directions: tests of the map need no fine one.
func (s *scripted) Map(ctx context.Context, a *orient.Advice, _ int) ([]orient.MapPoint, error) {
	const few = 150
	return s.workshop.Map(ctx, a, few)
}

// short leaves out the search.
func (s *scripted) short(b orient.Brief) orient.Brief {
	if s.search {
		return b
	}
	b.OnlyGiven = true
	b.Directions = append([]r3.Vec{{X: 1}, {Y: 1}, {Z: -1}}, b.Directions...)
	return b
}
