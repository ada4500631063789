package book

import (
	"bytes"
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// shelf makes a book with firings at path and gives what it exports.
func shelf(t *testing.T, path string, firings int) string {
	t.Helper()
	b := opened(t, path)
	for i := range firings {
		f := lid()
		f.Key, f.Remarks = fmt.Sprint("k", i), strings.Repeat("remark ", i)
		added(t, b, f)
	}
	all, err := b.List(context.Background(), Filter{})
	if err != nil {
		t.Fatal(err)
	}
	if err := b.Close(); err != nil {
		t.Fatal(err)
	}
	return exported(t, all...)
}

// exportOf opens a book and gives what it exports, or the error of either.
func exportOf(path string) (string, error) {
	ctx := context.Background()
	b, err := Open(ctx, path)
	if err != nil {
		return "", err
	}
	defer b.Close()
	all, err := b.List(ctx, Filter{})
	if err != nil {
		return "", err
	}
	var out bytes.Buffer
	err = Export(&out, all)
	return out.String(), err
}

// A bit that turns over anywhere in the file, or a few bytes that are others, are
// found, or change nothing of what is in the book.
func TestFlippedBits(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "good.db")
	want := shelf(t, path, 20)
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	random := rand.New(rand.NewPCG(3, 4))
	const tries = 300
	found := 0
	for i := range tries {
		bad := bytes.Clone(data)
		at := random.IntN(len(bad) - 8)
		if i%3 < 2 {
			bad[at] ^= 1 << random.IntN(8)
		} else {
			for k := range 1 + random.IntN(8) {
				bad[at+k] = byte(random.IntN(256))
			}
		}
		path := filepath.Join(dir, fmt.Sprintf("bad%d.db", i))
		put(t, path, bad)
		got, err := exportOf(path)
		switch {
		case err != nil:
			found++
			if strings.Contains(err.Error(), "\n") || !strings.Contains(err.Error(), path) {
				t.Errorf("byte %d: error %q", at, err)
			}
		case got != want:
			t.Errorf("byte %d of %d: the book opens and exports something else", at, len(data))
		}
	}
	t.Logf("%d flips: %d found, %d change nothing", tries, found, tries-found)
}

// A figure that was changed by another way than this program's is told by its firing.
func TestFiguresChangedFromOutside(t *testing.T) {
	changes := []string{
		"UPDATE reading SET sintered_mm = sintered_mm + 0.01 WHERE firing = 2 AND place = 0",
		"UPDATE firing SET date = '2026-03-03' WHERE id = 2",
		"UPDATE firing SET seal = '' WHERE id = 2",
		"UPDATE reading SET place = place + 10 WHERE firing = 2 AND place = 0",
		"DELETE FROM reading WHERE firing = 2 AND place = 0",
		"UPDATE firing SET remarks = remarks || ' ' WHERE id = 2",
	}
	for _, change := range changes {
		path := filepath.Join(t.TempDir(), "b.db")
		shelf(t, path, 3)
		db := raw(t, path)
		execute(t, db, change)
		if err := db.Close(); err != nil {
			t.Fatal(err)
		}
		if _, err := exportOf(path); err == nil || !strings.Contains(err.Error(), "firing 2 is not as it was written") {
			t.Errorf("%s: error %v", change, err)
		}
	}
}

