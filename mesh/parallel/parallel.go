// Package parallel runs work on several goroutines so that a panic in one of them
// reaches whoever asked for the work, where it can be caught, in place of ending
// the program.
package parallel

import (
	"fmt"
	"runtime"
	"sync"
)

// Panic is what Group.Wait panics with after a panic on a goroutine of the group.
type Panic struct {
	// Value is what that goroutine panicked with.
	Value any
	// Callers are the program counters of its stack, the innermost first; see
	// runtime.CallersFrames.
	Callers []uintptr
}

// Error tells the value.
func (p *Panic) Error() string { return fmt.Sprintf("panic on another goroutine: %v", p.Value) }

// mostCallers is how much of a stack is kept.
const mostCallers = 100

// Recovered gives the panic that a deferred function has recovered, with the stack
// it came from: v itself where it was carried over from another goroutine already.
// Call it from the deferred function.
func Recovered(v any) *Panic {
	if p, ok := v.(*Panic); ok {
		return p
	}
	stack := make([]uintptr, mostCallers)
	return &Panic{Value: v, Callers: stack[:runtime.Callers(2, stack)]} // without this function
}

// Group is a sync.WaitGroup whose Wait carries panics over. The zero value is ready.
type Group struct {
	wg    sync.WaitGroup
	mu    sync.Mutex
	first *Panic
}

// Go runs f on a goroutine of its own.
func (g *Group) Go(f func()) { g.wg.Go(func() { g.Try(f) }) }

// Try runs f and keeps its panic for Wait. A goroutine that is fed from a channel
// tries each piece of work, so that it goes on taking them and nobody waits for it
// for ever.
func (g *Group) Try(f func()) {
	defer func() {
		if v := recover(); v != nil {
			p := Recovered(v)
			g.mu.Lock()
			defer g.mu.Unlock()
			if g.first == nil {
				g.first = p
			}
		}
	}()
	f()
}

// Wait waits for all that Go began. Where one panicked, Wait panics with the *Panic
// of the first.
func (g *Group) Wait() {
	g.wg.Wait()
	g.mu.Lock()
	defer g.mu.Unlock()
	if g.first != nil {
		panic(g.first)
	}
}
