package job

import (
	"context"
	"errors"
	"fmt"
	"sync"
	"time"
)

// Keeper saves a job by itself while it is being worked on, so that a crash costs no
// more than the last moments. It keeps the latest of what it is given, off the
// caller's goroutine and at most once in a while. It may be used by several
// goroutines at once.
//
// The files are touched on goroutines of the Keeper, in the order of what was asked;
// Flush and Close alone wait for them.
type Keeper struct {
	folder string
	pause  time.Duration
	report func(time.Time, error)
	guard  func(func() error) error

	// disk is held while files are touched. It is taken before mu, never after.
	disk    sync.Mutex
	sitting *sitting

	mu      sync.Mutex
	pending *snapshot
	timer   *time.Timer // a writing is on its way; nil where none is
	closed  bool
}

// snapshot is what was asked for last: to keep a job, or to forget.
type snapshot struct {
	from   Origin
	job    Job
	forget bool
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
	// Guard, if not nil, runs each piece of work on the disk, and may turn its panic
	// into an error.
	Guard func(work func() error) error
}

// NewKeeper begins a sitting in the folder for autosaves; see StateFolder. It does not
// wait for the disk: where the folder is of no use, Report is told.
func NewKeeper(folder string, o KeeperOptions) *Keeper {
	if o.Pause <= 0 {
		o.Pause = usualPause
	}
	if o.Guard == nil {
		o.Guard = func(work func() error) error { return work() }
	}
	k := &Keeper{folder: folder, pause: o.Pause, report: o.Report, guard: o.Guard}
	k.mu.Lock()
	defer k.mu.Unlock()
	k.arm(0)
	return k
}

// begin begins the sitting where it has not begun; disk is held.
func (k *Keeper) begin() error {
	if k.sitting != nil {
		return nil
	}
	s, err := newSitting(k.folder)
	if err != nil {
		return fmt.Errorf("jobs cannot be kept by themselves in %s (%w); save often, or make the folder writable", k.folder, withoutPath(err))
	}
	k.sitting = s
	return nil
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
	k.pending = &snapshot{from: from, job: j}
	k.arm(k.pause)
}

// Forget drops what is pending and has what is kept removed at once: after the job was
// saved, or where the user gives up what was changed. It does not wait.
func (k *Keeper) Forget() {
	k.mu.Lock()
	defer k.mu.Unlock()
	if k.closed {
		return
	}
	k.pending = &snapshot{forget: true}
	k.arm(0)
}

// arm sees to it that what is pending is done after the pause; mu is held.
func (k *Keeper) arm(pause time.Duration) {
	switch {
	case k.timer == nil:
		k.timer = time.AfterFunc(pause, k.fire)
	case pause == 0:
		k.timer.Reset(0)
	}
}

// fire does what is pending when its time has come.
func (k *Keeper) fire() {
	k.disk.Lock()
	defer k.disk.Unlock()
	k.mu.Lock()
	k.timer = nil
	gone := k.closed
	k.mu.Unlock()
	if !gone {
		_ = k.settle()
	}
}

// settle does what is pending; disk is held. What could not be done stays pending,
// unless something newer is.
func (k *Keeper) settle() error {
	k.mu.Lock()
	s := k.pending
	k.pending = nil
	k.mu.Unlock()
	now := time.Now()
	err := k.guard(k.begin)
	switch {
	case s == nil && err == nil, s != nil && s.forget && err != nil:
		return nil // nothing to tell: where there is no sitting, nothing is kept
	case s != nil && err == nil:
		if err = k.guard(func() error { return k.do(s, now) }); err != nil {
			k.again(s)
		}
	case s != nil:
		k.again(s)
	}
	if k.report != nil {
		k.report(now, err)
	}
	return err
}

// do keeps a job, or forgets it; disk is held.
func (k *Keeper) do(s *snapshot, now time.Time) error {
	if s.forget {
		if err := k.sitting.forget(); err != nil {
			return fmt.Errorf("what was kept of a job by itself could not be removed from %s (%w); it will be offered once more", k.folder, withoutPath(err))
		}
		return nil
	}
	if err := k.sitting.keep(context.Background(), s.from, s.job, now); err != nil {
		return fmt.Errorf("the job could not be kept by itself (%w); save it", err)
	}
	return nil
}

// again tries once more, later, unless something newer is pending.
func (k *Keeper) again(s *snapshot) {
	k.mu.Lock()
	defer k.mu.Unlock()
	if k.pending == nil && !k.closed {
		k.pending = s
		k.arm(retryPauses * k.pause)
	}
}

// Flush does at once what is pending, and waits for it.
func (k *Keeper) Flush() error {
	k.disk.Lock()
	defer k.disk.Unlock()
	k.mu.Lock()
	gone := k.closed
	k.mu.Unlock()
	if gone {
		return nil
	}
	return k.settle()
}

// Close does what is pending, waits for it, and ends the sitting. What is kept then is
// offered at the next start, as after a crash; Forget before where it is not to be.
func (k *Keeper) Close() error {
	k.disk.Lock()
	defer k.disk.Unlock()
	k.mu.Lock()
	gone, idle := k.closed, k.pending == nil
	k.closed = true
	if k.timer != nil {
		k.timer.Stop()
	}
	k.mu.Unlock()
	if gone || idle && k.sitting == nil {
		return nil
	}
	err := k.settle()
	if k.sitting != nil {
		err = errors.Join(err, k.sitting.end())
		k.sitting = nil
	}
	return err
}
