// Package endtest gives contexts that end after so many looks, for tests that long
// work leaves off soon when it is no longer wanted, without a clock.
package endtest

import (
	"context"
	"errors"
	"sync/atomic"
	"testing"
	"time"
)

// Context is a context that ends by itself when it has been looked at so often.
type Context struct {
	last  int64 // the look at which it ends
	looks atomic.Int64
	done  chan struct{}
}

// After gives a context that ends at the given look, counted from 1; with 0 it never
// ends and only counts.
func After(look int64) *Context { return &Context{last: look, done: make(chan struct{})} }

// Looks is how often Err has been called.
func (c *Context) Looks() int64 { return c.looks.Load() }

// Err is a look.
func (c *Context) Err() error {
	n := c.looks.Add(1)
	if c.last == 0 || n < c.last {
		return nil
	}
	if n == c.last {
		close(c.done)
	}
	return context.Canceled
}

// Done is closed at the look at which the context ends.
func (c *Context) Done() <-chan struct{} { return c.done }

// Deadline says that there is none.
func (c *Context) Deadline() (time.Time, bool) { return time.Time{}, false }

// Value gives nil.
func (c *Context) Value(any) any { return nil }

// Soon checks that work looks at its context at least so often, and that wherever it
// is ended on the way it looks no more than a few times again and returns the error of
// the context: each worker once or twice, and whoever waits for them.
func Soon(t *testing.T, least int64, work func(ctx context.Context) error) {
	t.Helper()
	const few = 256
	count := After(0)
	if err := work(count); err != nil {
		t.Fatalf("left alone it fails: %v", err)
	}
	all := count.Looks()
	if all < least {
		t.Errorf("it looks at its context %d times, want %d or more", all, least)
	}
	for _, at := range []int64{1, all / 4, all / 2, 3 * all / 4} {
		ctx := After(max(at, 1))
		err := work(ctx)
		if !errors.Is(err, context.Canceled) {
			t.Errorf("ended at look %d of %d: error %v, want %v", at, all, err, context.Canceled)
		}
		if more := ctx.Looks() - max(at, 1); more > few {
			t.Errorf("ended at look %d of %d it went on for %d looks", at, all, more)
		}
	}
}
