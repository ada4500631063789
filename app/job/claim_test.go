package job_test

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"kilnpoise/app/job"
)

// saved puts a sample into a folder of its own and gives its path.
func saved(t *testing.T, j job.Job) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "pump.kilnpoise")
	c, err := job.Create(t.Context(), path, j)
	if err != nil {
		t.Fatal(err)
	}
	if err := c.Release(); err != nil {
		t.Fatal(err)
	}
	return path
}

// open claims and reads a job, and releases it when the test ends.
func open(t *testing.T, path string) (*job.Claim, job.Job) {
	t.Helper()
	c, j, notes, err := job.Open(t.Context(), path)
	if err != nil || len(notes) > 0 {
		t.Fatal(notes, err)
	}
	t.Cleanup(func() { _ = c.Release() })
	return c, j
}

// names lists a folder.
func names(t *testing.T, dir string) string {
	t.Helper()
	list, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	var out []string
	for _, e := range list {
		out = append(out, e.Name())
	}
	return strings.Join(out, " ")
}

func TestSavedJobIsOpenedAgain(t *testing.T) {
	want := sample(t)
	path := saved(t, want)
	c, j := open(t, path)
	if diff := difference(want, j); diff != "" {
		t.Fatal(diff)
	}
	j.Notes = "another day"
	for range 2 { // what it saved itself is no change by others
		if err := c.Save(t.Context(), j); err != nil {
			t.Fatal(err)
		}
	}
	if err := c.Release(); err != nil {
		t.Fatal(err)
	}
	_, again := open(t, path)
	if diff := difference(j, again); diff != "" {
		t.Error(diff)
	}
}

func TestReleasedClaimLeavesOnlyTheJob(t *testing.T) {
	path := saved(t, sample(t))
	if got := names(t, filepath.Dir(path)); got != "pump.kilnpoise" {
		t.Errorf("the folder holds %s", got)
	}
}

func TestSecondWindowIsTold(t *testing.T) {
	path := saved(t, sample(t))
	c, _ := open(t, path)
	link := filepath.Join(t.TempDir(), "link.kilnpoise")
	if err := os.Symlink(path, link); err != nil {
		link = path // not on every system
	}
	for _, at := range []string{path, link} {
		_, _, _, err := job.Open(t.Context(), at)
		var elsewhere *job.OpenElsewhereError
		if !errors.As(err, &elsewhere) || elsewhere.Owner.PID != os.Getpid() {
			t.Fatalf("opening it again gives %v", err)
		}
		if s := err.Error(); !strings.HasPrefix(s, "pump.kilnpoise is open in another window (process ") || !strings.Contains(s, "open it as a copy") {
			t.Errorf("it says %q", s)
		}
	}
	if _, err := job.Create(t.Context(), path, sample(t)); !errors.As(err, new(*job.OpenElsewhereError)) {
		t.Errorf("saving another job there gives %v", err)
	}
	if _, _, err := job.ReadFile(t.Context(), path); err != nil {
		t.Errorf("it cannot be read as a copy: %v", err)
	}
	if err := c.Release(); err != nil {
		t.Fatal(err)
	}
	open(t, path)
}

// holdRole opens the job, says so, and waits.
func holdRole(args []string) {
	c, _, _, err := job.Open(context.Background(), args[0])
	fmt.Println("open", c != nil, err)
	_, _ = io.Copy(io.Discard, os.Stdin)
	fmt.Println("released", c.Release())
}

func TestTwoProcessesOnOneJob(t *testing.T) {
	path := saved(t, sample(t))
	for _, end := range []string{"killed", "released"} {
		other := helper(t, "hold", path)
		if got := other.line(); got != "open true <nil>" {
			t.Fatalf("the other process says %q", got)
		}
		_, _, _, err := job.Open(t.Context(), path)
		var elsewhere *job.OpenElsewhereError
		if !errors.As(err, &elsewhere) || elsewhere.Owner.PID != other.cmd.Process.Pid {
			t.Fatalf("opening what process %d has gives %v", other.cmd.Process.Pid, err)
		}
		if end == "killed" {
			other.kill()
		} else if other.in.Close(); other.line() != "released <nil>" {
			t.Fatal("the other process does not release the job")
		}
		c, _, _, err := job.Open(t.Context(), path)
		if err != nil {
			t.Fatalf("the other process is %s, and opening gives %v", end, err)
		}
		if err := c.Release(); err != nil {
			t.Fatal(err)
		}
		if got := names(t, filepath.Dir(path)); got != "pump.kilnpoise" {
			t.Errorf("the folder holds %s", got)
		}
	}
}

// Of many windows that open one job at the same moment one gets it.
func TestOnlyOneClaims(t *testing.T) {
	path := saved(t, sample(t))
	const windows = 8
	for range 20 {
		won := make(chan *job.Claim, windows)
		for range windows {
			go func() {
				c, _, _, err := job.Open(t.Context(), path)
				if err != nil && !errors.As(err, new(*job.OpenElsewhereError)) {
					t.Error(err)
				}
				won <- c
			}()
		}
		var claims []*job.Claim
		for range windows {
			if c := <-won; c != nil {
				claims = append(claims, c)
			}
		}
		if len(claims) != 1 {
			t.Fatalf("%d windows got it", len(claims))
		}
		if err := claims[0].Release(); err != nil {
			t.Fatal(err)
		}
	}
}