// Other tables than those of the version are refused at once, among them a view in the
// place of a table that never comes to its end.
func TestForeignSchemas(t *testing.T) {
	changes := map[string]string{
		"an endless view": "DROP TABLE sag; CREATE VIEW sag AS WITH RECURSIVE n(firing) AS (SELECT 1 UNION ALL SELECT firing + 1 FROM n) SELECT firing, firing AS place, 0 AS hold, 1.0 AS span_mm, 1.0 AS thickness_mm, 1.0 AS sag_mm FROM n",
		"a trigger":       "CREATE TRIGGER t AFTER INSERT ON firing BEGIN DELETE FROM reading; END",
		"a column more":   "ALTER TABLE firing ADD COLUMN colour TEXT",
		"a table more":    "CREATE TABLE colour (x)",
		"a table less":    "DROP TABLE reading",
		"an index less":   "DROP INDEX firing_by_material",
		"version -1":      "PRAGMA user_version = -1",
		"version 0":       "PRAGMA user_version = 0",
		"version 1":       "PRAGMA user_version = 1",
	}
	for name, change := range changes {
		path := filepath.Join(t.TempDir(), "b.db")
		shelf(t, path, 2)
		db := raw(t, path)
		execute(t, db, change)
		if err := db.Close(); err != nil {
			t.Fatal(err)
		}
		if _, err := exportOf(path); err == nil || !strings.Contains(err.Error(), "is damaged") || strings.Contains(err.Error(), "\n") {
			t.Errorf("%s: error %v", name, err)
		}
	}
}

// An upgrade that fails leaves neither a copy behind nor a change in the book.
func TestFailedUpgradeLeavesNoCopy(t *testing.T) {
	path := filepath.Join(t.TempDir(), "b.db")
	older(t, path)
	db := raw(t, path)
	// A date that the book cannot read lets the check sums fail, after the columns came.
	execute(t, db, "UPDATE firing SET date = 'yesterday'")
	if err := db.Close(); err != nil {
		t.Fatal(err)
	}
	before, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := Open(context.Background(), path); err == nil || strings.Contains(err.Error(), "\n") {
		t.Errorf("error %v", err)
	}
	if after, err := os.ReadFile(path); err != nil || !bytes.Equal(before, after) {
		t.Error("the book has changed")
	}
	entries, err := os.ReadDir(filepath.Dir(path))
	if err != nil || len(entries) != 1 {
		t.Errorf("the folder holds %v, %v", entries, err)
	}
}

// No cell of a table begins like a formula once what is not seen is passed over, and
// none is parted by a semicolon or a tab.
func TestCellsAreNoFormulas(t *testing.T) {
	formulas := []string{
		"\u00ad=1", "\u200b=1", "\u202e=1", "\u2066@x", "\"=1", "\"\"=1", "\u2018=1", "\u0301=1", "\u3164=1", "\u2800-1", "'\u200b\"+1", "\u2212x",
		";=1", "x;=1", "x\t=1", "a;\"=1", " =1", "\ufe0f=1",
	}
	for _, s := range formulas {
		f := lid()
		f.Remarks, f.Part, f.Readings[0].Name = s, s, s
		f, err := f.tidy()
		if err != nil {
			t.Fatal(err)
		}
		table := exported(t, f)
		for _, cell := range cellsAsSeen(table) {
			if seen := strings.TrimLeftFunc(cell, func(r rune) bool { return r != '\'' && passedOver(r) }); seen != "" && strings.ContainsRune("=+-@＝＋－＠−", []rune(seen)[0]) {
				t.Errorf("%q gives the cell %q", s, cell)
			}
		}
		got, err := ReadTable(strings.NewReader(table))
		if err != nil || len(got) != 1 || got[0].Remarks != f.Remarks || got[0].Part != f.Part || got[0].Readings[0].Name != f.Readings[0].Name {
			t.Errorf("%q comes back as %+v, %v", s, got, err)
		}
	}
	t.Logf("%d formulas", len(formulas))
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.String().Draw(t, "s")
		if unguard(guard(s)) != s {
			t.Fatalf("%q becomes %q", s, unguard(guard(s)))
		}
	})
}

// cellsAsSeen parts a table as a spreadsheet does that takes commas, semicolons and
// tabs for the ends of cells, and quotes at their beginning for quotes.
func cellsAsSeen(table string) []string {
	var out []string
	var cell strings.Builder
	quoted := false
	for _, r := range table {
		switch {
		case r == '"':
			quoted = !quoted
		case !quoted && strings.ContainsRune(",;\t\r\n", r):
			out = append(out, cell.String())
			cell.Reset()
			continue
		}
		if r != '"' {
			cell.WriteRune(r)
		}
	}
	return append(out, cell.String())
}
