package book

import (
	"encoding/csv"
	"fmt"
	"io"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Export writes firings as comma-separated values (RFC 4180: commas, CRLF, quotes
// where needed; UTF-8), one line for each reading and each sag, with the firing's
// own figures repeated. The first line names the columns with their units; what is
// not known is empty. Import reads it back the same.
//
// A spreadsheet would take a text that begins with = + - or @ for a formula; it
// gets an apostrophe before it, which Import takes off again.
func Export(w io.Writer, firings []Firing) error {
	out := csv.NewWriter(w)
	out.UseCRLF = true
	columns := cells()
	row := make([]string, len(columns))
	for i, c := range columns {
		row[i] = c.name
	}
	if err := out.Write(row); err != nil {
		return fmt.Errorf("the table cannot be written: %w", err)
	}
	for i := range firings {
		for _, l := range lines(&firings[i]) {
			for k, c := range columns {
				row[k] = ""
				if c.on == "" || c.on == l.kind {
					row[k] = c.get(&l)
				}
				if c.text {
					row[k] = guard(row[k])
				}
			}
			if err := out.Write(row); err != nil {
				return fmt.Errorf("the table cannot be written: %w", err)
			}
		}
	}
	out.Flush()
	if err := out.Error(); err != nil {
		return fmt.Errorf("the table cannot be written: %w", err)
	}
	return nil
}

// lines spreads a firing over lines.
func lines(f *Firing) []line {
	bare := *f
	bare.Readings, bare.Sags = nil, nil
	var out []line
	for _, r := range f.Readings {
		out = append(out, line{kind: readingLine, firing: bare, reading: r})
	}
	for _, s := range f.Sags {
		out = append(out, line{kind: sagLine, firing: bare, sag: s})
	}
	if len(out) == 0 {
		out = append(out, line{kind: firingLine, firing: bare})
	}
	return out
}

// guard puts an apostrophe before a text that a spreadsheet would run.
func guard(s string) string {
	if runs(s) {
		return "'" + s
	}
	return s
}

// unguard takes off what guard has put there.
func unguard(s string) string {
	if rest, ok := strings.CutPrefix(s, "'"); ok && runs(rest) {
		return rest
	}
	return s
}

// runs tells whether a text begins like a formula, behind spaces too; signs in full
// width count as well, since some spreadsheets take them. Apostrophes before it do
// not change the answer, so that guarding a guarded text and taking one off again
// loses none.
func runs(s string) bool {
	s = strings.TrimLeft(s, "'")
	s = strings.TrimLeftFunc(s, func(r rune) bool { return unicode.IsSpace(r) || unicode.IsControl(r) || r == '\ufeff' })
	first, _ := utf8.DecodeRuneInString(s)
	return s != "" && strings.ContainsRune("=+-@＝＋－＠", first)
}
