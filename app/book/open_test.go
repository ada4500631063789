package book

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
)

// raw opens a database without the book.
func raw(t *testing.T, path string) *sql.DB {
	t.Helper()
	db, err := sql.Open("sqlite", source(path, "rwc"))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { db.Close() })
	return db
}

func execute(t *testing.T, db *sql.DB, query string, args ...any) {
	t.Helper()
	if _, err := db.Exec(query, args...); err != nil {
		t.Fatal(err)
	}
}

func TestVersionIsTheNumberOfSteps(t *testing.T) {
	if len(steps()) != currentVersion {
		t.Errorf("%d steps, version %d", len(steps()), currentVersion)
	}
}

// older makes a book of version 1 with a firing and a reading.
func older(t *testing.T, path string) {
	t.Helper()
	db := raw(t, path)
	execute(t, db, steps()[0])
	execute(t, db, fmt.Sprintf("PRAGMA user_version = 1; PRAGMA application_id = %d", applicationID))
	execute(t, db, `INSERT INTO firing VALUES (7, 'old', 3, '2025-11-04', '316l', 'small', 'lid', '', '', '', 'of old', 0, 0, 0, 0)`)
	execute(t, db, `INSERT INTO reading VALUES (7, 0, 'width', 0, 0, 0, 1, 0, 0, 47.6, 47.5, 40, 39.9, 'calliper', 0.02, 0)`)
	if err := db.Close(); err != nil {
		t.Fatal(err)
	}
}

// A book of an older version is copied as it was, and brought up to date with all
// that was in it.
func TestUpgrade(t *testing.T) {
	ctx := context.Background()
	path := filepath.Join(t.TempDir(), "book [of] ours.db")
	older(t, path)
	b := opened(t, path)
	f, err := b.Get(ctx, 7)
	if err != nil || f.Remarks != "of old" || f.Run != "" || len(f.Readings) != 1 || f.Readings[0].SinteredMM != 39.9 || f.Readings[0].LeftOut {
		t.Errorf("after the upgrade: %+v, %v", f, err)
	}
	f.Readings[0].LeftOut, f.Run = true, "12"
	if _, _, err := b.Change(ctx, f); err != nil {
		t.Error(err)
	}
	copies, err := filepath.Glob(globbed(b.stem()) + "-v1-*.db")
	if err != nil || len(copies) != 1 {
		t.Fatalf("copies %v, %v", copies, err)
	}
	if notes := strings.Join(b.Notes(), ""); !strings.Contains(notes, copies[0]) || !strings.Contains(notes, "version 1") {
		t.Errorf("notes %q", notes)
	}
	var version, firings int
	if err := raw(t, copies[0]).QueryRow("SELECT user_version, (SELECT count(*) FROM firing) FROM pragma_user_version").Scan(&version, &firings); err != nil || version != 1 || firings != 1 {
		t.Errorf("the copy has version %d and %d firings, %v", version, firings, err)
	}
	if again := opened(t, path); again.Notes() != nil {
		t.Errorf("opened again: %q", again.Notes())
	}
	if left, _ := filepath.Glob(filepath.Join(globbed(filepath.Dir(path)), "*.part")); len(left) != 0 {
		t.Errorf("left behind: %v", left)
	}
}

// An older book that cannot be copied is not touched.
func TestUpgradeNeedsItsCopy(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, strings.Repeat("b", 235)+".db") // the copy's name would pass 255 bytes
	older(t, path)
	before, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := Open(context.Background(), path); err == nil || !strings.Contains(err.Error(), "was not brought up to date") {
		t.Errorf("Open = %v", err)
	}
	if after, err := os.ReadFile(path); err != nil || string(after) != string(before) {
		t.Errorf("the book was changed; %v", err)
	}
}

