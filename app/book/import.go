package book

import (
	"bufio"
	"bytes"
	"context"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"strings"
)

// Bounds of what is read: a table by mistake does no harm, and a large one does not
// take more memory than four times its size and 500 MB.
const (
	// LargestTable is in bytes.
	LargestTable = 64 << 20
	mostLines    = 400_000
)

// LineError says what is wrong in a table, and where.
type LineError struct {
	// Line counts from 1, the names of the columns included; Column is empty where
	// the fault has no one place.
	Line   int
	Column string
	Err    error
}

func (e *LineError) Error() string {
	if e.Column == "" {
		return fmt.Sprintf("line %d: %v", e.Line, e.Err)
	}
	return fmt.Sprintf("line %d, %s: %v", e.Line, e.Column, e.Err)
}

// Unwrap gives the fault.
func (e *LineError) Unwrap() error { return e.Err }

// ReadTable reads firings from a table like the one Export writes. Columns go by
// name, in any order; only date, material and those used need be there. Commas,
// semicolons and tabs all separate; with the latter two a decimal comma is read as
// such. Lines with the same text under "firing" are one firing and must agree on it;
// without that column each line is one of its own. What is not understood is a
// *LineError; nothing is guessed.
func ReadTable(r io.Reader) ([]Firing, error) {
	data, err := io.ReadAll(io.LimitReader(r, LargestTable+1))
	if err != nil {
		return nil, fmt.Errorf("the table cannot be read: %w", err)
	}
	if len(data) > LargestTable {
		return nil, fmt.Errorf("the table is larger than %d MB; split it", LargestTable>>20)
	}
	data = bytes.TrimPrefix(data, []byte("\ufeff"))
	in := csv.NewReader(bytes.NewReader(data))
	in.Comma = separator(data)
	in.ReuseRecord = true
	head, err := in.Read()
	if err != nil {
		return nil, fmt.Errorf("the table has no line that names its columns: %w", err)
	}
	columns, err := columnsOf(head)
	if err != nil {
		return nil, err
	}
	t := table{columns: columns, decimalComma: in.Comma != ',', at: map[string]int{}}
	for {
		record, err := in.Read()
		if errors.Is(err, io.EOF) {
			return t.finish()
		}
		if err != nil {
			return nil, fault(in, err)
		}
		number, _ := in.FieldPos(0)
		if number > mostLines {
			return nil, fmt.Errorf("the table has more than %d lines; split it", mostLines)
		}
		if err := t.add(number, record); err != nil {
			return nil, err
		}
	}
}

// fault puts the reader's finding into a line.
func fault(in *csv.Reader, err error) error {
	var p *csv.ParseError
	if errors.As(err, &p) {
		return &LineError{Line: p.Line, Err: p.Err}
	}
	return fmt.Errorf("the table cannot be read: %w", err)
}

// separator is what stands most often in the first line.
func separator(data []byte) rune {
	first, _, _ := bufio.NewReader(bytes.NewReader(data)).ReadLine()
	best, most := ',', 0
	for _, r := range ",;\t" {
		if n := bytes.Count(first, []byte(string(r))); n > most {
			best, most = r, n
		}
	}
	return best
}

// columnsOf finds the columns that the first line names.
func columnsOf(head []string) ([]cell, error) {
	known := map[string]cell{}
	var names []string
	for _, c := range cells() {
		known[c.name] = c
		names = append(names, c.name)
	}
	out := make([]cell, len(head))
	seen := map[string]bool{}
	for i, name := range head {
		name = strings.TrimSpace(name)
		c, ok := known[name]
		if !ok {
			return nil, &LineError{1, "", fmt.Errorf("the column %q is not known; those that are: %s", name, strings.Join(names, ", "))}
		}
		if seen[name] {
			return nil, &LineError{1, "", fmt.Errorf("the column %q is there twice; remove one", name)}
		}
		seen[name] = true
		out[i] = c
	}
	for _, name := range []string{"date", "material"} {
		if !seen[name] {
			return nil, &LineError{1, "", fmt.Errorf("the column %q is missing", name)}
		}
	}
	return out, nil
}

