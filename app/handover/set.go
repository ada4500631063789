package handover

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"kilnpoise/app/lock"
)

// Set is the files of one hand-over on their way into a folder. They belong together:
// they are written into a hidden folder within it and take their places together, in
// that of an earlier set of the same name. Whatever ends the program, the folder
// holds the old set or the new one: what was cut short before is cleared away, and
// what was cut short while the files were moved is brought to its end, by the next
// Begin.
type Set struct {
	place
	stage string
	lock  *lock.Lock
	// made tells that the folder was not there before.
	made bool
}

// place is where a set goes.
type place struct {
	folder, name string
	// inputs are files that a set must not touch.
	inputs []string
}

// The hidden names in the folder of a hand-over.
const (
	lockName     = ".kilnpoise.lock"
	stagePattern = ".kilnpoise-*.part"
	readyName    = ".kilnpoise-ready"
)

// Begin makes ready to hand over a set: name is what its files begin with, as FileName
// gives it, and tells it from other sets in the folder, which is made where it is
// missing. The inputs are files that are never written over or removed. Drop ends it.
func Begin(folder, name string, inputs ...string) (*Set, error) {
	_, before := os.Lstat(folder)
	if err := os.MkdirAll(folder, 0o755); err != nil {
		return nil, fmt.Errorf("the folder %s for the files cannot be made (%w); choose another", folder, withoutPath(err))
	}
	s := &Set{place: place{folder, name, inputs}, made: errors.Is(before, fs.ErrNotExist)}
	var err error
	s.lock, err = lock.Take(filepath.Join(folder, lockName))
	switch {
	case errors.Is(err, lock.ErrHeld):
		return nil, fmt.Errorf("another Kilnpoise is writing into %s; wait until it is done, or choose another folder", folder)
	case errors.Is(err, lock.ErrNoLocks): // then nothing can be cleared away either
	case err != nil:
		return nil, fmt.Errorf("the folder %s cannot be written into (%w); choose another", folder, withoutPath(err))
	default:
		s.sweep()
	}
	if err := s.begin(); err != nil {
		s.Drop()
		return nil, err
	}
	return s, nil
}

// begin ends what an earlier program could not, and makes the hidden folder.
func (s *Set) begin() (err error) {
	if err := s.settle(); err != nil {
		return err
	}
	if s.stage, err = os.MkdirTemp(s.folder, stagePattern); err != nil {
		return fmt.Errorf("the folder %s cannot be written into (%w); choose another", s.folder, withoutPath(err))
	}
	return nil
}

// sweep removes what programs that were ended have left half-written. The lock is
// held, so nobody is still at it.
func (s *Set) sweep() {
	left, _ := filepath.Glob(filepath.Join(globbed(s.folder), stagePattern))
	for _, path := range left {
		if info, err := os.Lstat(path); err == nil && info.IsDir() {
			_ = os.RemoveAll(path)
		}
	}
}

// globbed escapes a path for filepath.Glob.
func globbed(path string) string {
	return strings.NewReplacer("[", `[[]`, "*", `[*]`, "?", `[?]`).Replace(path)
}

// Stage is the folder to write the files into; see Order.Folder.
func (s *Set) Stage() string { return s.stage }

// Look tells what putting files of these names in their places would do.
func (s *Set) Look(files ...string) (Outlook, error) { return s.look(files) }

// Put puts all files of the stage in their places and removes what is stale of the
// set before, and gives their paths. Where files are in the way it fails with an
// *InTheWayError, unless it has leave to replace them. See Outlook.
func (s *Set) Put(leave bool) ([]string, error) {
	entries, err := os.ReadDir(s.stage)
	if err != nil {
		return nil, fmt.Errorf("the files in %s are gone (%w); write them again", s.folder, withoutPath(err))
	}
	var files []string
	for _, e := range entries {
		files = append(files, e.Name())
	}
	out, err := s.look(files)
	if err != nil {
		return nil, err
	}
	if len(out.InTheWay) > 0 && !leave {
		return nil, &InTheWayError{s.folder, out.InTheWay}
	}
	p, err := s.plan(files, out)
	if err != nil {
		return nil, err
	}
	if err := p.write(s.stage); err != nil {
		return nil, err
	}
	// From here on the set is handed over, whatever comes.
	if err := os.Rename(s.stage, filepath.Join(s.folder, readyName)); err != nil {
		return nil, fmt.Errorf("the files cannot be put into %s (%w); choose another folder", s.folder, withoutPath(err))
	}
	s.stage = ""
	if err := s.settle(); err != nil {
		return nil, err
	}
	var paths []string
	for _, f := range files {
		paths = append(paths, filepath.Join(s.folder, f))
	}
	return paths, nil
}

// Drop gives up what was not put in its place, and lets others write into the folder;
// one that Begin made goes again where nothing was put into it.
// Further calls do nothing.
func (s *Set) Drop() {
	if s.stage != "" {
		_ = os.RemoveAll(s.stage)
		s.stage = ""
	}
	_ = s.lock.Release()
	if s.made {
		_ = os.Remove(s.folder) // fails where there is anything in it
	}
}

// settle moves the files of a set that is ready to their places: advice.json last, so
// that it never speaks of files that are not there yet.
func (s *Set) settle() error {
	ready := filepath.Join(s.folder, readyName)
	if info, err := os.Lstat(ready); err != nil || !info.IsDir() {
		return nil
	}
	p, err := readPlan(ready)
	if err != nil {
		return os.RemoveAll(ready) // nobody's: a plan is there before the folder is
	}
	for _, f := range p.order() {
		err := os.Rename(filepath.Join(ready, f.File), filepath.Join(s.folder, f.File))
		if err != nil && !errors.Is(err, fs.ErrNotExist) { // moved already
			return fmt.Errorf("%s cannot take its place in %s (%w); free it and do this again", f.File, s.folder, withoutPath(err))
		}
	}
	for _, f := range p.Stale {
		if f.unchanged(s.folder) {
			_ = os.Remove(filepath.Join(s.folder, f.File))
		}
	}
	if err := p.Kept.write(s.folder); err != nil {
		return err
	}
	if err := removePlan(ready); err != nil {
		return fmt.Errorf("the files are in %s, but what they came with cannot be removed (%w)", s.folder, withoutPath(err))
	}
	return nil
}

// removePlan removes the folder of a set that is in its places, in which the plan alone
// is left as a rule. Some systems remove a file and an empty folder, but know nothing of
// the calls that removing a tree takes.
func removePlan(ready string) error {
	_ = os.Remove(filepath.Join(ready, planName))
	if os.Remove(ready) == nil {
		return nil
	}
	return os.RemoveAll(ready)
}

// adviceName is the file that speaks of the others.
const adviceName = "advice.json"

// order gives the files to be moved, advice.json last.
func (p *plan) order() []record {
	files := slices.Clone(p.New)
	slices.SortStableFunc(files, func(a, b record) int {
		switch {
		case a.File == b.File:
			return 0
		case a.File == adviceName:
			return 1
		case b.File == adviceName:
			return -1
		}
		return strings.Compare(a.File, b.File)
	})
	return files
}

// withoutPath takes the path out of an error of the system, where the message names
// it already.
func withoutPath(err error) error {
	var at *fs.PathError
	var link *os.LinkError
	switch {
	case errors.As(err, &at):
		return at.Err
	case errors.As(err, &link):
		return link.Err
	}
	return err
}
