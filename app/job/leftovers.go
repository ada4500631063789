package job

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"kilnpoise/app/lock"
)

// Leftover is an autosave whose owner is gone: what a window that crashed was working
// on.
type Leftover struct {
	// Kept is when it was written.
	Kept time.Time
	// Origin is the job file that it belongs to; see Reclaim. The zero value is
	// that of a job never saved.
	Origin Origin
	// Part is the name of the part file, Orientation that of the chosen candidate.
	Part, Orientation string
	// Fault says why it cannot be read; nil where it can. Such a one can only be
	// discarded.
	Fault error

	dir string
}

// errGone says that a leftover was taken or discarded by another window.
var errGone = errors.New("it is not there any more; another window has taken it")

// Leftovers lists what is left in the folder for autosaves, the latest first; nothing
// for a folder that does not exist. Empty remains of sittings are cleared away.
func Leftovers(folder string) ([]Leftover, error) {
	list, err := os.ReadDir(folder)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, fmt.Errorf("what was kept by itself cannot be listed in %s (%w); make the folder readable", folder, withoutPath(err))
	}
	var out []Leftover
	for _, e := range list {
		switch name := e.Name(); {
		case e.IsDir():
			if l, ok := leftover(filepath.Join(folder, name)); ok {
				out = append(out, l)
			}
		case strings.HasSuffix(name, lockSuffix):
			clearLock(filepath.Join(folder, name))
		}
	}
	slices.SortStableFunc(out, func(a, b Leftover) int { return b.Kept.Compare(a.Kept) })
	return out, nil
}

// leftover looks at one sitting; false where its owner lives or it holds nothing.
func leftover(dir string) (Leftover, bool) {
	s, err := claimSitting(dir)
	if err != nil {
		return Leftover{}, false
	}
	defer func() { _ = s.end() }()
	info, err := os.Lstat(filepath.Join(dir, keptFile))
	if err != nil {
		return Leftover{}, false
	}
	about, j, _, err := s.read(context.Background(), true)
	l := Leftover{
		Kept: about.Kept, Origin: Origin{about.Path, about.SHA256}, Part: j.Part.File, Orientation: j.Choice.Name,
		Fault: err, dir: dir,
	}
	if l.Kept.IsZero() {
		l.Kept = info.ModTime().UTC()
	}
	return l, true
}

// clearLock removes a lock file that was left without its sitting.
func clearLock(path string) {
	if _, err := os.Lstat(strings.TrimSuffix(path, lockSuffix)); err == nil {
		return
	}
	if l, err := lock.Take(path); err == nil {
		_ = l.Release()
	}
}

// Job reads what was kept, with remarks in sentences. It stays until discarded: let a
// Keeper have it first.
func (l Leftover) Job(ctx context.Context) (Job, []string, error) {
	s, err := claimSitting(l.dir)
	if err != nil {
		return Job{}, nil, errGone
	}
	defer func() { _ = s.end() }()
	if _, err := os.Lstat(filepath.Join(l.dir, keptFile)); err != nil {
		return Job{}, nil, errGone
	}
	_, j, notes, err := s.read(ctx, false)
	if ctx.Err() != nil {
		return Job{}, nil, ctx.Err()
	}
	if err != nil {
		return Job{}, nil, fmt.Errorf("what was kept of the job cannot be used (%w)", err)
	}
	return j, notes, nil
}

// asideFolder is beside the folder for autosaves.
const asideFolder = "set-aside"

// SetAside moves it, as it is, to where it is not offered any more, and gives where.
func (l Leftover) SetAside() (string, error) {
	s, err := claimSitting(l.dir)
	if err != nil {
		return "", errGone
	}
	folder := filepath.Join(filepath.Dir(filepath.Dir(l.dir)), asideFolder)
	if err := os.MkdirAll(folder, 0o700); err != nil {
		return "", errors.Join(fmt.Errorf("the folder %s cannot be made (%w)", folder, withoutPath(err)), s.lock.Release())
	}
	to := filepath.Join(folder, filepath.Base(l.dir))
	for n := 2; ; n++ {
		if _, err := os.Lstat(to); errors.Is(err, fs.ErrNotExist) {
			break
		}
		to = filepath.Join(folder, fmt.Sprintf("%s-%d", filepath.Base(l.dir), n))
	}
	if err := os.Rename(l.dir, to); err != nil {
		return "", errors.Join(fmt.Errorf("it cannot be moved to %s (%w)", folder, err), s.lock.Release())
	}
	return to, s.lock.Release()
}

// Discard removes it for good.
func (l Leftover) Discard() error {
	s, err := claimSitting(l.dir)
	if err != nil {
		return errGone
	}
	return errors.Join(s.forget(), s.end())
}
