package job_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"kilnpoise/app/job"
)

// left leaves a job behind, as a window that ends without a word does.
func left(t *testing.T, folder, notes string) {
	t.Helper()
	k := job.NewKeeper(folder, job.KeeperOptions{Pause: time.Hour})
	k.Keep(job.Origin{}, noted(t, notes))
	if err := k.Close(); err != nil {
		t.Fatal(err)
	}
}

func TestLeftoversComeLatestFirst(t *testing.T) {
	folder := t.TempDir()
	if l, err := job.Leftovers(filepath.Join(folder, "none")); err != nil || len(l) > 0 {
		t.Fatalf("a missing folder gives %v, %v", l, err)
	}
	for _, notes := range []string{"first", "second", "third"} {
		left(t, folder, notes)
	}
	list, err := job.Leftovers(folder)
	if err != nil || len(list) != 3 {
		t.Fatal(list, err)
	}
	for i, want := range []string{"third", "second", "first"} {
		j, _, err := list[i].Job(t.Context())
		if err != nil || j.Notes != want {
			t.Errorf("leftover %d is %q (%v), want %q", i, j.Notes, err, want)
		}
	}
	if err := list[1].Discard(); err != nil {
		t.Fatal(err)
	}
	if again, err := job.Leftovers(folder); err != nil || len(again) != 2 || again[1].Kept != list[2].Kept {
		t.Errorf("after discarding one there are %v (%v)", again, err)
	}
}

// Two windows are offered the same: the second is told that it is gone.
func TestLeftoverTakenByAnotherWindow(t *testing.T) {
	folder := t.TempDir()
	left(t, folder, "mine")
	mine, theirs := only(t, folder), only(t, folder)
	if err := theirs.Discard(); err != nil {
		t.Fatal(err)
	}
	if _, _, err := mine.Job(t.Context()); err == nil || !strings.Contains(err.Error(), "another window") {
		t.Errorf("reading it gives %v", err)
	}
	if err := mine.Discard(); err != nil {
		t.Errorf("discarding it again gives %v", err)
	}
	if got := names(t, folder); got != "" {
		t.Errorf("the folder holds %s", got)
	}
}

// What a failing disk has spoiled is offered for discarding, with the reason.
func TestSpoiledLeftoverIsTold(t *testing.T) {
	for name, c := range map[string]struct {
		pattern string
		spoil   func(path string) error
		late    bool // seen only when it is read
	}{
		"half of the job":     {"job", func(p string) error { return os.Truncate(p, 1000) }, false},
		"nothing of the job":  {"job", func(p string) error { return os.Truncate(p, 0) }, false},
		"no part":             {"part-*", os.Remove, false},
		"half of the part":    {"part-*", func(p string) error { return os.Truncate(p, 300) }, false},
		"another part inside": {"part-*", func(p string) error { return os.WriteFile(p, make([]byte, 684), 0o666) }, true},
	} {
		t.Run(name, func(t *testing.T) {
			folder := t.TempDir()
			left(t, folder, "spoiled")
			found, err := filepath.Glob(filepath.Join(folder, "*", c.pattern))
			if err != nil || len(found) != 1 {
				t.Fatal(found, err)
			}
			if err := c.spoil(found[0]); err != nil {
				t.Fatal(err)
			}
			l := only(t, folder)
			if (l.Fault == nil) != c.late || l.Kept.IsZero() {
				t.Errorf("the leftover tells %+v", l)
			}
			if _, _, err := l.Job(t.Context()); err == nil || !strings.HasPrefix(err.Error(), "what was kept of the job cannot be used") {
				t.Errorf("reading it gives %v", err)
			}
			if err := l.Discard(); err != nil {
				t.Fatal(err)
			}
			if got := names(t, folder); got != "" {
				t.Errorf("the folder holds %s", got)
			}
		})
	}
}

func TestRemainsOfSittingsAreClearedAway(t *testing.T) {
	folder := t.TempDir()
	if err := os.WriteFile(filepath.Join(folder, "20260101-000000-1-0.lock"), nil, 0o666); err != nil {
		t.Fatal(err)
	}
	empty := filepath.Join(folder, "20260101-000000-2-0")
	if err := os.Mkdir(empty, 0o700); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(empty, ".job.2-0.part"), []byte("half"), 0o666); err != nil {
		t.Fatal(err)
	}
	if l, err := job.Leftovers(folder); err != nil || len(l) > 0 {
		t.Fatal(l, err)
	}
	if got := names(t, folder); got != "" {
		t.Errorf("the folder holds %s", got)
	}
}

func TestStateFolder(t *testing.T) {
	t.Setenv("XDG_STATE_HOME", t.TempDir())
	dir, err := job.StateFolder()
	if err != nil || !filepath.IsAbs(dir) || !strings.HasSuffix(dir, filepath.Join("kilnpoise", "sittings")) {
		t.Errorf("it is %q (%v)", dir, err)
	}
	t.Setenv("XDG_STATE_HOME", "not/absolute")
	if dir, err := job.StateFolder(); err != nil || !filepath.IsAbs(dir) {
		t.Errorf("it is %q (%v)", dir, err)
	}
}
