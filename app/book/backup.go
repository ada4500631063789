package book

import (
	"context"
	"database/sql"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"time"
)

// stem is the path of the book without its extension; copies begin with it.
func (b *Book) stem() string { return strings.TrimSuffix(b.path, filepath.Ext(b.path)) }

// globbed escapes a path for filepath.Glob.
func globbed(path string) string {
	return strings.NewReplacer("[", `[[]`, "*", `[*]`, "?", `[?]`).Replace(path)
}

// renew brings an older book up to date, with a copy of it as it was put beside it. A
// copy that was made for nothing goes again.
func (b *Book) renew(ctx context.Context, version int) error {
	target, err := b.backUp(ctx, version)
	if err != nil {
		return err
	}
	if err := b.upgrade(ctx); err != nil {
		if now, e := b.version(context.WithoutCancel(ctx)); e == nil && now == version {
			os.Remove(target)
		}
		return err
	}
	b.notes = append(b.notes, fmt.Sprintf("the firing book had version %d and was brought up to version %d; a copy as it was is %s", version, currentVersion, target))
	return nil
}

// backUp puts a copy of the book as it is beside it, whole or not at all, checked, and
// gives its path.
func (b *Book) backUp(ctx context.Context, version int) (string, error) {
	stamp := time.Now().Format("20060102-150405.000")
	target := fmt.Sprintf("%s-v%d-%s.db", b.stem(), version, stamp)
	if err := b.copyTo(ctx, target); err != nil {
		return "", fmt.Errorf("the firing book was not brought up to date, since no copy of it could be put beside it: %w", err)
	}
	return target, nil
}

// MayWriteTo says why a table must not be written to the path out; nil where it may:
// it would take the place of this book, by whatever name or link, or of another.
func (b *Book) MayWriteTo(out string) error {
	there, err := os.Stat(out)
	if err != nil {
		return nil // nothing there, or writing says what is wrong
	}
	if mine, err := os.Stat(b.path); err == nil && os.SameFile(mine, there) {
		return fmt.Errorf("%s is the firing book itself; choose another file for the table", out)
	}
	if there.Mode().IsRegular() && isDatabase(out) {
		return fmt.Errorf("%s is a firing book or another database; choose another file for the table", out)
	}
	return nil
}

// isDatabase reports whether a file begins as those of SQLite do.
func isDatabase(path string) bool {
	f, err := os.Open(path)
	if err != nil {
		return false
	}
	defer f.Close()
	head := make([]byte, len(magic))
	_, err = io.ReadFull(f, head)
	return err == nil && string(head) == magic
}

// CopyTo writes a copy of the book as it stands to the path target, while others
// may go on writing. A file that is there already is not written over.
func (b *Book) CopyTo(ctx context.Context, target string) error {
	if _, err := os.Stat(target); err == nil {
		return fmt.Errorf("%s is there already; choose another name for the copy", target)
	}
	return b.copyTo(ctx, target)
}

func (b *Book) copyTo(ctx context.Context, target string) (err error) {
	half := target + ".part"
	defer func() {
		if err != nil {
			os.Remove(half)
		}
	}()
	os.Remove(half) // of a copy that was killed
	if _, err := b.db.ExecContext(ctx, "VACUUM INTO ?", half); err != nil {
		return b.fault("copied", err)
	}
	if err := checkCopy(ctx, half); err != nil {
		return err
	}
	if err := synchronise(half); err != nil { // VACUUM INTO does not
		return err
	}
	if err := os.Rename(half, target); err != nil {
		return err
	}
	return synchronise(filepath.Dir(target))
}

// checkCopy reads the copy through.
func checkCopy(ctx context.Context, path string) error {
	db, err := sql.Open("sqlite", source(path, "ro"))
	if err != nil {
		return err
	}
	defer db.Close()
	var first string
	if err := db.QueryRowContext(ctx, "PRAGMA integrity_check(1)").Scan(&first); err != nil {
		return err
	}
	if first != "ok" {
		return fmt.Errorf("the copy is damaged: %s", first)
	}
	return nil
}

// synchronise makes the system write a file or a folder out. Not every system does
// so for folders; that is no fault.
func synchronise(path string) error {
	f, err := os.OpenFile(path, os.O_RDONLY, 0)
	if err != nil {
		return err
	}
	defer f.Close()
	if info, err := f.Stat(); err == nil && info.IsDir() {
		f.Sync() //nolint:errcheck // see above
		return nil
	}
	return f.Sync()
}
