package book

import (
	"context"
	"database/sql"
	"fmt"
	"slices"
)

// applicationID marks the file as a firing book: "Kiln" in ASCII.
const applicationID = 0x4b696c6e

// currentVersion is that of the books this program writes: the number of steps.
const currentVersion = 3

// steps bring a book from each version to the next; the first begins it. A step
// that has been in anybody's hands is never changed again: add another.
func steps() []string {
	return []string{
		`CREATE TABLE firing (
		id INTEGER PRIMARY KEY AUTOINCREMENT,
		key TEXT NOT NULL UNIQUE,
		revision INTEGER NOT NULL,
		date TEXT NOT NULL,
		material TEXT NOT NULL,
		furnace TEXT NOT NULL,
		part TEXT NOT NULL,
		part_sha256 TEXT NOT NULL,
		job TEXT NOT NULL,
		peak TEXT NOT NULL,
		remarks TEXT NOT NULL,
		green_mass_g REAL NOT NULL,
		sintered_mass_g REAL NOT NULL,
		green_volume_mm3 REAL NOT NULL,
		sintered_volume_mm3 REAL NOT NULL
	) STRICT;
	CREATE INDEX firing_by_material ON firing (material, furnace, date);
	CREATE TABLE sag (
		firing INTEGER NOT NULL REFERENCES firing ON DELETE CASCADE,
		place INTEGER NOT NULL,
		hold INTEGER NOT NULL,
		span_mm REAL NOT NULL,
		thickness_mm REAL NOT NULL,
		sag_mm REAL NOT NULL,
		PRIMARY KEY (firing, place)
	) STRICT, WITHOUT ROWID;
	CREATE TABLE reading (
		firing INTEGER NOT NULL REFERENCES firing ON DELETE CASCADE,
		place INTEGER NOT NULL,
		name TEXT NOT NULL,
		part_x REAL NOT NULL, part_y REAL NOT NULL, part_z REAL NOT NULL,
		print_x REAL NOT NULL, print_y REAL NOT NULL, print_z REAL NOT NULL,
		green_nominal_mm REAL NOT NULL,
		green_mm REAL NOT NULL,
		sintered_nominal_mm REAL NOT NULL,
		sintered_mm REAL NOT NULL,
		instrument TEXT NOT NULL,
		error_mm REAL NOT NULL,
		green_error_mm REAL NOT NULL,
		PRIMARY KEY (firing, place)
	) STRICT, WITHOUT ROWID;`,
		// 2: parts fired together, lengths between points, readings left out of fits.
		`ALTER TABLE firing ADD COLUMN run TEXT NOT NULL DEFAULT '';
	ALTER TABLE reading ADD COLUMN across INTEGER NOT NULL DEFAULT 0;
	ALTER TABLE reading ADD COLUMN left_out INTEGER NOT NULL DEFAULT 0;`,
		// 3: a check sum for each firing; see sealAll.
		`ALTER TABLE firing ADD COLUMN seal TEXT NOT NULL DEFAULT '';`,
	}
}

// version reads the version of the file: 0 for a new one. It refuses newer ones
// and those of other programs.
func (b *Book) version(ctx context.Context) (int, error) {
	var version, id, tables int
	err := b.db.QueryRowContext(ctx, `SELECT user_version, application_id, (SELECT count(*) FROM sqlite_schema)
		FROM pragma_user_version, pragma_application_id`).Scan(&version, &id, &tables)
	if err != nil {
		return 0, b.fault("opened", err)
	}
	switch {
	case id != applicationID && (tables > 0 || version != 0):
		return 0, b.noBook()
	case version > currentVersion:
		return 0, &NewerError{b.path, version, currentVersion}
	case version < 0 || version == 0 && tables > 0:
		return 0, b.damaged(fmt.Sprintf("it has version %d", version))
	}
	return version, b.compareSchema(ctx, version)
}

// upgrade brings the book to the present version, all steps or none. Another
// program may have done it while this one waited for the lock.
func (b *Book) upgrade(ctx context.Context) error {
	return b.write(ctx, "brought up to date", func(tx *sql.Tx) error {
		var version int
		if err := tx.QueryRowContext(ctx, "PRAGMA user_version").Scan(&version); err != nil {
			return err
		}
		return stepsFrom(ctx, tx, version, currentVersion)
	})
}

// stepsFrom takes the steps between two versions.
func stepsFrom(ctx context.Context, tx *sql.Tx, from, to int) error {
	for v := from; v < to; v++ {
		if _, err := tx.ExecContext(ctx, steps()[v]); err != nil {
			return err
		}
	}
	if from >= to {
		return nil
	}
	if to == currentVersion {
		if err := sealAll(ctx, tx); err != nil {
			return err
		}
	}
	// A PRAGMA takes no parameters.
	_, err := tx.ExecContext(ctx, fmt.Sprintf("PRAGMA user_version = %d; PRAGMA application_id = %d", to, applicationID))
	return err
}

// compareSchema refuses a book whose tables are not those of its version: a view in the
// place of a table, or a trigger, could do anything.
func (b *Book) compareSchema(ctx context.Context, version int) error {
	if version == 0 {
		return nil
	}
	have, err := schemaOf(ctx, b.db)
	if err != nil {
		return b.fault("opened", err)
	}
	model, err := sql.Open("sqlite", ":memory:")
	if err != nil {
		return b.fault("opened", err)
	}
	defer model.Close()
	model.SetMaxOpenConns(1) // each connection has a memory of its own
	for _, step := range steps()[:version] {
		if _, err := model.ExecContext(ctx, step); err != nil {
			return b.fault("opened", err)
		}
	}
	want, err := schemaOf(ctx, model)
	if err != nil {
		return b.fault("opened", err)
	}
	if !slices.Equal(have, want) {
		return b.damaged("its tables are not those of a firing book")
	}
	return nil
}

// schemaOf lists what a database consists of, without what SQLite makes by itself.
func schemaOf(ctx context.Context, db *sql.DB) ([]string, error) {
	var out []string
	const query = `SELECT type || ' ' || name || ' ' || tbl_name || ' ' || coalesce(sql, '') FROM sqlite_schema
		WHERE NOT (type IN ('table', 'index') AND name LIKE 'sqlite\_%' ESCAPE '\') ORDER BY 1`
	err := each(ctx, db, query, nil, func(rows *sql.Rows) error {
		var s string
		err := rows.Scan(&s)
		out = append(out, s)
		return err
	})
	return out, err
}
