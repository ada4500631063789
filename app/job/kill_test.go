package job_test

import (
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"kilnpoise/app/job"
)

// version gives the job that the helper saves as its nth: notes, part and advice
// all tell the number, so that a mixture of two would show.
func version(base job.Job, n int) job.Job {
	j := base
	j.Notes = strconv.Itoa(n)
	j.Choice.Name = j.Notes
	part := make([]byte, 200_000)
	random := rand.NewChaCha8([32]byte{byte(n), byte(n >> 8)})
	_, _ = random.Read(part[:len(part)/2]) // half of it packs
	j.Part.Content = job.NewContent(part)
	j.Advice = fmt.Appendf(nil, `{"n": %d}`, n)
	return j
}

// base is the part of the helper's jobs that does not change.
func base(path string) (job.Job, error) {
	j, _, err := job.ReadFile(context.Background(), path)
	return j, err
}

// saveRole saves version after version to the job file, and lets a keeper have each,
// and says so, until it is killed. Arguments: the job to begin with, the job file, the
// folder for autosaves, the first number.
func saveRole(args []string) {
	first, err := strconv.Atoi(args[3])
	if err != nil {
		panic(err)
	}
	j, err := base(args[0])
	if err != nil {
		panic(err)
	}
	c, _, _, err := job.Open(context.Background(), args[1])
	if err != nil {
		panic(err)
	}
	k := job.NewKeeper(args[2], job.KeeperOptions{Pause: time.Nanosecond, Report: func(_ time.Time, err error) {
		if err != nil {
			panic(err)
		}
	}})
	for n := first; ; n++ {
		next := version(j, n)
		k.Keep(c.Origin(), next)
		if err := c.Save(context.Background(), next); err != nil {
			panic(err)
		}
		fmt.Println("saved", n)
		if err := k.Flush(); err != nil {
			panic(err)
		}
		fmt.Println("kept", n)
	}
}

// numbers remembers what a helper said last.
type numbers struct{ saved, kept int }

func (m *numbers) hear(line string) {
	what, number, _ := strings.Cut(line, " ")
	n, err := strconv.Atoi(number)
	switch {
	case err != nil:
	case what == "saved":
		m.saved = n
	case what == "kept":
		m.kept = n
	}
}

// checkWhole wants the job to be the version its notes tell, no older than at least.
func checkWhole(t *testing.T, what string, j, base job.Job, least int) int {
	t.Helper()
	n, err := strconv.Atoi(j.Notes)
	if err != nil {
		t.Fatalf("%s: the notes are %.20q", what, j.Notes)
	}
	if diff := difference(version(base, n), j); diff != "" {
		t.Fatalf("%s is not version %d: %s", what, n, diff)
	}
	if n < least || n > least+1 {
		t.Fatalf("%s is version %d; the helper had done %d", what, n, least)
	}
	return n
}

// The helper is killed at random moments. The job file is then the last version that
// was done, or the one after it, and whole; so is the autosave.
func TestKilledWhileSaving(t *testing.T) {
	kills := 100
	if testing.Short() {
		kills = 10
	}
	start := saved(t, sample(t))
	j, err := base(start)
	if err != nil {
		t.Fatal(err)
	}
	path := saved(t, version(j, 0))
	random := rand.New(rand.NewPCG(5, 5))
	at, cut := 0, 0
	for i := range kills {
		folder := t.TempDir()
		p := helper(t, "save", start, path, folder, strconv.Itoa(at+1))
		done := numbers{saved: at, kept: at}
		for done.kept == at {
			line := p.line()
			if line == "" {
				t.Fatal("the helper ended by itself")
			}
			done.hear(line)
		}
		heard := make(chan struct{})
		go func() {
			defer close(heard)
			for p.lines.Scan() {
				done.hear(p.lines.Text())
			}
		}()
		time.Sleep(time.Duration(random.Int64N(int64(40 * time.Millisecond))))
		_ = p.cmd.Process.Kill()
		<-heard
		p.kill()

		if strings.Contains(names(t, filepath.Dir(path)), ".part") {
			cut++
		}
		got, notes, err := job.ReadFile(t.Context(), path)
		if err != nil || len(notes) > 0 {
			t.Fatalf("after kill %d: %v %v", i+1, notes, err)
		}
		checkKept(t, folder, path, j, done.kept)
		at = checkWhole(t, "the job file", got, j, done.saved)
	}
	t.Logf("%d kills up to version %d; %d left a file half written beside the job", kills, at, cut)
	if cut == 0 && !testing.Short() {
		t.Error("no kill met a saving: the test shows nothing")
	}
	c, _ := open(t, path)
	if err := c.Release(); err != nil {
		t.Fatal(err)
	}
	if got := names(t, filepath.Dir(path)); got != "pump.kilnpoise" {
		t.Errorf("after opening it again the folder holds %s", got)
	}
}

// checkKept wants the one autosave in the folder to be whole, offered, and gone once
// discarded.
func checkKept(t *testing.T, folder, path string, base job.Job, least int) {
	t.Helper()
	left, err := job.Leftovers(folder)
	if err != nil {
		t.Fatal(err)
	}
	if len(left) != 1 || left[0].Fault != nil {
		t.Fatalf("the leftovers are %+v", left)
	}
	l := left[0]
	j, _, err := l.Job(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	checkWhole(t, "the autosave", j, base, least)
	if l.Origin.Path != path || l.Orientation != j.Choice.Name || time.Since(l.Kept) > time.Hour {
		t.Fatalf("the leftover tells %+v", l)
	}
	if err := l.Discard(); err != nil {
		t.Fatal(err)
	}
	if list, err := os.ReadDir(folder); err != nil || len(list) > 0 {
		t.Fatalf("discarding leaves %v (%v)", list, err)
	}
}
