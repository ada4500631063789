package window

import "context"

// task is a place for one piece of background work at a time. Beginning new work
// cancels the old, whose late results are then told apart by their ticket. It
// is used on the UI goroutine only.
type task struct {
	cancel context.CancelFunc
	ticket int
}

// begin cancels what runs and gives the context and the ticket of new work.
func (j *task) begin(parent context.Context) (context.Context, int) {
	j.stop()
	ctx, cancel := context.WithCancel(parent)
	j.cancel = cancel
	return ctx, j.ticket
}

// stop cancels what runs; its results no longer count.
func (j *task) stop() {
	if j.cancel != nil {
		j.cancel()
		j.cancel = nil
	}
	j.ticket++
}

// leave lets what runs go on to its end; its results no longer count.
func (j *task) leave() {
	j.cancel = nil
	j.ticket++
}

// done notes that the work of that ticket has ended; it reports whether its
// results count.
func (j *task) done(ticket int) bool {
	if ticket != j.ticket {
		return false
	}
	j.cancel()
	j.cancel = nil
	return true
}

// current reports whether the work of that ticket still counts.
func (j *task) current(ticket int) bool { return ticket == j.ticket && j.cancel != nil }

// running reports whether there is work.
func (j *task) running() bool { return j.cancel != nil }
