package job_test

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"kilnpoise/app/job"
)

// noted is a sample with those notes.
func noted(t testing.TB, notes string) job.Job {
	j := sample(t)
	j.Notes = notes
	return j
}

// keeper begins a sitting that writes only when it is told to, or after the pause.
func keeper(t *testing.T, folder string, pause time.Duration, report func(time.Time, error)) *job.Keeper {
	t.Helper()
	k := job.NewKeeper(folder, job.KeeperOptions{Pause: pause, Report: report})
	t.Cleanup(func() { _ = k.Close() })
	return k
}

// only gives the one leftover of a folder.
func only(t *testing.T, folder string) job.Leftover {
	t.Helper()
	left, err := job.Leftovers(folder)
	if err != nil || len(left) != 1 {
		t.Fatalf("the leftovers are %+v (%v), want one", left, err)
	}
	return left[0]
}

func TestKeeperKeepsTheLast(t *testing.T) {
	folder := filepath.Join(t.TempDir(), "state", "sittings")
	var writings atomic.Int32
	began, goOn := make(chan struct{}), make(chan struct{})
	k := keeper(t, folder, time.Millisecond, func(_ time.Time, err error) {
		if err != nil {
			t.Error(err)
		}
		if writings.Add(1) == 1 { // held up, as by a slow disk
			close(began)
			<-goOn
		}
	})
	from := job.Origin{Path: "/bench/pump.kilnpoise", SHA256: "0f"}
	j := noted(t, "first")
	k.Keep(from, j)
	<-began
	for n := range 50 {
		j.Notes = fmt.Sprint(n)
		k.Keep(from, j)
	}
	close(goOn)
	if left, err := job.Leftovers(folder); err != nil || len(left) > 0 {
		t.Fatalf("while its owner lives, %v is offered (%v)", left, err)
	}
	if err := k.Close(); err != nil {
		t.Fatal(err)
	}
	if n := writings.Load(); n != 2 {
		t.Errorf("one change and fifty while it was written made %d writings", n)
	}
	l := only(t, folder)
	want := noted(t, "49")
	if l.Origin != from || l.Part != want.Part.File || l.Orientation != want.Choice.Name || l.Fault != nil || time.Since(l.Kept) > time.Minute {
		t.Errorf("the leftover tells %+v", l)
	}
	got, notes, err := l.Job(t.Context())
	if err != nil || len(notes) > 0 {
		t.Fatal(notes, err)
	}
	if diff := difference(want, got); diff != "" {
		t.Error(diff)
	}
}

func TestCloseWritesWhatIsPending(t *testing.T) {
	folder := t.TempDir()
	k := keeper(t, folder, time.Hour, nil)
	k.Keep(job.Origin{}, noted(t, "pending"))
	if err := k.Close(); err != nil {
		t.Fatal(err)
	}
	k.Keep(job.Origin{}, noted(t, "too late"))
	k.Forget()
	if err := errors.Join(k.Flush(), k.Close()); err != nil {
		t.Errorf("after closing: %v", err)
	}
	if j, _, err := only(t, folder).Job(t.Context()); err != nil || j.Notes != "pending" {
		t.Errorf("kept is %q (%v)", j.Notes, err)
	}
}

func TestForgottenJobIsNotOffered(t *testing.T) {
	folder := t.TempDir()
	k := keeper(t, folder, time.Hour, nil)
	k.Keep(job.Origin{}, noted(t, "written"))
	if err := k.Flush(); err != nil {
		t.Fatal(err)
	}
	k.Keep(job.Origin{}, noted(t, "pending"))
	k.Forget()
	if err := k.Close(); err != nil {
		t.Fatal(err)
	}
	if got := names(t, folder); got != "" {
		t.Errorf("the folder holds %s", got)
	}
}

// A large part is written once, not with every change; another part takes its place.
func TestPartIsWrittenOnce(t *testing.T) {
	folder := t.TempDir()
	k := keeper(t, folder, time.Hour, nil)
	parts := func() map[string]time.Time {
		out := map[string]time.Time{}
		found, err := filepath.Glob(filepath.Join(folder, "*", "part-*"))
		if err != nil {
			t.Fatal(err)
		}
		for _, p := range found {
			info, err := os.Stat(p)
			if err != nil {
				t.Fatal(err)
			}
			out[filepath.Base(p)] = info.ModTime()
		}
		return out
	}
	put := func(j job.Job) {
		k.Keep(job.Origin{}, j)
		if err := k.Flush(); err != nil {
			t.Fatal(err)
		}
	}
	put(noted(t, "one"))
	first := parts()
	put(noted(t, "two"))
	if second := parts(); len(first) != 1 || fmt.Sprint(second) != fmt.Sprint(first) {
		t.Errorf("the parts were %v and are %v", first, second)
	}
	other := noted(t, "three")
	other.Part.Content = job.NewContent([]byte("other"))
	put(other)
	if third := parts(); len(third) != 1 || !strings.Contains(fmt.Sprint(third), other.Part.Content.SHA256()) {
		t.Errorf("the parts are %v", third)
	}
}

func TestJobWithoutAPartIsNotKept(t *testing.T) {
	folder := t.TempDir()
	k := keeper(t, folder, time.Hour, nil)
	k.Keep(job.Origin{}, job.Job{Notes: "x"})
	if err := errors.Join(k.Flush(), k.Close()); err != nil {
		t.Fatal(err)
	}
	if got := names(t, folder); got != "" {
		t.Errorf("the folder holds %s", got)
	}
}

