package window

import (
	"context"
	"sync"
	"time"

	"kilnpoise/app/book"
)

// bookFile is the file of the firing book, opened when it is first needed and
// closed with its window. One thing at a time is done with it, on goroutines of
// workers.
type bookFile struct {
	path func() (string, error)

	mu   sync.Mutex
	book *book.Book
	// writes counts what has to be finished before the program ends.
	writes sync.WaitGroup
}

// do opens the book where it is not open yet and lets work have it. Notes are
// what opening has to tell.
func (f *bookFile) do(ctx context.Context, work func(context.Context, *book.Book) error) (notes []string, err error) {
	f.mu.Lock()
	defer f.mu.Unlock()
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	if f.book == nil {
		path, err := f.path()
		if err != nil {
			return nil, err
		}
		if f.book, err = book.Open(ctx, path); err != nil {
			f.book = nil
			return nil, err
		}
		notes = f.book.Notes()
	}
	return notes, work(ctx, f.book)
}

// close lets the file go once what is being done is done; the next do opens it
// again.
func (f *bookFile) close() {
	f.mu.Lock()
	defer f.mu.Unlock()
	if f.book != nil {
		_ = f.book.Close() // everything acknowledged is on the disk
		f.book = nil
	}
}

// longestEnd is how long the end of the program waits for the book: longer than a
// writer waits for another program.
const longestEnd = 8 * time.Second

// end waits until everything asked for is written, and lets the file go.
func (f *bookFile) end() {
	done := make(chan struct{})
	go func() {
		defer close(done)
		f.writes.Wait()
		f.close()
	}()
	select {
	case <-done:
	case <-time.After(longestEnd):
	}
}