// A newer book is refused with its version and stays as it was; so do files that
// are something else or broken. Each gives one line that says what to do.
func TestBooksThatAreRefused(t *testing.T) {
	good := func(t *testing.T, path string) {
		b := opened(t, path)
		for i := range 40 {
			f := lid()
			f.Key = fmt.Sprint("k", i)
			added(t, b, f)
		}
		if err := b.Close(); err != nil {
			t.Fatal(err)
		}
	}
	spoil := func(t *testing.T, path string, change func([]byte) []byte) {
		data, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, change(data), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	tests := []struct {
		name string
		make func(t *testing.T, path string)
		want string
	}{
		{"newer", func(t *testing.T, path string) {
			good(t, path)
			execute(t, raw(t, path), "PRAGMA user_version = 99")
		}, "has version 99, this program knows version 3"},
		{"text", func(t *testing.T, path string) { put(t, path, []byte("date;width\n1;2\n")) }, "is no firing book; move it elsewhere"},
		{"one byte", func(t *testing.T, path string) { put(t, path, []byte("S")) }, "is no firing book"},
		{"noise", func(t *testing.T, path string) {
			noise := make([]byte, 50_000)
			rng := rand.New(rand.NewPCG(1, 2))
			for i := range noise {
				noise[i] = byte(rng.Uint32())
			}
			put(t, path, noise)
		}, "is no firing book"},
		{"noise behind the first words", func(t *testing.T, path string) {
			noise := []byte(magic)
			rng := rand.New(rand.NewPCG(3, 4))
			for len(noise) < 50_000 {
				noise = append(noise, byte(rng.Uint32()))
			}
			put(t, path, noise)
		}, "move it elsewhere"},
		{"of another program", func(t *testing.T, path string) { execute(t, raw(t, path), "CREATE TABLE song (name TEXT)") }, "is no firing book"},
		{"cut short", func(t *testing.T, path string) {
			good(t, path)
			spoil(t, path, func(b []byte) []byte { return b[:len(b)/2] })
		}, "is damaged"},
		{"pages of zeros", func(t *testing.T, path string) {
			good(t, path)
			spoil(t, path, func(b []byte) []byte { clear(b[len(b)/2 : len(b)/2+8192]); return b })
		}, "is damaged"},
		{"readings of nothing", func(t *testing.T, path string) {
			good(t, path)
			execute(t, raw(t, path), "PRAGMA foreign_keys = 0; DELETE FROM firing WHERE id = 3")
		}, "5 readings or sags belong to no firing"},
		{"a folder", func(t *testing.T, path string) {
			if err := os.Mkdir(path, 0o755); err != nil {
				t.Fatal(err)
			}
		}, "is no file"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			path := filepath.Join(t.TempDir(), "b.db")
			tt.make(t, path)
			before, _ := os.ReadFile(path)
			b, err := Open(context.Background(), path)
			if err == nil {
				b.Close()
				t.Fatal("opened")
			}
			if !strings.Contains(err.Error(), tt.want) || !strings.Contains(err.Error(), path) || strings.Contains(err.Error(), "\n") {
				t.Errorf("error %q, want one line with %q", err, tt.want)
			}
			if after, _ := os.ReadFile(path); string(after) != string(before) {
				t.Error("the file was changed")
			}
		})
	}
	var newer *NewerError
	path := filepath.Join(t.TempDir(), "b.db")
	tests[0].make(t, path)
	if _, err := Open(context.Background(), path); !errors.As(err, &newer) || newer.Version != 99 || newer.Known != currentVersion {
		t.Errorf("newer: %+v", newer)
	}
}

// put writes a file that is no book.
func put(t *testing.T, path string, data []byte) {
	t.Helper()
	if err := os.WriteFile(path, data, 0o600); err != nil {
		t.Fatal(err)
	}
}

// A damaged book names the copy there is.
func TestDamageNamesTheCopy(t *testing.T) {
	path := filepath.Join(t.TempDir(), "b.db")
	older(t, path)
	b := opened(t, path)
	if err := b.Close(); err != nil {
		t.Fatal(err)
	}
	put(t, path, []byte("gone"))
	if _, err := Open(context.Background(), path); err == nil || !strings.Contains(err.Error(), "the newest copy is "+b.stem()+"-v1-") {
		t.Errorf("Open = %v", err)
	}
}

