package parallel_test

import (
	"runtime"
	"strings"
	"sync/atomic"
	"testing"

	"kilnpoise/mesh/parallel"
)

// caught runs work and gives what it panics with.
func caught(work func()) (p *parallel.Panic) {
	defer func() {
		if v := recover(); v != nil {
			p = parallel.Recovered(v)
		}
	}()
	work()
	return nil
}

// stack lists the functions of a panic.
func stack(p *parallel.Panic) string {
	var names []string
	frames := runtime.CallersFrames(p.Callers)
	for {
		f, more := frames.Next()
		names = append(names, f.Function)
		if !more {
			return strings.Join(names, "\n")
		}
	}
}

func breaks() { panic("the wheel came off") }

func TestWaitCarriesThePanicOver(t *testing.T) {
	var done atomic.Int64
	p := caught(func() {
		var g parallel.Group
		for i := range 8 {
			g.Go(func() {
				if i == 3 {
					breaks()
				}
				done.Add(1)
			})
		}
		g.Wait()
	})
	if p == nil || p.Value != "the wheel came off" {
		t.Fatalf("caught %v", p)
	}
	if done.Load() != 7 {
		t.Errorf("%d of the others were done, want 7", done.Load())
	}
	if !strings.Contains(stack(p), "breaks") {
		t.Errorf("the stack does not lead to the fault:\n%s", stack(p))
	}
}

// A panic that is carried over twice keeps the stack of its beginning.
func TestGroupsWithinGroups(t *testing.T) {
	p := caught(func() {
		var outer parallel.Group
		outer.Go(func() {
			var inner parallel.Group
			inner.Go(breaks)
			inner.Wait()
		})
		outer.Wait()
	})
	if p == nil || p.Value != "the wheel came off" || !strings.Contains(stack(p), "breaks") {
		t.Fatalf("caught %v", p)
	}
}

// A worker that is fed from a channel goes on after a panic, so that the feeder
// does not wait for ever.
func TestTryGoesOn(t *testing.T) {
	taken := 0
	p := caught(func() {
		var g parallel.Group
		next := make(chan int)
		g.Go(func() {
			for range next {
				g.Try(func() { taken++; breaks() })
			}
		})
		for i := range 5 {
			next <- i
		}
		close(next)
		g.Wait()
	})
	if p == nil || taken != 5 {
		t.Errorf("caught %v after %d pieces of work, want one after 5", p, taken)
	}
}

func TestNoPanicNoWord(t *testing.T) {
	if p := caught(func() {
		var g parallel.Group
		g.Go(func() {})
		g.Wait()
	}); p != nil {
		t.Errorf("caught %v", p)
	}
}
