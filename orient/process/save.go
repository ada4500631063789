package process

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strings"

	"github.com/pelletier/go-toml/v2"
)

// errNoFolder is what Save and Reset give when the shelf was opened without a
// user's folder.
var errNoFolder = errors.New("there is no folder for the user's own records; set HOME or XDG_CONFIG_HOME (APPDATA on Windows)")

// Save checks a record and writes it into the user's folder under its ID, whole
// or not at all; from then on Get and List give it. A figure that differs from
// the one before loses the old source, since it no longer speaks of it, and gets
// the tag S, unless the caller has given it a new source itself. A figure put
// back to the built-in value gets the built-in source again. A record that bears the
// name of one with other figures gets a name of its own, true to its figures.
func (s *Shelf[T]) Save(r T) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	r = s.kind.clone(r)
	s.retag(*s.kind.id(&r), &r)
	*s.kind.name(&r) = s.ownName(&r)
	return s.keep(r)
}

// SaveAs keeps r as one more record of the user's own, beside the one that it was
// made from; name may be empty. It gives the record as it is kept, with its new ID.
func (s *Shelf[T]) SaveAs(r T, name string) (T, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	r = s.kind.clone(r)
	from := *s.kind.id(&r)
	s.retag(from, &r)
	if name == "" {
		name = *s.kind.name(&r)
		if before, ok := s.get(from); ok && name == *s.kind.name(&before) {
			name = s.kind.follow(name, &before, &r)
		}
		name = marked(name, ownWord)
	}
	*s.kind.id(&r) = s.freeID(name)
	*s.kind.name(&r) = s.free(name, *s.kind.id(&r))
	return s.kind.clone(r), s.keep(r)
}

// keep writes a record; the shelf is locked by the caller.
func (s *Shelf[T]) keep(r T) error {
	if s.dir == "" {
		return errNoFolder
	}
	id := *s.kind.id(&r)
	if err := checkID(id); err != nil {
		return err
	}
	if err := errors.Join(s.kind.check(&r)...); err != nil {
		return fmt.Errorf("the %s record is not saved: %w", s.kind.folder, err)
	}
	file := filepath.Join(s.dir, id+".toml")
	if u, ok := s.user[id]; ok {
		file = u.file
	}
	data, err := toml.Marshal(r)
	if err != nil {
		return fmt.Errorf("the %s record is not saved: %w", s.kind.folder, err)
	}
	if err := writeWhole(file, data); err != nil {
		return fmt.Errorf("the %s record is not saved: %w", s.kind.folder, err)
	}
	s.user[id] = userRecord[T]{r, file}
	return nil
}

// Reset removes the user's own record of that ID, so that a built-in one of the
// same ID is used again.
func (s *Shelf[T]) Reset(id string) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	u, ok := s.user[id]
	if !ok {
		return fmt.Errorf("there is no %s record %q of your own", s.kind.folder, id)
	}
	if err := os.Remove(u.file); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("cannot remove the %s record: %w", s.kind.folder, err)
	}
	delete(s.user, id)
	return nil
}

// checkID allows what is a plain file name on every system.
func checkID(id string) error {
	if !regexp.MustCompile(`^[a-z0-9][a-z0-9_-]*([. ][a-z0-9_-]+)*$`).MatchString(id) || len(id) > 100 {
		return fmt.Errorf("a record cannot be kept under %q; use small letters, digits and hyphens", id)
	}
	switch strings.TrimRight(id, "0123456789") {
	case "con", "prn", "aux", "nul", "com", "lpt":
		return fmt.Errorf("a record cannot be kept under %q, which is no file name on Windows; choose another", id)
	}
	return nil
}

// IDFor makes an ID out of a name: small letters, digits and hyphens. It is empty
// when the name holds none of these.
func IDFor(name string) string {
	parts := strings.FieldsFunc(strings.ToLower(name), func(r rune) bool {
		return (r < 'a' || r > 'z') && (r < '0' || r > '9')
	})
	return strings.Join(parts, "-")
}

// writeWhole writes a file beside its place and renames it there, so that a full
// disk or a pulled plug leaves the old file as it was.
func writeWhole(file string, data []byte) (err error) {
	dir := filepath.Dir(file)
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return err
	}
	f, err := os.CreateTemp(dir, ".record-*")
	if err != nil {
		return err
	}
	defer func() {
		if err != nil {
			f.Close()
			os.Remove(f.Name())
		}
	}()
	if _, err = f.Write(data); err != nil {
		return err
	}
	if err = f.Sync(); err != nil {
		return err
	}
	if err = f.Close(); err != nil {
		return err
	}
	return os.Rename(f.Name(), file)
}
