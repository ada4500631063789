package book

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"modernc.org/sqlite"
	lib "modernc.org/sqlite/lib"
)

// ErrChanged is what Change and Remove give when somebody else changed the firing
// since it was read.
var ErrChanged = errors.New("somebody else has changed this firing meanwhile; look at it again")

// ErrMissing is what Get, Change and Remove give for a firing that is not in the
// book.
var ErrMissing = errors.New("is not in the firing book")

// NewerError says that a book was written by a newer program. It was not touched.
type NewerError struct {
	Path string
	// Version is that of the book, Known the newest that this program reads.
	Version, Known int
}

func (e *NewerError) Error() string {
	return fmt.Sprintf("the firing book %s has version %d, this program knows version %d; use a newer Kilnpoise", e.Path, e.Version, e.Known)
}

// advice is what a person can do about a fault of SQLite, by its primary code
// (https://sqlite.org/rescode.html).
func advice(code int) string {
	switch code & 0xff {
	case lib.SQLITE_BUSY, lib.SQLITE_LOCKED:
		return "another program is using it; try again when that is done"
	case lib.SQLITE_READONLY, lib.SQLITE_PERM, lib.SQLITE_AUTH:
		return "it may not be written; correct the permissions of the file and its folder"
	case lib.SQLITE_FULL:
		return "the disk is full; make room and try again, what was in the book is safe"
	case lib.SQLITE_CANTOPEN:
		return "it cannot be opened; check that its folder is there and may be written"
	case lib.SQLITE_IOERR:
		return "the disk does not answer as it should; check it, and copy the book elsewhere"
	case lib.SQLITE_NOMEM, lib.SQLITE_TOOBIG:
		return "there is not enough memory; close other programs and try again"
	}
	return ""
}

// fault makes one line out of what went wrong when the book was to be read,
// changed and so on.
func (b *Book) fault(done string, err error) error {
	if errors.Is(err, context.Canceled) || errors.Is(err, context.DeadlineExceeded) {
		return err
	}
	var altered *alteredError
	if errors.As(err, &altered) {
		return b.damaged(altered.Error())
	}
	var s *sqlite.Error
	if !errors.As(err, &s) {
		return fmt.Errorf("the firing book %s could not be %s: %w", b.path, done, err)
	}
	switch s.Code() & 0xff {
	case lib.SQLITE_NOTADB:
		return b.noBook()
	case lib.SQLITE_CORRUPT:
		return b.damaged(s.Error())
	}
	if a := advice(s.Code()); a != "" {
		return fmt.Errorf("the firing book %s could not be %s: %s (%w)", b.path, done, a, err)
	}
	return fmt.Errorf("the firing book %s could not be %s: %w", b.path, done, err)
}

// damaged is the sentence for a file that SQLite finds broken.
func (b *Book) damaged(what string) error {
	line, _, _ := strings.Cut(what, "\n")
	return fmt.Errorf("the firing book %s is damaged (%s); move it elsewhere, and put back a copy or import what was exported last%s", b.path, line, b.copyAdvice())
}

// copyAdvice names the newest copy beside the book.
func (b *Book) copyAdvice() string {
	copies, err := filepath.Glob(globbed(b.stem()) + "-v*.db")
	if err != nil || len(copies) == 0 {
		return ""
	}
	newest := slices.MaxFunc(copies, func(p, q string) int { return modified(p).Compare(modified(q)) })
	return "; the newest copy is " + newest
}

func modified(path string) time.Time {
	info, err := os.Stat(path)
	if err != nil {
		return time.Time{}
	}
	return info.ModTime()
}
