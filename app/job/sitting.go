package job

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"

	"kilnpoise/app/lock"
)

// sitting is the folder of the autosave of one window, locked as long as its owner
// lives. Its package is written after the part it needs and before an older part goes,
// so that at every moment there is a whole one.
type sitting struct {
	dir  string
	lock *lock.Lock
}

// The files of a sitting.
const (
	keptFile   = "job"
	partPrefix = "part-"
	lockSuffix = ".lock"
)

// autosave is autosave.json.
type autosave struct {
	Kept   time.Time `json:"kept"`
	Path   string    `json:"path,omitempty"`
	SHA256 string    `json:"sha256,omitempty"`
	Part   string    `json:"part"`
}

// newSitting begins a sitting in the folder, which is made where it is missing.
func newSitting(folder string) (*sitting, error) {
	if err := os.MkdirAll(folder, 0o700); err != nil {
		return nil, err
	}
	stamp := fmt.Sprintf("%s-%d", time.Now().UTC().Format("20060102-150405"), os.Getpid())
	for n := range 10_000 {
		s := &sitting{dir: filepath.Join(folder, fmt.Sprintf("%s-%d", stamp, n))}
		if _, err := os.Lstat(s.dir); err == nil {
			continue
		}
		// The lock comes first: a folder without one is nobody's.
		var err error
		if s.lock, err = lock.Take(s.dir + lockSuffix); errors.Is(err, lock.ErrHeld) {
			continue
		}
		if err != nil {
			return nil, err
		}
		err = os.Mkdir(s.dir, 0o700)
		if err == nil {
			return s, nil
		}
		if err = errors.Join(err, s.lock.Release()); !errors.Is(err, fs.ErrExist) {
			return nil, err
		}
	}
	return nil, errors.New("too many sittings at once")
}

// claimSitting takes over a sitting whose owner is gone; lock.ErrHeld where it is not.
func claimSitting(dir string) (*sitting, error) {
	l, err := lock.Take(dir + lockSuffix)
	if err != nil {
		return nil, err
	}
	return &sitting{dir, l}, nil
}

// keep writes the job. Parts are named by their hash and written once.
func (s *sitting) keep(ctx context.Context, from Origin, j Job, now time.Time) error {
	if err := j.Part.fits(); err != nil {
		return err
	}
	entries, err := j.entries(autosaveKind)
	if err != nil {
		return err
	}
	about, err := encodeJSON(autosave{inFile(now), from.Path, from.SHA256, CleanName(j.Part.File)})
	if err != nil {
		return err
	}
	part := filepath.Join(s.dir, partPrefix+j.Part.Content.SHA256())
	if info, err := os.Lstat(part); err != nil || info.Size() != j.Part.Content.Size() {
		if _, err := writeWhole(part, func(w io.Writer) error { _, err := j.Part.Content.Reader().WriteTo(w); return err }); err != nil {
			return err
		}
	}
	entries = append(entries, entry{autosaveEntry, NewContent(about)})
	_, err = writeWhole(filepath.Join(s.dir, keptFile), func(w io.Writer) error {
		return writePackage(ctx, w, inFile(now), entries)
	})
	if err == nil {
		s.clear(keptFile, filepath.Base(part))
	}
	return err
}

// clear removes all files but those named; what cannot be removed stays for the next
// time.
func (s *sitting) clear(but ...string) {
	list, err := os.ReadDir(s.dir)
	if err != nil {
		return
	}
	stays := map[string]bool{}
	for _, name := range but {
		stays[name] = true
	}
	for _, e := range list {
		if !stays[e.Name()] && !e.IsDir() {
			_ = os.Remove(filepath.Join(s.dir, e.Name()))
		}
	}
}

// forget removes what is kept; the sitting goes on.
func (s *sitting) forget() error {
	err := os.Remove(filepath.Join(s.dir, keptFile)) // first, so that it never lacks its part
	if errors.Is(err, fs.ErrNotExist) {
		err = nil
	}
	if err == nil {
		s.clear()
	}
	return err
}

// end lets go of the sitting; where it holds nothing it is removed.
func (s *sitting) end() error {
	if _, err := os.Lstat(filepath.Join(s.dir, keptFile)); errors.Is(err, fs.ErrNotExist) {
		s.clear()
		_ = os.Remove(s.dir)
	}
	return s.lock.Release()
}

// read gives what is kept; without the part itself where bare.
func (s *sitting) read(ctx context.Context, bare bool) (about autosave, j Job, notes []string, err error) {
	f, size, err := openRegular(filepath.Join(s.dir, keptFile))
	if err != nil {
		return about, j, nil, err
	}
	defer f.Close()
	b, err := openBundle(ctx, f, size)
	if err != nil {
		return about, j, nil, err
	}
	data, err := source(b.read).needed(autosaveEntry)
	if err == nil {
		err = decodeStrict(data, &about)
	}
	if err != nil {
		return about, j, nil, err
	}
	j, d, notes, err := b.job(autosaveKind)
	if err != nil {
		return about, j, nil, err
	}
	j.Part.File = CleanName(about.Part)
	j.Part.Content, err = s.part(d, j.Part.File, bare)
	return about, j, notes, err
}

// part reads the part beside the package, or where bare only sees that it is there.
func (s *sitting) part(d *document, name string, bare bool) (*Content, error) {
	if strings.Trim(d.Part.SHA256, "0123456789abcdef") != "" {
		return nil, errors.New("does not name its part")
	}
	f, size, err := openRegular(filepath.Join(s.dir, partPrefix+d.Part.SHA256))
	if err != nil {
		return nil, err
	}
	defer f.Close()
	if size != d.Part.Size || size > mostPart {
		return nil, fmt.Errorf("has a part of %d bytes in place of %d", size, d.Part.Size)
	}
	if bare {
		return nil, nil
	}
	data := make([]byte, size)
	if _, err := io.ReadFull(f, data); err != nil {
		return nil, withoutPath(err)
	}
	c := NewContent(data)
	return c, d.checkPart(name, c)
}
