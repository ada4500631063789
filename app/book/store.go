package book

import (
	"context"
	"database/sql"
	"database/sql/driver"
	"errors"
	"fmt"
	"strings"
	"time"
)

// The columns of each table, in the order of the fields functions below.
const (
	firingColumns = `key, revision, date, material, furnace, run, part, part_sha256, job, peak, remarks,
		green_mass_g, sintered_mass_g, green_volume_mm3, sintered_volume_mm3`
	sagColumns     = `hold, span_mm, thickness_mm, sag_mm`
	readingColumns = `name, part_x, part_y, part_z, print_x, print_y, print_z, across,
		green_nominal_mm, green_mm, sintered_nominal_mm, sintered_mm, instrument, error_mm, green_error_mm, left_out`
)

// fields point to what firingColumns hold, for reading and writing alike.
func (f *Firing) fields() []any {
	return []any{
		&f.Key, &f.Revision, (*day)(&f.Date), &f.Material, &f.Furnace, &f.Run, &f.Part, &f.PartSHA256, &f.Job, &f.Peak, &f.Remarks,
		&f.GreenMassG, &f.SinteredMassG, &f.GreenVolumeMM3, &f.SinteredVolumeMM3,
	}
}

func (s *Sag) fields() []any { return []any{(*int)(&s.Hold), &s.SpanMM, &s.ThicknessMM, &s.SagMM} }

func (r *Reading) fields() []any {
	return []any{
		&r.Name, &r.PartDirection.X, &r.PartDirection.Y, &r.PartDirection.Z, &r.PrintDirection.X, &r.PrintDirection.Y, &r.PrintDirection.Z,
		(*int)(&r.Across), &r.GreenNominalMM, &r.GreenMM, &r.SinteredNominalMM, &r.SinteredMM, &r.Instrument, &r.ErrorMM, &r.GreenErrorMM, &r.LeftOut,
	}
}

// day is a date in the book: year-month-day.
type day time.Time

// Value implements driver.Valuer.
func (d *day) Value() (driver.Value, error) { return (*time.Time)(d).Format(time.DateOnly), nil }

// Scan implements sql.Scanner.
func (d *day) Scan(v any) error {
	text, ok := v.(string)
	if t, isTime := v.(time.Time); isTime {
		*d = day(Day(t))
		return nil
	}
	if !ok {
		return fmt.Errorf("a date is kept as %T", v)
	}
	t, err := time.Parse(time.DateOnly, text)
	*d = day(t)
	return err
}

// write runs do in one transaction that holds the right to write from its start.
func (b *Book) write(ctx context.Context, done string, do func(tx *sql.Tx) error) error {
	tx, err := b.db.BeginTx(ctx, nil)
	if err != nil {
		return b.fault(done, err)
	}
	defer tx.Rollback() //nolint:errcheck // done after a commit
	if err := do(tx); err != nil {
		if errors.Is(err, ErrChanged) || errors.Is(err, ErrMissing) || errors.As(err, new(*KnownError)) {
			return err
		}
		return b.fault(done, err)
	}
	if err := tx.Commit(); err != nil {
		return b.fault(done, err)
	}
	b.written.Add(1)
	return nil
}

// KnownError says that the book holds a firing of that key already.
type KnownError struct {
	Key string
	ID  int64
}

func (e *KnownError) Error() string {
	return fmt.Sprintf("the firing %s is in the book already, as number %d; change that one instead", e.Key, e.ID)
}

// Add puts a new firing into the book and gives it as kept, with ID and key. When
// it returns without an error the firing is on the disk. The ID of f must be 0; a
// key that the book holds already is a *KnownError.
func (b *Book) Add(ctx context.Context, f Firing) (Firing, error) {
	if f.ID != 0 {
		return f, fmt.Errorf("firing %d has a number already; change it, or add one without", f.ID)
	}
	added, err := b.AddAll(ctx, []Firing{f})
	if err != nil {
		return f, err
	}
	return added[0], nil
}

