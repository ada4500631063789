package process

import (
	"cmp"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"sync"
)

// Shelf holds the records of one kind. It is safe for concurrent use; records
// come and go as copies.
type Shelf[T any] struct {
	kind kind[T]
	dir  string // the user's folder for this kind, or empty

	mu       sync.RWMutex
	builtin  map[string]T
	user     map[string]userRecord[T]
	problems []error
}

// userRecord is a record with the file it is kept in.
type userRecord[T any] struct {
	record T
	file   string
}

func openShelf[T any](k kind[T], builtin fs.FS, user string) *Shelf[T] {
	s := &Shelf[T]{kind: k, builtin: map[string]T{}, user: map[string]userRecord[T]{}}
	if builtin != nil {
		s.each(builtin, k.folder, func(id, file string, r T) { s.builtin[id] = r })
	}
	if user != "" {
		s.dir = filepath.Join(user, k.folder)
		s.each(os.DirFS(s.dir), ".", func(id, file string, r T) {
			s.user[id] = userRecord[T]{r, filepath.Join(s.dir, file)}
		})
		s.nameOld()
	}
	return s
}

// each hands over the sound records of a folder by name of file, and notes what
// is wrong with the others. A folder that does not exist is empty.
func (s *Shelf[T]) each(fsys fs.FS, folder string, keep func(id, file string, r T)) {
	entries, err := fs.ReadDir(fsys, folder)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		s.problems = append(s.problems, fmt.Errorf("cannot read the %s records: %w", s.kind.folder, err))
	}
	taken := map[string]string{}
	for _, entry := range entries {
		name := entry.Name()
		id, isRecord := recordID(name)
		if entry.IsDir() || !isRecord {
			continue
		}
		if other, ok := taken[id]; ok {
			s.problems = append(s.problems, fmt.Errorf("%s and %s are the same name to some systems; rename one (the first is used)", other, name))
			continue
		}
		taken[id] = name
		r, err := s.readFile(fsys, path.Join(folder, name))
		if err != nil {
			s.problems = append(s.problems, s.withAdvice(id, err))
			continue
		}
		*s.kind.id(&r) = id
		keep(id, name, r)
	}
}

// recordID is the name of a file without .toml, in lower case, since some file
// systems do not tell cases apart. Hidden files are no records.
func recordID(name string) (string, bool) {
	id, ok := strings.CutSuffix(strings.ToLower(name), ".toml")
	return id, ok && id != "" && !strings.HasPrefix(id, ".")
}

func (s *Shelf[T]) readFile(fsys fs.FS, name string) (T, error) {
	var none T
	shown := name
	if s.dir != "" {
		shown = filepath.Join(s.dir, name)
	}
	info, err := fs.Stat(fsys, name)
	if err == nil {
		err = checkFile(info) // before it is opened: a pipe would wait
	}
	if err != nil {
		return none, &FileError{File: shown, Err: withoutPath(err)}
	}
	data, err := fs.ReadFile(fsys, name)
	if err != nil {
		return none, &FileError{File: shown, Err: withoutPath(err)}
	}
	return s.kind.read(shown, data)
}

// checkFile refuses what is no file, and what is far too large for a record.
func checkFile(info fs.FileInfo) error {
	switch {
	case !info.Mode().IsRegular():
		return errors.New("it is no file but a folder, a pipe or a device")
	case info.Size() > largestRecord:
		return fmt.Errorf("the file is larger than a record can be (%d bytes); is it the right file?", largestRecord)
	}
	return nil
}

// withoutPath leaves out the path that the system puts before its reason, where
// the message names the whole one already.
func withoutPath(err error) error {
	var at *fs.PathError
	if errors.As(err, &at) {
		return at.Err
	}
	return err
}

// withAdvice adds what happens meanwhile and what to do.
func (s *Shelf[T]) withAdvice(id string, err error) error {
	if r, ok := s.builtin[id]; ok {
		return fmt.Errorf("%w\ncorrect the file and start again, or remove it; until then the built-in %s %q is used", err, s.kind.folder, *s.kind.name(&r))
	}
	return fmt.Errorf("%w\ncorrect the file and start again, or remove it; until then this %s is left out", err, s.kind.folder)
}

// Problems lists what was wrong with files when the shelf was opened, or nil.
func (s *Shelf[T]) Problems() error { return errors.Join(s.problems...) }

// List gives all records sorted by name, then ID; the user's instead of a
// built-in one of the same ID.
func (s *Shelf[T]) List() []T {
	s.mu.RLock()
	defer s.mu.RUnlock()
	all := s.all()
	out := make([]T, 0, len(all))
	for _, r := range all {
		out = append(out, s.kind.clone(r))
	}
	slices.SortFunc(out, func(a, b T) int {
		return cmp.Or(cmp.Compare(*s.kind.name(&a), *s.kind.name(&b)), cmp.Compare(*s.kind.id(&a), *s.kind.id(&b)))
	})
	return out
}

// all gives the records in force by ID; the shelf is locked by the caller.
func (s *Shelf[T]) all() map[string]T {
	all := maps.Clone(s.builtin)
	for id, u := range s.user {
		all[id] = u.record
	}
	return all
}

// Get gives the record of that ID (cases are not told apart). The error names
// the IDs there are.
func (s *Shelf[T]) Get(id string) (T, error) {
	s.mu.RLock()
	defer s.mu.RUnlock()
	if r, ok := s.get(strings.ToLower(id)); ok {
		return s.kind.clone(r), nil
	}
	ids := slices.Collect(maps.Keys(s.builtin))
	ids = slices.AppendSeq(ids, maps.Keys(s.user))
	slices.Sort(ids)
	var none T
	return none, fmt.Errorf("there is no %s record %.60q; there are: %s", s.kind.folder, id, strings.Join(slices.Compact(ids), ", "))
}

func (s *Shelf[T]) get(id string) (T, bool) {
	if u, ok := s.user[id]; ok {
		return u.record, true
	}
	r, ok := s.builtin[id]
	return r, ok
}

// Load reads one record from a file anywhere, without keeping it. Its ID is the
// name of the file without .toml.
func (s *Shelf[T]) Load(file string) (T, error) {
	var none T
	info, err := os.Stat(file)
	if err == nil {
		err = checkFile(info)
	}
	if err != nil {
		return none, &FileError{File: file, Err: withoutPath(err)}
	}
	data, err := os.ReadFile(file)
	if err != nil {
		return none, &FileError{File: file, Err: withoutPath(err)}
	}
	r, err := s.kind.read(file, data)
	if err != nil {
		return none, err
	}
	*s.kind.id(&r), _ = recordID(filepath.Base(file))
	return r, nil
}

// Builtin tells whether there is a built-in record of that ID, in force or not.
func (s *Shelf[T]) Builtin(id string) bool {
	_, ok := s.builtin[strings.ToLower(id)]
	return ok
}

// Edited tells whether the record of that ID is the user's own.
func (s *Shelf[T]) Edited(id string) bool {
	s.mu.RLock()
	defer s.mu.RUnlock()
	_, ok := s.user[strings.ToLower(id)]
	return ok
}
