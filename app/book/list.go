package book

import (
	"context"
	"database/sql"
	"fmt"
	"strings"
)

// Filter chooses firings; an empty text chooses all.
type Filter struct {
	// Material and Furnace are IDs of records.
	Material, Furnace string
	id                int64
}

// Pair is a material and a furnace that have firings in the book.
type Pair struct {
	Material, Furnace string
	Firings           int
}

// asker is what a book and a transaction have in common.
type asker interface {
	QueryContext(ctx context.Context, query string, args ...any) (*sql.Rows, error)
}

// List gives the firings chosen, the oldest first, with all that belongs to them.
func (b *Book) List(ctx context.Context, filter Filter) ([]Firing, error) {
	// One look for firings and readings alike: another program may write meanwhile.
	tx, err := b.db.BeginTx(ctx, &sql.TxOptions{ReadOnly: true})
	if err != nil {
		return nil, b.fault("read", err)
	}
	defer tx.Rollback() //nolint:errcheck // nothing was written
	out, err := list(ctx, tx, filter)
	if err != nil {
		return nil, b.fault("read", err)
	}
	return out, nil
}

// Get gives the firing of that number; ErrMissing when there is none.
func (b *Book) Get(ctx context.Context, id int64) (Firing, error) {
	out, err := b.List(ctx, Filter{id: id})
	if err != nil {
		return Firing{}, err
	}
	if len(out) == 0 {
		return Firing{}, missing(id)
	}
	return out[0], nil
}

func missing(id int64) error { return fmt.Errorf("firing %d %w", id, ErrMissing) }

// Pairs gives the materials and furnaces there are, by name.
func (b *Book) Pairs(ctx context.Context) ([]Pair, error) {
	rows, err := b.db.QueryContext(ctx, "SELECT material, furnace, count(*) FROM firing GROUP BY material, furnace ORDER BY material, furnace")
	if err != nil {
		return nil, b.fault("read", err)
	}
	defer rows.Close()
	var out []Pair
	for rows.Next() {
		var p Pair
		if err := rows.Scan(&p.Material, &p.Furnace, &p.Firings); err != nil {
			return nil, b.fault("read", err)
		}
		out = append(out, p)
	}
	if err := rows.Err(); err != nil {
		return nil, b.fault("read", err)
	}
	return out, nil
}

// where makes the condition for the table firing.
func (f Filter) where() (string, []any) {
	var parts []string
	var args []any
	add := func(column string, value any) {
		parts = append(parts, "firing."+column+" = ?")
		args = append(args, value)
	}
	if f.Material != "" {
		add("material", f.Material)
	}
	if f.Furnace != "" {
		add("furnace", f.Furnace)
	}
	if f.id != 0 {
		add("id", f.id)
	}
	if len(parts) == 0 {
		return "", nil
	}
	return " WHERE " + strings.Join(parts, " AND "), args
}

// one reads one firing.
func one(ctx context.Context, from asker, id int64) (Firing, error) {
	if id == 0 {
		return Firing{}, missing(id)
	}
	out, err := list(ctx, from, Filter{id: id})
	if err != nil {
		return Firing{}, err
	}
	if len(out) == 0 {
		return Firing{}, missing(id)
	}
	return out[0], nil
}

// list reads firings and holds each against its check sum.
func list(ctx context.Context, from asker, filter Filter) ([]Firing, error) {
	all, err := read(ctx, from, filter)
	if err != nil || len(all) == 0 {
		return nil, err
	}
	out := make([]Firing, len(all))
	for i := range all {
		if out[i] = all[i].Firing; out[i].seal() != all[i].seal {
			return nil, &alteredError{out[i].ID}
		}
	}
	return out, nil
}

// sealed is a firing with the check sum that it was written with.
type sealed struct {
	Firing
	seal string
}

func read(ctx context.Context, from asker, filter Filter) ([]sealed, error) {
	where, args := filter.where()
	var out []sealed
	err := each(ctx, from, "SELECT id, seal, "+firingColumns+" FROM firing"+where+" ORDER BY date, id", args, func(rows *sql.Rows) error {
		var f sealed
		err := rows.Scan(append([]any{&f.ID, &f.seal}, f.fields()...)...)
		out = append(out, f)
		return err
	})
	if err != nil {
		return nil, err
	}
	byID := make(map[int64]*sealed, len(out))
	for i := range out {
		byID[out[i].ID] = &out[i]
	}
	entries := func(table, columns string) string {
		return "SELECT firing, " + columns + " FROM " + table + " JOIN firing ON firing.id = " + table + ".firing" + where + " ORDER BY firing, place"
	}
	var id int64
	err = each(ctx, from, entries("sag", sagColumns), args, func(rows *sql.Rows) error {
		var s Sag
		if err := rows.Scan(append([]any{&id}, s.fields()...)...); err != nil {
			return err
		}
		byID[id].Sags = append(byID[id].Sags, s)
		return nil
	})
	if err != nil {
		return nil, err
	}
	return out, each(ctx, from, entries("reading", readingColumns), args, func(rows *sql.Rows) error {
		var r Reading
		if err := rows.Scan(append([]any{&id}, r.fields()...)...); err != nil {
			return err
		}
		byID[id].Readings = append(byID[id].Readings, r)
		return nil
	})
}

func each(ctx context.Context, from asker, query string, args []any, do func(rows *sql.Rows) error) error {
	rows, err := from.QueryContext(ctx, query, args...)
	if err != nil {
		return err
	}
	defer rows.Close()
	for rows.Next() {
		if err := do(rows); err != nil {
			return err
		}
	}
	return rows.Err()
}