// AddAll puts several new firings into the book, all or none; see Add.
func (b *Book) AddAll(ctx context.Context, firings []Firing) ([]Firing, error) {
	out := make([]Firing, len(firings))
	for i, f := range firings {
		tidy, err := f.tidy()
		if err != nil {
			return nil, fmt.Errorf("the firing is not kept: %w", err)
		}
		tidy.ID, tidy.Revision = 0, 1
		out[i] = tidy
	}
	err := b.write(ctx, "written", func(tx *sql.Tx) error {
		for i := range out {
			if err := insert(ctx, tx, &out[i]); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	return out, nil
}

// Restore puts back a firing that Remove gave, under its old number.
func (b *Book) Restore(ctx context.Context, f Firing) (Firing, error) {
	f, err := f.tidy()
	if err != nil {
		return f, fmt.Errorf("the firing is not kept: %w", err)
	}
	f.Revision++
	return f, b.write(ctx, "written", func(tx *sql.Tx) error { return insert(ctx, tx, &f) })
}

// insert writes a firing with all that belongs to it; an ID of 0 gets a new one.
func insert(ctx context.Context, tx *sql.Tx, f *Firing) error {
	var known int64
	err := tx.QueryRowContext(ctx, "SELECT id FROM firing WHERE key = ? OR id = ?", f.Key, f.ID).Scan(&known)
	if err == nil {
		return &KnownError{f.Key, known}
	}
	if !errors.Is(err, sql.ErrNoRows) {
		return err
	}
	var id any
	if f.ID != 0 {
		id = f.ID
	}
	result, err := tx.ExecContext(ctx, "INSERT INTO firing (id, "+firingColumns+") VALUES (?, "+marks(15)+")", append([]any{id}, f.fields()...)...)
	if err != nil {
		return err
	}
	if f.ID, err = result.LastInsertId(); err != nil {
		return err
	}
	if err := insertEntries(ctx, tx, f); err != nil {
		return err
	}
	return keepSeal(ctx, tx, f)
}

// insertEntries writes the sags and readings of a firing.
func insertEntries(ctx context.Context, tx *sql.Tx, f *Firing) error {
	for i := range f.Sags {
		values := append([]any{f.ID, i}, f.Sags[i].fields()...)
		if _, err := tx.ExecContext(ctx, "INSERT INTO sag (firing, place, "+sagColumns+") VALUES ("+marks(len(values))+")", values...); err != nil {
			return err
		}
	}
	if len(f.Readings) == 0 {
		return nil
	}
	statement, err := tx.PrepareContext(ctx, "INSERT INTO reading (firing, place, "+readingColumns+") VALUES ("+marks(18)+")")
	if err != nil {
		return err
	}
	defer statement.Close()
	for i := range f.Readings {
		if _, err := statement.ExecContext(ctx, append([]any{f.ID, i}, f.Readings[i].fields()...)...); err != nil {
			return err
		}
	}
	return nil
}

// marks gives n question marks with commas between.
func marks(n int) string { return strings.TrimSuffix(strings.Repeat("?, ", n), ", ") }

// Change writes a firing over the one of the same ID, and gives it as it was and
// as it is now. ErrChanged means that the Revision of f is not that in the book:
// somebody else was quicker, and nothing was written. To take a change back, give
// the old firing the new one's Revision and change again.
func (b *Book) Change(ctx context.Context, f Firing) (was, now Firing, err error) {
	now, err = f.tidy()
	if err != nil {
		return was, f, fmt.Errorf("the firing is not kept: %w", err)
	}
	now.Revision++
	err = b.write(ctx, "changed", func(tx *sql.Tx) error {
		if was, err = fresh(ctx, tx, f.ID, f.Revision); err != nil {
			return err
		}
		now.Key = was.Key
		if _, err := tx.ExecContext(ctx, "UPDATE firing SET ("+firingColumns+") = ("+marks(15)+") WHERE id = ?", append(now.fields(), f.ID)...); err != nil {
			return err
		}
		for _, table := range []string{"sag", "reading"} {
			if _, err := tx.ExecContext(ctx, "DELETE FROM "+table+" WHERE firing = ?", f.ID); err != nil {
				return err
			}
		}
		if err := insertEntries(ctx, tx, &now); err != nil {
			return err
		}
		return keepSeal(ctx, tx, &now)
	})
	return was, now, err
}

// Remove takes a firing out of the book and gives it, so that Restore can put it
// back.
func (b *Book) Remove(ctx context.Context, id int64) (Firing, error) {
	var was Firing
	err := b.write(ctx, "changed", func(tx *sql.Tx) (err error) {
		if was, err = one(ctx, tx, id); err != nil {
			return err
		}
		_, err = tx.ExecContext(ctx, "DELETE FROM firing WHERE id = ?", id)
		return err
	})
	return was, err
}

// fresh reads a firing that is about to be changed.
func fresh(ctx context.Context, tx *sql.Tx, id, revision int64) (Firing, error) {
	f, err := one(ctx, tx, id)
	if err == nil && f.Revision != revision {
		return f, fmt.Errorf("firing %d: %w", id, ErrChanged)
	}
	return f, err
}
