package book

import (
	"bufio"
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"reflect"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"gonum.org/v1/gonum/spatial/r3"
)

// helperBook names the book to the helper process, helperSeed its seed.
const (
	helperBook = "KILNPOISE_TEST_BOOK"
	helperSeed = "KILNPOISE_TEST_SEED"
)

// TestMain turns this program into the helper of the kill test when it is asked to.
func TestMain(m *testing.M) {
	if path := os.Getenv(helperBook); path != "" {
		if err := scribble(path, os.Getenv(helperSeed)); err != nil {
			fmt.Println("fault", err)
			os.Exit(1)
		}
		os.Exit(0)
	}
	os.Exit(m.Run())
}

// scribble adds, changes and removes firings until it is killed, and says each
// only once the book has acknowledged it. What a firing holds follows from its key
// and its revision.
func scribble(path, seed string) error {
	ctx := context.Background()
	b, err := Open(ctx, path)
	if err != nil {
		return err
	}
	n, err := strconv.ParseUint(seed, 10, 64)
	if err != nil {
		return err
	}
	rng := rand.New(rand.NewPCG(n, 1))
	fmt.Println("open")
	var kept []Firing
	for i := 0; ; i++ {
		switch at := rng.IntN(max(len(kept), 1)); {
		case len(kept) > 2 && rng.IntN(6) == 0:
			fmt.Println("removing", kept[at].Key)
			if _, err := b.Remove(ctx, kept[at].ID); err != nil {
				return err
			}
			fmt.Println("removed", kept[at].Key)
			kept = append(kept[:at], kept[at+1:]...)
		case len(kept) > 2 && rng.IntN(3) == 0:
			next := contents(kept[at].Key, kept[at].Revision+1)
			next.ID, next.Revision = kept[at].ID, kept[at].Revision
			_, now, err := b.Change(ctx, next)
			if err != nil {
				return err
			}
			fmt.Println("kept", now.Key, now.Revision)
			kept[at] = now
		default:
			f, err := b.Add(ctx, contents(fmt.Sprint("k", seed, "-", i), 1))
			if err != nil {
				return err
			}
			fmt.Println("kept", f.Key, f.Revision)
			kept = append(kept, f)
		}
	}
}

// contents is the firing of a key in a revision: enough readings for several
// pages.
func contents(key string, revision int64) Firing {
	f := Firing{Key: key, Date: time.Date(2026, 3, 2, 0, 0, 0, 0, time.UTC), Material: "316l", Remarks: fmt.Sprint(key, " in revision ", revision)}
	for i := range 20 + len(key)%7*5 + int(revision)%3*20 {
		f.Readings = append(f.Readings, Reading{
			Name: fmt.Sprint(key, " ", revision, " ", i), PrintDirection: r3.Vec{Z: 1}, GreenMM: 30 + float64(i)/100, SinteredMM: 25, ErrorMM: 0.02,
		})
	}
	return f
}

// acknowledged is what helpers have said, by key: the revision kept, 0 once it was
// removed. In doubt is what was about to be removed when the helper died.
type acknowledged struct {
	revision map[string]int64
	inDoubt  map[string]bool
}

func (a *acknowledged) hear(t *testing.T, text string) {
	words := strings.Fields(text)
	switch {
	case len(words) == 3 && words[0] == "kept":
		r, err := strconv.ParseInt(words[2], 10, 64)
		if err != nil {
			t.Fatal(err)
		}
		a.revision[words[1]] = r
	case len(words) == 2 && words[0] == "removing":
		a.inDoubt[words[1]] = true
	case len(words) == 2 && words[0] == "removed":
		a.revision[words[1]] = 0
		delete(a.inDoubt, words[1])
	case len(words) > 0 && words[0] == "fault":
		t.Fatal(text)
	}
}

