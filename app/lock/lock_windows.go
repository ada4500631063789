package lock

import (
	"errors"
	"io/fs"
	"os"

	"golang.org/x/sys/windows"
)

// tryLock locks one byte far behind the end, since a lock here keeps others from
// reading too, or fails with ErrHeld, or ErrNoLocks where the file system knows no
// locks.
func tryLock(f *os.File) error {
	const far = 1 << 30
	at := &windows.Overlapped{OffsetHigh: far}
	err := windows.LockFileEx(windows.Handle(f.Fd()), windows.LOCKFILE_EXCLUSIVE_LOCK|windows.LOCKFILE_FAIL_IMMEDIATELY, 0, 1, 0, at)
	switch {
	case errors.Is(err, windows.ERROR_LOCK_VIOLATION), errors.Is(err, windows.ERROR_IO_PENDING):
		return ErrHeld
	case errors.Is(err, windows.ERROR_NOT_SUPPORTED), errors.Is(err, windows.ERROR_INVALID_FUNCTION):
		return ErrNoLocks
	}
	return err
}

// letGo closes the file and removes it. An open file cannot be removed here, so
// where another has just opened it, it stays.
func letGo(f *os.File, path string) error {
	err := f.Close()
	_ = os.Remove(path)
	return err
}

// Unwritable reports whether err says that nothing can be written there.
func Unwritable(err error) bool {
	return errors.Is(err, fs.ErrPermission) || errors.Is(err, windows.ERROR_WRITE_PROTECT)
}
