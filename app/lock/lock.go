// Package lock makes lock files: a file whose being locked says that its owner lives.
// The system lets go of it when the owner ends, however that happens.
package lock

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"time"
)

var (
	// ErrHeld says that another holds the lock.
	ErrHeld = errors.New("it is held by another")
	// ErrNoLocks says that the file system knows no locks.
	ErrNoLocks = errors.New("the file system knows no locks")
)

// Owner is who holds something.
type Owner struct {
	PID   int       `json:"pid"`
	Host  string    `json:"host"`
	Since time.Time `json:"since"`
}

// String names the owner in words; "" for nobody known.
func (o Owner) String() string {
	if o.PID == 0 {
		return ""
	}
	return fmt.Sprintf("process %d on %.60q, since %s", o.PID, o.Host, o.Since.Local().Format("2 Jan 15:04"))
}

// Lock is a lock that is held.
type Lock struct {
	path string
	file *os.File
}

// Take makes the lock file at path, locks it and writes down who did. It does not
// wait: ErrHeld where another has it, also within this process.
func Take(path string) (*Lock, error) {
	const tries = 20 // each is lost only to an owner that ends at this moment
	for range tries {
		f, err := openOrMake(path)
		if err != nil {
			return nil, err
		}
		if err := tryLock(f); err != nil {
			f.Close()
			return nil, err
		}
		if stillAt(f, path) {
			l := &Lock{path, f}
			l.sign()
			return l, nil
		}
		f.Close()
	}
	return nil, ErrHeld
}

// openOrMake opens the lock file, or makes it. What lies in its place and is no file,
// a link above all, is an error: it must not make or change anything elsewhere.
func openOrMake(path string) (*os.File, error) {
	f, err := os.OpenFile(path, os.O_RDWR|os.O_CREATE|os.O_EXCL, 0o666)
	if !errors.Is(err, fs.ErrExist) {
		return f, err
	}
	info, err := os.Lstat(path)
	switch {
	case err == nil && !info.Mode().IsRegular():
		return nil, &fs.PathError{Op: "lock", Path: path, Err: errors.New("what lies in the place of the lock is no file; remove it")}
	case err != nil && !errors.Is(err, fs.ErrNotExist):
		return nil, err
	}
	f, err = os.OpenFile(path, os.O_RDWR, 0)
	if errors.Is(err, fs.ErrNotExist) { // its owner has just ended
		return os.OpenFile(path, os.O_RDWR|os.O_CREATE|os.O_EXCL, 0o666)
	}
	return f, err
}

// stillAt reports whether f is what lies at path. An owner that ends takes its lock
// file away, and then others must not think that they hold it; nor must a link lead
// to another file.
func stillAt(f *os.File, path string) bool {
	mine, err := f.Stat()
	if err != nil {
		return false
	}
	there, err := os.Lstat(path)
	return err == nil && os.SameFile(mine, there)
}

// sign writes down who holds the lock, for others to tell. Where that fails they do
// not know whose it is, and it holds all the same.
func (l *Lock) sign() {
	host, _ := os.Hostname()
	data, err := json.Marshal(Owner{PID: os.Getpid(), Host: host, Since: time.Now().Round(time.Second)})
	if err != nil || l.file.Truncate(0) != nil {
		return
	}
	_, _ = l.file.WriteAt(data, 0)
}

// OwnerOf reads who holds the lock at path, as far as it is known.
func OwnerOf(path string) Owner {
	var o Owner
	if info, err := os.Lstat(path); err != nil || !info.Mode().IsRegular() {
		return o
	}
	f, err := os.Open(path)
	if err != nil {
		return o
	}
	defer f.Close()
	data, err := io.ReadAll(io.LimitReader(f, 4096))
	if err != nil || json.Unmarshal(data, &o) != nil {
		return Owner{}
	}
	return o
}

// Release takes the lock file away and lets go of it. A nil lock is not held.
func (l *Lock) Release() error {
	if l == nil || l.file == nil {
		return nil
	}
	err := letGo(l.file, l.path)
	l.file = nil
	return err
}