// An empty file, as a kill at the very first moment leaves it, is a new book.
func TestEmptyFileIsANewBook(t *testing.T) {
	path := filepath.Join(t.TempDir(), "b.db")
	put(t, path, nil)
	added(t, opened(t, path), lid())
}

func TestCopyTo(t *testing.T) {
	ctx := context.Background()
	dir := t.TempDir()
	b := opened(t, filepath.Join(dir, "b.db"))
	f := added(t, b, lid())
	target := filepath.Join(dir, "copy.db")
	if err := b.CopyTo(ctx, target); err != nil {
		t.Fatal(err)
	}
	if got, err := opened(t, target).Get(ctx, f.ID); err != nil || !cmp.Equal(got, f) {
		t.Errorf("the copy holds %+v, %v", got, err)
	}
	if err := b.CopyTo(ctx, target); err == nil || !strings.Contains(err.Error(), "is there already") {
		t.Errorf("copied over: %v", err)
	}
}

// Two programs write at once: none loses a firing, and nobody hears of the other.
func TestTwoWritersAtOnce(t *testing.T) {
	ctx := context.Background()
	path := filepath.Join(t.TempDir(), "b.db")
	const each = 15
	var wait sync.WaitGroup
	for w := range 3 {
		wait.Add(1)
		go func() {
			defer wait.Done()
			b, err := Open(ctx, path) // at once too: one of them begins the book
			if err != nil {
				t.Error(err)
				return
			}
			defer b.Close()
			for i := range each {
				f := lid()
				f.Key = fmt.Sprint(w, "-", i)
				if _, err := b.Add(ctx, f); err != nil {
					t.Error(err)
				}
				if _, err := b.List(ctx, Filter{}); err != nil {
					t.Error(err)
				}
			}
		}()
	}
	wait.Wait()
	if got, err := opened(t, path).List(ctx, Filter{}); err != nil || len(got) != 3*each {
		t.Errorf("%d firings, %v", len(got), err)
	}
}

// A book that another program holds for long gives a line, not a hang; so does a
// caller that gives up.
func TestBusyBook(t *testing.T) {
	path := filepath.Join(t.TempDir(), "b.db")
	b := opened(t, path)
	holder := raw(t, path)
	execute(t, holder, "BEGIN EXCLUSIVE")
	execute(t, b.db, "SELECT 1")
	ctx, cancel := context.WithTimeout(context.Background(), 50*time.Millisecond)
	defer cancel()
	if _, err := b.Add(ctx, lid()); err == nil {
		t.Error("written while another held it")
	}
	if !strings.Contains(b.fault("written", busyError(t, path)).Error(), "another program is using it; try again") {
		t.Error("the line does not say why")
	}
}

// busyError is what SQLite gives at once when it may not wait.
func busyError(t *testing.T, path string) error {
	t.Helper()
	db, err := sql.Open("sqlite", "file:"+path+"?_pragma=busy_timeout(0)")
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	if _, err = db.Exec("BEGIN IMMEDIATE"); err == nil {
		t.Fatal("not busy")
	}
	return err
}

// A full disk loses nothing: SQLite is told that no page may be added.
func TestFullDisk(t *testing.T) {
	ctx := context.Background()
	path := filepath.Join(t.TempDir(), "b.db")
	b := opened(t, path)
	first := added(t, b, lid())
	execute(t, b.db, "PRAGMA max_page_count = 1") // is raised to the present size
	big := lid()
	for range 500 {
		big.Readings = append(big.Readings, big.Readings[0])
	}
	if _, err := b.Add(ctx, big); err == nil || !strings.Contains(err.Error(), "the disk is full; make room") {
		t.Errorf("Add = %v", err)
	}
	if got, err := b.List(ctx, Filter{}); err != nil || len(got) != 1 || !cmp.Equal(got[0], first) {
		t.Errorf("the book holds %d, %v", len(got), err)
	}
}
