package job

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"kilnpoise/app/lock"
)

var (
	// ErrChangedOnDisk says that a job file is no longer the one that was read or
	// last saved, so that saving would overwrite what another wrote. Offer to save
	// under another name; Claim.Overwrite saves all the same.
	ErrChangedOnDisk = errors.New("was changed by another program since it was opened; save the job under another name")
	// ErrReadOnly says that a job file cannot be written where it lies.
	ErrReadOnly = errors.New("cannot be written where it lies; save the job under another name")
)

// OpenElsewhereError says that a job file is open in another window.
type OpenElsewhereError struct {
	// Path is the job file, Owner who has it, as far as that is known.
	Path  string
	Owner lock.Owner
}

// Error says so, and what to do.
func (e *OpenElsewhereError) Error() string {
	by := ""
	if o := e.Owner.String(); o != "" {
		by = " (" + o + ")"
	}
	return fmt.Sprintf("%s is open in another window%s; go on there, or open it as a copy", filepath.Base(e.Path), by)
}

// Origin is the job file that a job belongs to, and what that file was when it was
// last read or saved. The zero value is that of a job never saved.
type Origin struct {
	Path string
	// SHA256 is the hash of the whole file in hex; "" where it did not exist.
	SHA256 string
}

// Claim is a job file that this window alone may save to, until it is released or
// the program ends. It is used by one goroutine at a time.
type Claim struct {
	origin   Origin
	lock     *lock.Lock
	readOnly bool
	notes    []string
}

// Open claims the job file at path and reads it. It fails with an
// *OpenElsewhereError where another window has it (ReadFile then reads it as a
// copy), and otherwise as Read does, and claims nothing then. A file that cannot be
// written is opened too; saving fails with ErrReadOnly. The notes are remarks in
// sentences.
func Open(ctx context.Context, path string) (c *Claim, j Job, notes []string, err error) {
	// Nothing is claimed, and no lock made, for what is no file.
	if f, _, err := openRegular(path); err != nil {
		return nil, Job{}, nil, err
	} else if err := f.Close(); err != nil {
		return nil, Job{}, nil, named(path, err)
	}
	if c, err = claim(path); err != nil {
		return nil, Job{}, nil, err
	}
	// Opened anew: it may have been saved until the moment of the claim.
	j, notes, err = c.read(ctx)
	if err != nil {
		return nil, Job{}, nil, errors.Join(err, c.Release())
	}
	return c, j, append(c.notes, notes...), nil
}

// read reads the claimed file and takes down what it is.
func (c *Claim) read(ctx context.Context) (Job, []string, error) {
	f, size, err := openRegular(c.origin.Path)
	if err != nil {
		return Job{}, nil, err
	}
	defer f.Close()
	j, notes, err := Read(ctx, f, size)
	if err == nil {
		c.origin.SHA256, err = hashOf(ctx, f, size)
	}
	return j, notes, named(c.origin.Path, err)
}

// Create claims path, which may exist, and saves the job there: "save as".
func Create(ctx context.Context, path string, j Job) (*Claim, error) {
	c, err := claim(path)
	if err != nil {
		return nil, err
	}
	if err := c.Overwrite(ctx, j); err != nil {
		return nil, errors.Join(err, c.Release())
	}
	return c, nil
}

// Reclaim claims the file of an origin again without reading it, for a job that was
// found after a crash: saving still notices where the file has been changed since.
func Reclaim(from Origin) (*Claim, error) {
	c, err := claim(from.Path)
	if err != nil {
		return nil, err
	}
	c.origin.SHA256 = from.SHA256
	return c, nil
}

// claim takes the lock beside the job file, and clears away what savings that were
// cut short have left.
func claim(path string) (*Claim, error) {
	path, err := filepath.Abs(path)
	if err != nil {
		return nil, named(path, fmt.Errorf("cannot be found (%w); give its whole path", err))
	}
	if target, err := filepath.EvalSymlinks(path); err == nil {
		path = target // one file, one lock, by whatever name
	}
	c := &Claim{origin: Origin{Path: path}}
	if info, err := os.Stat(path); err == nil && info.Mode().Perm()&0o222 == 0 {
		c.readOnly = true
	}
	at := filepath.Join(filepath.Dir(path), "."+filepath.Base(path)+".lock")
	c.lock, err = lock.Take(at)
	switch {
	case errors.Is(err, lock.ErrHeld):
		return nil, &OpenElsewhereError{path, lock.OwnerOf(at)}
	case errors.Is(err, lock.ErrNoLocks):
		c.notes = append(c.notes, "This folder cannot keep two windows from opening one job; open it in one only.")
	case err != nil && lock.Unwritable(err):
		c.readOnly = true
	case err != nil:
		return nil, named(path, fmt.Errorf("cannot be claimed (%w); choose another folder", withoutPath(err)))
	default:
		sweep(path)
	}
	return c, nil
}

// sweep removes the temporary files of savings of path that were cut short; see
// mesh.WriteFileWhole for their names. Nobody saves to path but the caller.
func sweep(path string) {
	dir, base := filepath.Split(path)
	list, err := os.ReadDir(dir)
	if err != nil {
		return
	}
	for _, e := range list {
		name, mine := strings.CutPrefix(e.Name(), "."+base+".")
		if numbers, part := strings.CutSuffix(name, ".part"); mine && part && strings.Trim(numbers, "0123456789-") == "" {
			_ = os.Remove(filepath.Join(dir, e.Name()))
		}
	}
}

// Origin gives the file with its hash as of now, for a Keeper.
func (c *Claim) Origin() Origin { return c.origin }

// Path gives the file.
func (c *Claim) Path() string { return c.origin.Path }

// ReadOnly reports whether saving is bound to fail with ErrReadOnly.
func (c *Claim) ReadOnly() bool { return c.readOnly }

// Release lets others have the file. The claim cannot be used afterwards.
func (c *Claim) Release() error {
	if c == nil {
		return nil
	}
	c.readOnly = true
	return c.lock.Release()
}
