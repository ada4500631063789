package window

import (
	"errors"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"kilnpoise/app/job"
)

// holdDisk holds up everything that is done on the disk for the job until it is let go.
func (b *bench) holdDisk() (letGo func()) {
	held := make(chan struct{})
	b.errands.do(func() { <-held })
	return func() { close(held) }
}

// jobIn reads the job file at path as another program would.
func jobIn(t *testing.T, path string) job.Job {
	t.Helper()
	j, _, err := job.ReadFile(t.Context(), path)
	if err != nil {
		t.Fatal(err)
	}
	return j
}

// filesIn lists what lies in a folder.
func filesIn(t *testing.T, folder string) []string {
	t.Helper()
	list, err := os.ReadDir(folder)
	if err != nil {
		t.Fatal(err)
	}
	var out []string
	for _, e := range list {
		out = append(out, e.Name())
	}
	return out
}

// A saving that is on its way while another part or job is opened ends with the file
// that it began with, and no job gets into another's file. Nothing of it is offered
// as not saved.
func TestASavingInFlightEndsWhereItBegan(t *testing.T) {
	for _, next := range []string{"a part", "a job", "the same job"} {
		t.Run(next, func(t *testing.T) {
			folder, state := t.TempDir(), t.TempDir()
			first, second := filepath.Join(folder, "first.kilnpoise"), filepath.Join(folder, "second.kilnpoise")
			b := advised(t, "tee.stl", tee())
			b.keepIn(state)
			b.takeNotes("of the second job")
			b.save(second)
			b.openPath(stlFile(t, "cup.stl", tee()))
			b.until("the other part", func() bool { return b.desk.part.Name == "cup" })
			b.takeNotes("of the first job")
			b.save(first)
			b.takeNotes("of the first job, changed")

			letGo := b.holdDisk()
			b.saveJob()
			switch next {
			case "a part":
				b.openPath(stlFile(t, "bowl.stl", tee()))
				b.until("the part", func() bool { return b.desk.part.Name == "bowl" })
				letGo()
			case "a job":
				b.openPath(second)
				letGo()
				b.until("the job", func() bool { return b.desk.notes == "of the second job" })
			case "the same job":
				b.open(source{demo: defaultDemo()})
				b.until("the built-in part", func() bool { return b.keeping.claim == nil })
				b.openPath(first)
				letGo()
				b.until("the job again", func() bool { return b.desk.notes == "of the first job, changed" })
			}
			b.settle()
			b.q.drain()
			if got := jobIn(t, first).Notes; got != "of the first job, changed" {
				t.Errorf("the first file holds the job %q", got)
			}
			if got := jobIn(t, second).Notes; got != "of the second job" {
				t.Errorf("the second file holds the job %q", got)
			}
			if text := b.board.Text(noticeLeftover) + b.board.Text(noticeJob); text != "" {
				t.Errorf("the window says %q", text)
			}
			if b.keeping.claim != nil && next == "a part" {
				t.Error("the part has the file of the job before")
			}
			b.letGo()
			if got := filesIn(t, folder); !slices.Equal(got, []string{"first.kilnpoise", "second.kilnpoise"}) {
				t.Errorf("beside the jobs there are %q", got)
			}
			if left, err := job.Leftovers(state); err != nil || len(left) > 0 {
				t.Errorf("left are %+v (%v)", left, err)
			}
		})
	}
}

// Where such a saving fails, it is told, and what was changed is offered.
func TestASavingThatFailsAfterTheJobWasLeft(t *testing.T) {
	folder := t.TempDir()
	b := advised(t, "tee.stl", tee())
	b.keepIn(t.TempDir())
	b.takeNotes("precious")
	letGo := b.holdDisk()
	b.saveJobTo(filepath.Join(folder, "gone", "tee.kilnpoise"))
	b.openPath(stlFile(t, "bowl.stl", tee()))
	b.until("the part", func() bool { return b.desk.part.Name == "bowl" })
	letGo()
	b.until("the offer", func() bool { return b.board.Text(noticeLeftover) != "" && b.board.Text(noticeJob) != "" })
	if text := b.board.Text(noticeJob); !strings.HasPrefix(text, "The job of tee, which was being saved when it was left, was not: ") {
		t.Errorf("the window says %q", text)
	}
	if b.keeping.claim != nil || b.savingJob.running() {
		t.Error("the part has taken over from the saving of the job before")
	}
}

// A job that is saved under another name while it is left gives that file free again.
func TestSavedUnderAnotherNameAndLeft(t *testing.T) {
	folder := t.TempDir()
	b := advised(t, "tee.stl", tee())
	letGo := b.holdDisk()
	b.saveJobTo(filepath.Join(folder, "tee.kilnpoise"))
	b.close()
	letGo()
	if err := b.end(); err != nil {
		t.Fatal(err)
	}
	if got := filesIn(t, folder); !slices.Equal(got, []string{"tee.kilnpoise"}) {
		t.Errorf("the folder holds %q", got)
	}
}

// To save under the name that the job has is to save it.
func TestSavedUnderItsOwnName(t *testing.T) {
	path := filepath.Join(t.TempDir(), "tee.kilnpoise")
	b := advised(t, "tee.stl", tee())
	b.save(path)
	b.takeNotes("once more")
	b.saveJobTo(path)
	b.until("the job to be saved", func() bool { return !b.savingJob.running() })
	if text := b.board.Text(noticeJob); text != "" || jobIn(t, path).Notes != "once more" || b.keeping.history.Changed() {
		t.Errorf("the window says %q, and the file holds %q", text, jobIn(t, path).Notes)
	}
}

// The window never waits for the disk; the end of the program does, and says where
// that took too long or where something failed that nobody was told of.
func TestTheEndWaitsForTheDisk(t *testing.T) {
	state := t.TempDir()
	b := advised(t, "tee.stl", tee())
	b.keepIn(state)
	letGo := b.holdDisk()
	b.takeNotes("kept by itself")
	b.openPath(stlFile(t, "bowl.stl", tee())) // the keeper of the first job is closed behind the held disk
	b.until("the part", func() bool { return b.desk.part.Name == "bowl" })
	b.takeNotes("kept as well")
	b.close()
	if err := b.errands.end(time.Millisecond); err == nil || !strings.Contains(err.Error(), "longer than 1ms") {
		t.Errorf("at the end it says %v", err)
	}
	letGo()
	if err := b.end(); err != nil {
		t.Error(err)
	}
	left, err := job.Leftovers(state)
	if err != nil || len(left) != 2 {
		t.Fatalf("left are %+v (%v), want both jobs", left, err)
	}
}

func TestWhatNobodyWasToldIsSaidAtTheEnd(t *testing.T) {
	b := advised(t, "tee.stl", tee())
	letGo := b.holdDisk()
	b.saveJobTo(filepath.Join(t.TempDir(), "gone", "tee.kilnpoise"))
	b.close()
	letGo()
	if err := b.end(); err == nil || !strings.Contains(err.Error(), "tee.kilnpoise") {
		t.Errorf("at the end it says %v", err)
	}
	var e errands
	told := e.failed(errors.New("told"))
	told()
	e.failed(nil)()
	if err := e.end(time.Minute); err != nil {
		t.Errorf("what was told is said again: %v", err)
	}
}