// table gathers lines into firings.
type table struct {
	columns      []cell
	decimalComma bool
	firings      []Firing
	lines        []int // on which each firing begins
	at           map[string]int
}

// add reads one line.
func (t *table) add(number int, record []string) error {
	var l line
	for i, c := range t.columns {
		s := record[i]
		if c.text {
			s = unguard(s)
		} else {
			s = strings.TrimSpace(s)
			if t.decimalComma && c.name != "date" {
				s = strings.Replace(s, ",", ".", 1)
			}
		}
		if err := c.set(&l, s); err != nil {
			return &LineError{number, c.name, err}
		}
	}
	if l.kind == "" {
		l.kind = l.guess()
	}
	key := l.firing.Key
	i, known := t.at[key]
	if !known || key == "" {
		i = len(t.firings)
		t.firings = append(t.firings, l.firing)
		t.lines = append(t.lines, number)
		t.at[key] = i
	}
	f := &t.firings[i]
	if column := l.differs(f); column != "" {
		return &LineError{number, column, fmt.Errorf("it is not the same as on line %d, which is of the same firing", t.lines[i])}
	}
	if err := l.belongs(); err != nil {
		return &LineError{number, "line", err}
	}
	switch l.kind {
	case readingLine:
		f.Readings = append(f.Readings, l.reading)
	case sagLine:
		f.Sags = append(f.Sags, l.sag)
	}
	return nil
}

// belongs refuses a line that holds what its kind would pass over.
func (l *line) belongs() error {
	read, sagged := l.reading != Reading{}, l.sag != Sag{}
	switch {
	case l.kind != readingLine && l.kind != sagLine && l.kind != firingLine:
		return fmt.Errorf("%q: write %s, %s or %s", l.kind, readingLine, sagLine, firingLine)
	case read && l.kind != readingLine || sagged && l.kind != sagLine:
		return fmt.Errorf("a line of the kind %s holds figures of another kind; give each a line of its own", l.kind)
	}
	return nil
}

// guess is the kind of a line that does not say it: by what it holds.
func (l *line) guess() string {
	switch {
	case l.sag != Sag{}:
		return sagLine
	case l.reading != Reading{}:
		return readingLine
	}
	return firingLine
}

// differs gives the column in which a line speaks otherwise of its firing.
func (l *line) differs(f *Firing) string {
	other := line{firing: *f}
	for _, c := range cells() {
		if c.on == "" && c.name != "line" && c.get(l) != c.get(&other) {
			return c.name
		}
	}
	return ""
}

// finish checks the firings, with the line each begins on.
func (t *table) finish() ([]Firing, error) {
	for i, f := range t.firings {
		tidy, err := f.tidy()
		if err != nil {
			return nil, &LineError{Line: t.lines[i], Err: err}
		}
		t.firings[i] = tidy
	}
	return t.firings, nil
}

// Import puts the firings of a table into the book, all or none, and gives them;
// those whose key is in the book already are passed over and their keys given, so
// that the same table may be read again. See ReadTable.
func (b *Book) Import(ctx context.Context, r io.Reader) (added []Firing, known []string, err error) {
	firings, err := ReadTable(r)
	if err != nil {
		return nil, nil, err
	}
	have := map[string]bool{}
	all, err := b.List(ctx, Filter{})
	if err != nil {
		return nil, nil, err
	}
	for _, f := range all {
		have[f.Key] = true
	}
	var fresh []Firing
	for _, f := range firings {
		if have[f.Key] {
			known = append(known, f.Key)
			continue
		}
		fresh = append(fresh, f)
	}
	if len(fresh) == 0 {
		return nil, known, nil
	}
	added, err = b.AddAll(ctx, fresh)
	return added, known, err
}