func TestJobChangedByOthersIsNotOverwritten(t *testing.T) {
	path := saved(t, sample(t))
	c, j := open(t, path)
	other := sample(t)
	other.Notes = "written elsewhere"
	changed := written(t, other)
	if err := os.WriteFile(path, changed, 0o666); err != nil {
		t.Fatal(err)
	}
	err := c.Save(t.Context(), j)
	if !errors.Is(err, job.ErrChangedOnDisk) || !strings.HasPrefix(err.Error(), "pump.kilnpoise was changed") || !strings.Contains(err.Error(), "under another name") {
		t.Fatalf("saving gives %v", err)
	}
	if data, err := os.ReadFile(path); err != nil || string(data) != string(changed) {
		t.Error("the file was touched")
	}
	elsewhere, err := job.Create(t.Context(), filepath.Join(t.TempDir(), "b.kilnpoise"), j) // as offered
	if err != nil {
		t.Fatal(err)
	}
	if err := elsewhere.Release(); err != nil {
		t.Fatal(err)
	}
	if err := c.Overwrite(t.Context(), j); err != nil {
		t.Fatal(err)
	}
	if err := c.Save(t.Context(), j); err != nil {
		t.Errorf("saving after overwriting gives %v", err)
	}
}

// A file that only got a new date, or is gone, is no work of others to be lost.
func TestTouchedOrRemovedJobIsSaved(t *testing.T) {
	path := saved(t, sample(t))
	c, j := open(t, path)
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.Remove(path); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, data, 0o666); err != nil {
		t.Fatal(err)
	}
	if err := c.Save(t.Context(), j); err != nil {
		t.Errorf("after a touch: %v", err)
	}
	if err := os.Remove(path); err != nil {
		t.Fatal(err)
	}
	if err := c.Save(t.Context(), j); err != nil {
		t.Errorf("after removal: %v", err)
	}
}

func TestReclaimedJobNoticesChanges(t *testing.T) {
	path := saved(t, sample(t))
	c, j := open(t, path)
	from := c.Origin()
	if err := c.Release(); err != nil {
		t.Fatal(err)
	}
	again, err := job.Reclaim(from)
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = again.Release() }()
	if err := again.Save(t.Context(), j); err != nil {
		t.Errorf("saving what is unchanged gives %v", err)
	}
	if err := os.WriteFile(path, nil, 0o666); err != nil {
		t.Fatal(err)
	}
	if err := again.Save(t.Context(), j); !errors.Is(err, job.ErrChangedOnDisk) {
		t.Errorf("saving over a change gives %v", err)
	}
}

func TestFailedSavingLeavesTheFile(t *testing.T) {
	path := saved(t, sample(t))
	before, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	c, j := open(t, path)
	j.Brief.Candidates = -1
	if err := c.Save(t.Context(), j); err == nil {
		t.Fatal("nonsense was saved")
	}
	after, err := os.ReadFile(path)
	if err != nil || string(before) != string(after) {
		t.Error("the file was touched")
	}
}

func TestWriteProtectedJobIsOpenedButNotSaved(t *testing.T) {
	path := saved(t, sample(t))
	if err := os.Chmod(path, 0o444); err != nil {
		t.Fatal(err)
	}
	c, j := open(t, path)
	if err := c.Save(t.Context(), j); !c.ReadOnly() || !errors.Is(err, job.ErrReadOnly) || !strings.Contains(err.Error(), "under another name") {
		t.Errorf("read-only %v, saving gives %v", c.ReadOnly(), err)
	}
}

func TestJobInAFolderThatCannotBeWrittenIsOpened(t *testing.T) {
	if runtime.GOOS == "windows" || os.Geteuid() == 0 {
		t.Skip("needs a user whom permissions bind")
	}
	path := saved(t, sample(t))
	if err := os.Chmod(filepath.Dir(path), 0o555); err != nil {
		t.Fatal(err)
	}
	defer func() { _ = os.Chmod(filepath.Dir(path), 0o755) }()
	c, j := open(t, path)
	if err := c.Save(t.Context(), j); !c.ReadOnly() || !errors.Is(err, job.ErrReadOnly) {
		t.Errorf("read-only %v, saving gives %v", c.ReadOnly(), err)
	}
}

// Somebody plants a link where the lock goes: what it leads to is not touched.
func TestLockIsNotWrittenThroughALink(t *testing.T) {
	path := saved(t, sample(t))
	victim := filepath.Join(t.TempDir(), "victim")
	if err := os.WriteFile(victim, []byte("mine"), 0o666); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink(victim, filepath.Join(filepath.Dir(path), ".pump.kilnpoise.lock")); err != nil {
		t.Skip("needs links")
	}
	if _, _, _, err := job.Open(t.Context(), path); err == nil {
		t.Error("it was claimed through the link")
	}
	if data, err := os.ReadFile(victim); err != nil || string(data) != "mine" {
		t.Errorf("the link's target holds %q", data)
	}
}
