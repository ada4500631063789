package lock_test

import (
	"errors"
	"os"
	"path/filepath"
	"testing"

	"kilnpoise/app/lock"
)

func TestOneAtATime(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.lock")
	first, err := lock.Take(path)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := lock.Take(path); !errors.Is(err, lock.ErrHeld) {
		t.Errorf("taken twice: %v", err)
	}
	if o := lock.OwnerOf(path); o.PID != os.Getpid() {
		t.Errorf("the owner is %v", o)
	}
	if err := first.Release(); err != nil {
		t.Fatal(err)
	}
	if _, err := os.Lstat(path); err == nil {
		t.Error("the lock file stays")
	}
	second, err := lock.Take(path)
	if err != nil {
		t.Fatal(err)
	}
	if err := second.Release(); err != nil {
		t.Fatal(err)
	}
}

// What somebody plants in the place of the lock is not followed: a link that leads
// nowhere makes no file, one that leads to a file leaves it alone.
func TestPlantedLinks(t *testing.T) {
	for _, there := range []bool{false, true} {
		dir := t.TempDir()
		victim, path := filepath.Join(dir, "victim"), filepath.Join(dir, "a.lock")
		if there {
			if err := os.WriteFile(victim, []byte("mine"), 0o600); err != nil {
				t.Fatal(err)
			}
		}
		if err := os.Symlink(victim, path); err != nil {
			t.Skip("needs links")
		}
		if _, err := lock.Take(path); err == nil || errors.Is(err, lock.ErrHeld) {
			t.Errorf("taken through a link: %v", err)
		}
		data, err := os.ReadFile(victim)
		if there != (err == nil) || there && string(data) != "mine" {
			t.Errorf("the link's target: %q, %v", data, err)
		}
	}
}
