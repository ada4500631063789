package window

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"sync"
	"time"
)

// errands are what is done on the disk for the job, one after another and off the UI
// goroutine: saving it, letting its file go, ending and clearing autosaves. What was
// given is finished before the program ends.
type errands struct {
	mu   sync.Mutex
	last chan struct{} // closed once everything given is done; nil before the first
	// untold is what went wrong and was not yet told to the user.
	untold []*error
}

// do has f done after all that was given before. It does not wait.
func (e *errands) do(f func()) {
	done := make(chan struct{})
	e.mu.Lock()
	before := e.last
	e.last = done
	e.mu.Unlock()
	go func() {
		defer close(done)
		if before != nil {
			<-before
		}
		f()
	}()
}

// settled waits until all that was given is done; it fails where ctx ends first.
func (e *errands) settled(ctx context.Context) error {
	e.mu.Lock()
	last := e.last
	e.mu.Unlock()
	if last == nil {
		return nil
	}
	select {
	case <-last:
		return nil
	case <-ctx.Done():
		return ctx.Err()
	}
}

// failed keeps an error until the user is told of it, so that it is not lost where the
// window closes before. It may be nil.
func (e *errands) failed(err error) (told func()) {
	if err == nil {
		return func() {}
	}
	e.mu.Lock()
	defer e.mu.Unlock()
	kept := &err
	e.untold = append(e.untold, kept)
	return func() {
		e.mu.Lock()
		defer e.mu.Unlock()
		e.untold = slices.DeleteFunc(e.untold, func(u *error) bool { return u == kept })
	}
}

// longestErrands is how long the end of the program waits for what is on its way to
// the disk: enough for a gigabyte on a slow one.
const longestErrands = 60 * time.Second

// end waits until all that was given is done, though no longer than that, and gives
// what went wrong and nobody was told of.
func (e *errands) end(longest time.Duration) error {
	ctx, cancel := context.WithTimeout(context.Background(), longest)
	defer cancel()
	if e.settled(ctx) != nil {
		return fmt.Errorf("the disk took longer than %v: what was last saved may be missing; look at the job file", longest)
	}
	e.mu.Lock()
	defer e.mu.Unlock()
	var all []error
	for _, u := range e.untold {
		all = append(all, *u)
	}
	return errors.Join(all...)
}
