package job

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"time"
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

// errHeld says that another holds the lock.
var errHeld = errors.New("it is held by another")

// lock is a file whose being locked says that its owner lives: the system lets go
// of it when the owner ends, however that happens.
type lock struct {
	path string
	file *os.File
}

// acquire makes the lock file at path, locks it and writes down who did. It does not
// wait: errHeld where another has it, also within this process.
func acquire(path string) (*lock, error) {
	const tries = 20 // each is lost only to an owner that ends at this moment
	for range tries {
		f, err := os.OpenFile(path, os.O_RDWR|os.O_CREATE, 0o666)
		if err != nil {
			return nil, err
		}
		if err := tryLock(f); err != nil {
			f.Close()
			return nil, err
		}
		if stillAt(f, path) {
			l := &lock{path, f}
			l.sign()
			return l, nil
		}
		f.Close()
	}
	return nil, errHeld
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
func (l *lock) sign() {
	host, _ := os.Hostname()
	data, err := json.Marshal(Owner{PID: os.Getpid(), Host: host, Since: time.Now().Round(time.Second)})
	if err != nil || l.file.Truncate(0) != nil {
		return
	}
	_, _ = l.file.WriteAt(data, 0)
}

// ownerOf reads who holds the lock at path, as far as it is known.
func ownerOf(path string) Owner {
	var o Owner
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

// release takes the lock file away and lets go of it.
func (l *lock) release() error {
	if l == nil || l.file == nil {
		return nil
	}
	err := letGo(l.file, l.path)
	l.file = nil
	return err
}