// The disk is full, or the folder gone: it is told, and tried again.
func TestFailedKeepingIsToldAndTriedAgain(t *testing.T) {
	folder := t.TempDir()
	told := make(chan error, 100)
	k := keeper(t, folder, time.Millisecond, func(_ time.Time, err error) { told <- err })
	if err := k.Flush(); err != nil { // the sitting has begun
		t.Fatal(err)
	}
	dirs, err := filepath.Glob(filepath.Join(folder, "*-*-*-0"))
	if err != nil || len(dirs) != 1 {
		t.Fatal(dirs, err)
	}
	if err := os.Remove(dirs[0]); err != nil {
		t.Fatal(err)
	}
	k.Keep(job.Origin{}, noted(t, "patient"))
	if err := <-told; err == nil || !strings.Contains(err.Error(), "; save it") {
		t.Fatalf("it tells %v", err)
	}
	if err := os.Mkdir(dirs[0], 0o700); err != nil {
		t.Fatal(err)
	}
	for err := range told { // no other Keep is needed
		if err == nil {
			break
		}
	}
	if err := k.Close(); err != nil {
		t.Fatal(err)
	}
	if j, _, err := only(t, folder).Job(t.Context()); err != nil || j.Notes != "patient" {
		t.Errorf("kept is %q (%v)", j.Notes, err)
	}
}

func TestKeeperSaysWhereItCannotKeep(t *testing.T) {
	file := filepath.Join(t.TempDir(), "file")
	if err := os.WriteFile(file, nil, 0o666); err != nil {
		t.Fatal(err)
	}
	told := make(chan error, 100)
	k := keeper(t, filepath.Join(file, "state"), time.Millisecond, func(_ time.Time, err error) { told <- err })
	if err := <-told; err == nil || !strings.Contains(err.Error(), "; save often") {
		t.Errorf("it says %v", err)
	}
	k.Keep(job.Origin{}, noted(t, "kept in the end"))
	if err := k.Flush(); err == nil || !strings.Contains(err.Error(), "; save often") {
		t.Errorf("when a job is to be kept it says %v", err)
	}
	if err := os.Remove(file); err != nil { // now there can be a folder
		t.Fatal(err)
	}
	for err := range told {
		if err == nil {
			break
		}
	}
	if err := k.Close(); err != nil {
		t.Fatal(err)
	}
	if j, _, err := only(t, filepath.Join(file, "state")).Job(t.Context()); err != nil || j.Notes != "kept in the end" {
		t.Errorf("kept is %q (%v)", j.Notes, err)
	}
}

// Neither keeping nor forgetting waits for the disk, and what was asked for last
// holds, however slow it is.
func TestKeeperNeverWaitsForTheDisk(t *testing.T) {
	folder := t.TempDir()
	slow := make(chan struct{})
	began := make(chan struct{}, 100)
	k := keeper(t, folder, time.Millisecond, func(time.Time, error) {
		began <- struct{}{}
		<-slow
	})
	k.Keep(job.Origin{}, noted(t, "first"))
	<-began // the disk is held up from here on
	k.Forget()
	k.Keep(job.Origin{}, noted(t, "second"))
	k.Forget()
	k.Keep(job.Origin{}, noted(t, "third"))
	close(slow)
	if err := k.Close(); err != nil {
		t.Fatal(err)
	}
	if j, _, err := only(t, folder).Job(t.Context()); err != nil || j.Notes != "third" {
		t.Errorf("kept is %q (%v), want what was asked for last", j.Notes, err)
	}
}

// A fault of the program while a job is kept costs that writing, no more.
func TestKeeperGuardsItsWork(t *testing.T) {
	folder := t.TempDir()
	var broken atomic.Bool
	k := job.NewKeeper(folder, job.KeeperOptions{Pause: time.Hour, Guard: func(work func() error) (err error) {
		defer func() {
			if v := recover(); v != nil {
				err = fmt.Errorf("%v", v)
			}
		}()
		if broken.Load() {
			panic("a fault")
		}
		return work()
	}})
	if err := k.Flush(); err != nil {
		t.Fatal(err)
	}
	k.Keep(job.Origin{}, noted(t, "kept"))
	broken.Store(true)
	first := k.Flush()
	broken.Store(false)
	if err := errors.Join(k.Flush(), k.Close()); err != nil {
		t.Fatal(err)
	}
	if first == nil || !strings.Contains(first.Error(), "a fault") {
		t.Errorf("the fault is told as %v", first)
	}
	if j, _, err := only(t, folder).Job(t.Context()); err != nil || j.Notes != "kept" {
		t.Errorf("kept is %q (%v)", j.Notes, err)
	}
}

// Everything at once, for the race detector; whatever comes last is kept.
func TestKeeperFromManyGoroutines(t *testing.T) {
	folder := t.TempDir()
	k := keeper(t, folder, time.Microsecond, nil)
	j := sample(t)
	var all sync.WaitGroup
	for n := range 4 {
		all.Go(func() {
			for i := range 10 {
				next := j
				next.Notes = fmt.Sprint(n, i)
				k.Keep(job.Origin{}, next)
				if err := k.Flush(); err != nil {
					t.Error(err)
				}
				if i == 5 {
					k.Forget()
				}
			}
		})
	}
	all.Wait()
	j.Notes = "last"
	k.Keep(job.Origin{}, j)
	if err := k.Close(); err != nil {
		t.Fatal(err)
	}
	if got, _, err := only(t, folder).Job(t.Context()); err != nil || got.Notes != "last" {
		t.Errorf("kept is %q (%v)", got.Notes, err)
	}
}