// holds checks the book: every firing acknowledged is there, in the revision
// acknowledged or one that was written just before the kill, and every firing there is
// whole. What is in doubt is settled by what the book says.
func (a *acknowledged) holds(t *testing.T, path string) (unheard int) {
	t.Helper()
	b, err := Open(context.Background(), path) // with its check of the whole file
	if err != nil {
		t.Fatal(err)
	}
	defer b.Close()
	firings, err := b.List(context.Background(), Filter{})
	if err != nil {
		t.Fatal(err)
	}
	there := map[string]bool{}
	for _, f := range firings {
		there[f.Key] = true
		want := contents(f.Key, f.Revision)
		want.ID, want.Revision = f.ID, f.Revision
		if !reflect.DeepEqual(want, f) { // cmp takes long for so many
			t.Fatalf("%s is not whole: %s", f.Key, cmp.Diff(want, f))
		}
		told, heard := a.revision[f.Key]
		if heard && told == 0 || f.Revision < told || f.Revision > told+1 {
			t.Fatalf("%s is there in revision %d, told was %d", f.Key, f.Revision, told)
		}
		if f.Revision != told {
			unheard++
			a.revision[f.Key] = f.Revision
		}
	}
	for key, told := range a.revision {
		if told > 0 && !there[key] {
			if !a.inDoubt[key] {
				t.Fatalf("%s, revision %d, was acknowledged and is lost", key, told)
			}
			unheard++
			a.revision[key] = 0
		}
	}
	clear(a.inDoubt)
	return unheard
}

// A hundred times a helper is killed at a random moment of writing. The book then
// opens, passes its check, and holds all that was acknowledged, whole.
func TestKilledWhileWriting(t *testing.T) {
	kills := 100
	if testing.Short() {
		kills = 10
	}
	rng := rand.New(rand.NewPCG(71, 72))
	var path string
	var told acknowledged
	journals, unheard, written := 0, 0, 0
	const each = 20 // a new book now and then: reading large ones again and again shows no more
	for i := range kills {
		if i%each == 0 {
			path = filepath.Join(t.TempDir(), "firings.db")
			told = acknowledged{map[string]int64{}, map[string]bool{}}
		}
		told.scribbled(t, path, i, time.Duration(rng.Int64N(int64(60*time.Millisecond))))
		if _, err := os.Stat(path + "-journal"); err == nil {
			journals++ // killed in the middle of a transaction
		}
		unheard += told.holds(t, path)
		if i%each == each-1 || i == kills-1 {
			written += len(told.revision)
		}
	}
	t.Logf("%d kills, %d with a transaction half done, %d done but not yet told, %d firings written", kills, journals, unheard, written)
	if !testing.Short() && (written < kills/2 || journals == 0) {
		t.Errorf("only %d firings were written, and %d kills fell into a transaction: the test shows little", written, journals)
	}
}

// Killed while it brings an older book up to date, the helper leaves it old or
// new, never between, and every copy it made is whole.
func TestKilledWhileUpgrading(t *testing.T) {
	rng := rand.New(rand.NewPCG(73, 74))
	upgraded := 0
	for i := range 20 {
		path := filepath.Join(t.TempDir(), "firings.db")
		older(t, path)
		c := exec.Command(os.Args[0])
		c.Env = append(os.Environ(), helperBook+"="+path, helperSeed+"="+strconv.Itoa(i))
		if err := c.Start(); err != nil {
			t.Fatal(err)
		}
		time.Sleep(time.Duration(rng.Int64N(int64(40 * time.Millisecond))))
		c.Process.Kill()
		c.Wait() //nolint:errcheck // it was killed
		b := opened(t, path)
		if b.Notes() == nil {
			upgraded++
		}
		if f, err := b.Get(context.Background(), 7); err != nil || len(f.Readings) != 1 || f.Remarks != "of old" {
			t.Fatalf("after a kill: %+v, %v", f, err)
		}
		copies, err := filepath.Glob(b.stem() + "-v1-*.db")
		if err != nil || len(copies) == 0 {
			t.Fatalf("no copy: %v", err)
		}
		for _, path := range copies {
			if err := checkCopy(context.Background(), path); err != nil {
				t.Errorf("%s: %v", path, err)
			}
		}
	}
	t.Logf("%d of 20 were done before the kill", upgraded)
}

// scribbled runs a helper and kills it some time after it has opened the book.
func (a *acknowledged) scribbled(t *testing.T, path string, seed int, after time.Duration) {
	t.Helper()
	c := exec.Command(os.Args[0])
	c.Env = append(os.Environ(), helperBook+"="+path, helperSeed+"="+strconv.Itoa(seed))
	out, err := c.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := c.Start(); err != nil {
		t.Fatal(err)
	}
	lines := bufio.NewScanner(out)
	for lines.Scan() {
		if lines.Text() == "open" {
			time.AfterFunc(after, func() { c.Process.Kill() })
		}
		a.hear(t, lines.Text())
	}
	if err := c.Wait(); err == nil {
		t.Fatal("the helper ended by itself")
	}
}
