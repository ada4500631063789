//go:build unix

package lock

import (
	"errors"
	"io/fs"
	"os"

	"golang.org/x/sys/unix"
)

// tryLock locks the whole file for this opening of it, or fails with ErrHeld, or
// ErrNoLocks where the file system knows no locks.
func tryLock(f *os.File) error {
	for {
		err := unix.Flock(int(f.Fd()), unix.LOCK_EX|unix.LOCK_NB)
		switch {
		case errors.Is(err, unix.EINTR):
			continue
		case errors.Is(err, unix.EWOULDBLOCK):
			return ErrHeld
		case errors.Is(err, unix.ENOLCK), errors.Is(err, unix.ENOTSUP), errors.Is(err, unix.EOPNOTSUPP), errors.Is(err, unix.ENOSYS):
			return ErrNoLocks
		}
		return err
	}
}

// letGo removes the file while it is still locked, so that nobody locks it in
// between and loses it.
func letGo(f *os.File, path string) error {
	var err error
	if stillAt(f, path) {
		err = os.Remove(path)
	}
	return errors.Join(err, f.Close())
}

// Unwritable reports whether err says that nothing can be written there.
func Unwritable(err error) bool {
	return errors.Is(err, fs.ErrPermission) || errors.Is(err, unix.EROFS)
}
