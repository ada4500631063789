package book

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"sync/atomic"

	_ "modernc.org/sqlite" // the driver

	"kilnpoise/orient/process"
)

// Book is an open firing book. It is safe for concurrent use, by several programs
// too.
type Book struct {
	path    string
	db      *sql.DB
	notes   []string
	written atomic.Int64
}

// fileName is the file in the user's folder.
const fileName = "firings.db"

// UserFile gives the path of the user's own book, in the folder that holds the
// folder of the records. It need not exist.
func UserFile() (string, error) {
	records, err := process.UserFolder()
	if err != nil {
		return "", fmt.Errorf("there is no folder for the firing book; set HOME or XDG_CONFIG_HOME (APPDATA on Windows): %w", err)
	}
	return filepath.Join(filepath.Dir(records), fileName), nil
}

// waitMS is how long a writer waits for another program.
const waitMS = 5000

// settings hold for every connection: foreign keys are what removes the readings
// with their firing; EXTRA also synchronises the folder once the journal is gone, so
// that a power cut cannot bring an old journal back.
func settings() []string {
	return []string{fmt.Sprintf("busy_timeout(%d)", waitMS), "foreign_keys(1)", "synchronous(EXTRA)", "trusted_schema(0)"}
}

// Open opens the book at path, or begins one there. The whole file is checked; a
// book of an older version is copied and brought up to date, which Notes tells. The
// error is one line that says what to do.
func Open(ctx context.Context, path string) (*Book, error) {
	path, err := filepath.Abs(path)
	if err != nil {
		return nil, fmt.Errorf("the firing book %s cannot be found: %w", path, err)
	}
	b := &Book{path: path}
	if err := b.prepare(); err != nil {
		return nil, err
	}
	if b.db, err = sql.Open("sqlite", source(path, "rwc")); err != nil {
		return nil, b.fault("opened", err)
	}
	// One connection: SQLite has one writer anyway, and a pool would deadlock with
	// itself where a reader wants to write.
	b.db.SetMaxOpenConns(1)
	if err := b.settle(ctx); err != nil {
		b.db.Close()
		return nil, err
	}
	return b, nil
}

// source is the name of the database for the driver. The path is escaped, so that
// no character of it is taken for a parameter.
func source(path, mode string) string {
	slashed := filepath.ToSlash(path)
	if !strings.HasPrefix(slashed, "/") {
		slashed = "/" + slashed // a drive letter of Windows
	}
	q := url.Values{"mode": {mode}, "_txlock": {"immediate"}, "_pragma": settings()}
	u := url.URL{Scheme: "file", Path: slashed, RawQuery: q.Encode()}
	return u.String()
}

// magic begins every SQLite file.
const magic = "SQLite format 3\x00"

// prepare makes the folder, and refuses a file that is something else before
// SQLite touches it.
func (b *Book) prepare() error {
	if strings.ContainsRune(b.path, 0) {
		return errors.New("the path of the firing book holds a byte that no path can hold; choose another")
	}
	if err := os.MkdirAll(filepath.Dir(b.path), 0o755); err != nil {
		return fmt.Errorf("the folder of the firing book cannot be made; choose another place or correct its permissions: %w", err)
	}
	info, err := os.Stat(b.path)
	if errors.Is(err, os.ErrNotExist) {
		return nil
	}
	if err != nil {
		return fmt.Errorf("the firing book cannot be read; correct its permissions: %w", err)
	}
	if !info.Mode().IsRegular() {
		return fmt.Errorf("%s is no file; choose another place for the firing book", b.path)
	}
	f, err := os.Open(b.path)
	if err != nil {
		return fmt.Errorf("the firing book cannot be read; correct its permissions: %w", err)
	}
	defer f.Close()
	head := make([]byte, len(magic))
	if n, _ := f.Read(head); n > 0 && string(head[:n]) != magic {
		return b.noBook()
	}
	return nil
}

func (b *Book) noBook() error {
	return fmt.Errorf("%s is no firing book; move it elsewhere to begin a new one, or name the right file%s", b.path, b.copyAdvice())
}

// settle checks the file and brings it to the present version.
func (b *Book) settle(ctx context.Context) error {
	version, err := b.version(ctx)
	if err != nil {
		return err
	}
	if version > 0 {
		if err := b.integrity(ctx, version); err != nil {
			return err
		}
	}
	if version == currentVersion {
		return nil
	}
	if version == 0 {
		return b.upgrade(ctx)
	}
	return b.renew(ctx, version)
}

// integrity looks through the whole file.
func (b *Book) integrity(ctx context.Context, version int) error {
	var first string
	if err := b.db.QueryRowContext(ctx, "PRAGMA integrity_check(1)").Scan(&first); err != nil {
		return b.fault("checked", err)
	}
	if first != "ok" {
		return b.damaged(first)
	}
	var orphans int
	if err := b.db.QueryRowContext(ctx, "SELECT count(*) FROM pragma_foreign_key_check").Scan(&orphans); err != nil {
		return b.fault("checked", err)
	}
	if orphans > 0 {
		return b.damaged(fmt.Sprintf("%d readings or sags belong to no firing", orphans))
	}
	if version < currentVersion {
		return nil // the check sums come with the upgrade
	}
	_, err := b.List(ctx, Filter{})
	return err
}

// Path is the full path of the file.
func (b *Book) Path() string { return b.path }

// Notes are sentences on what opening did beyond opening; nil for none.
func (b *Book) Notes() []string { return b.notes }

// Close closes the book; it is of no use afterwards.
func (b *Book) Close() error {
	if err := b.db.Close(); err != nil {
		return b.fault("closed", err)
	}
	return nil
}

// Stamp is a number that differs from the one before when anything was changed in
// the meantime, by this program or another. It is cheap: a window may ask whenever
// it comes to the front. It means nothing across openings.
func (b *Book) Stamp(ctx context.Context) (int64, error) {
	var others int64
	if err := b.db.QueryRowContext(ctx, "PRAGMA data_version").Scan(&others); err != nil {
		return 0, b.fault("read", err)
	}
	return others + b.written.Load(), nil
}
