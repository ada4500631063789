package job

import (
	"context"
	"fmt"
	"sync"
	"time"
)

// Keeper saves a job by itself while it is being worked on, so that a crash costs no
// more than the last moments. It keeps the latest of what it is given, off the
// caller's goroutine and at most once in a while. It may be used by several
// goroutines at once.
type Keeper struct {
	pause  time.Duration
	report func(time.Time, error)

	// disk is held while files are touched. It is taken before mu, never after.
	disk    sync.Mutex
	sitting *sitting

	mu      sync.Mutex
	pending *snapshot
	armed   bool // a writing is on its way
	closed  bool
}

// snapshot is what Keep was given.
type snapshot struct {
	from Origin
	job  Job
}

const (
	usualPause = 2 * time.Second
	// retryPauses is after how many pauses a writing that failed is tried again.
	retryPauses = 15
)

// KeeperOptions say how a Keeper works. The zero value will do.
type KeeperOptions struct {
	// Pause is how long after Keep the latest is written, however often Keep is
	// called in between; 0 means two seconds.
	Pause time.Duration
	// Report, if not nil, is told of every writing: when, and what went wrong. It is
	// called from goroutines of the Keeper and must not call it.
	Report func(when time.Time, err error)
}

// NewKeeper begins a sitting in the folder for autosaves; see StateFolder.
func NewKeeper(folder string, o KeeperOptions) (*Keeper, error) {
	s, err := newSitting(folder)
	if err != nil {
		return nil, fmt.Errorf("jobs cannot be kept by themselves in %s (%w); save often, or make the folder writable", folder, withoutPath(err))
	}
	if o.Pause <= 0 {
		o.Pause = usualPause
	}
	return &Keeper{pause: o.Pause, report: o.Report, sitting: s}, nil
}

// Keep takes the job as it is now, to be written soon, with the file that it belongs
// to: Claim.Origin, or the zero value. It does not wait. A job without a part is not kept, and after Close
// none is.
func (k *Keeper) Keep(from Origin, j Job) {
	k.mu.Lock()
	defer k.mu.Unlock()
	if k.closed || j.Part.Content == nil {
		return
	}
	k.pending = &snapshot{from, j}
	k.arm(k.pause)
}

// arm sees to it that what is pending is written after the pause.
func (k *Keeper) arm(pause time.Duration) {
	if !k.armed {
		k.armed = true
		time.AfterFunc(pause, func() {
			k.disk.Lock()
			defer k.disk.Unlock()
			k.mu.Lock()
			k.armed = false
			k.mu.Unlock()
			_ = k.write()
		})
	}
}

// write writes what is pending; disk is held. What could not be written stays
// pending, unless something newer is.
func (k *Keeper) write() error {
	k.mu.Lock()
	s := k.pending
	k.pending = nil
	k.mu.Unlock()
	if s == nil || k.sitting == nil {
		return nil
	}
	now := time.Now()
	err := k.sitting.keep(context.Background(), s.from, s.job, now)
	if err != nil {
		err = fmt.Errorf("the job could not be kept by itself (%w); save it", err)
		k.mu.Lock()
		if k.pending == nil && !k.closed {
			k.pending = s
			k.arm(retryPauses * k.pause)
		}
		k.mu.Unlock()
	}
	if k.report != nil {
		k.report(now, err)
	}
	return err
}

// Flush writes at once what is pending, and waits for it.
func (k *Keeper) Flush() error {
	k.disk.Lock()
	defer k.disk.Unlock()
	return k.write()
}

// Forget drops what is pending and removes what is kept: after the job was saved, or
// where the user gives up what was changed.
func (k *Keeper) Forget() error {
	k.disk.Lock()
	defer k.disk.Unlock()
	k.mu.Lock()
	k.pending = nil
	k.mu.Unlock()
	if k.sitting == nil {
		return nil
	}
	return k.sitting.forget()
}

// Close writes what is pending and ends the sitting. What is kept then is offered at
// the next start, as after a crash; Forget before where it is not to be.
func (k *Keeper) Close() error {
	k.disk.Lock()
	defer k.disk.Unlock()
	k.mu.Lock()
	k.closed = true
	k.mu.Unlock()
	err := k.write()
	if k.sitting != nil {
		if e := k.sitting.end(); err == nil {
			err = e
		}
		k.sitting = nil
	}
	return err
}
