package window

import (
	"context"
	"sync"
	"testing"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/test"

	"kilnpoise/assets"
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
	q := &queue{}
	w := newWindow(a, e, records, Options{Version: "test"})
	w.post = func(f func()) {
		q.post(func() {
			if w.ctx.Err() == nil {
				f()
			}
		})
	}
	t.Cleanup(w.cancel)
	w.win.Resize(fyne.NewSize(width, height))
	w.win.Show()
	return &bench{w, t, q}
}

// until runs posted work until ok, and fails the test when that takes too long.
func (b *bench) until(what string, ok func() bool) {
	b.t.Helper()
	ctx, cancel := context.WithTimeout(b.t.Context(), 60*time.Second)
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

// advised waits until the advice for the part is there and seen.
func (b *bench) waitAdvised() {
	b.t.Helper()
	b.until("the advice", func() bool { return b.desk.advice != nil && !b.advising.running() && !b.opening.running() })
}
