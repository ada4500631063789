package book

import (
	"bufio"
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
	out := bufio.NewWriter(w)
	columns := cells()
	row := make([]string, len(columns))
	for i, c := range columns {
		row[i] = c.name
	}
	writeRow(out, row)
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
			writeRow(out, row)
		}
	}
	if err := out.Flush(); err != nil {
		return fmt.Errorf("the table cannot be written: %w", err)
	}
	return nil
}

// writeRow writes a line; what goes wrong is told by Flush. A cell with a semicolon or
// a tab is quoted too, so that a spreadsheet that parts cells there leaves it whole.
func writeRow(out *bufio.Writer, row []string) {
	for i, cell := range row {
		if i > 0 {
			out.WriteByte(',')
		}
		if strings.ContainsAny(cell, ",;\t\"\r\n") || strings.HasPrefix(cell, " ") {
			cell = `"` + strings.NewReplacer(`"`, `""`, "\r\n", "\r\n", "\n", "\r\n").Replace(cell) + `"`
		}
		out.WriteString(cell)
	}
	out.WriteString("\r\n")
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

// runs tells whether a text begins like a formula, behind blanks, quotes and what is
// not seen too; signs in full width count as well, since some spreadsheets take them.
// Apostrophes before it do not change the answer, so that guarding a guarded text and
// taking one off again loses none.
func runs(s string) bool {
	s = strings.TrimLeftFunc(s, passedOver)
	first, _ := utf8.DecodeRuneInString(s)
	return s != "" && strings.ContainsRune("=+-@＝＋－＠−", first)
}

// passedOver tells of a character that a spreadsheet, or the eye, may pass over at the
// beginning of a text: blanks, control and format characters (soft hyphens, zero
// width, marks of direction), marks that belong to the letter before, fillers, quotes.
func passedOver(r rune) bool {
	return unicode.IsSpace(r) || unicode.IsControl(r) || unicode.Is(unicode.Cf, r) || unicode.IsMark(r) ||
		strings.ContainsRune("\u115f\u1160\u3164\uffa0\u2800'\"`´‘’‚‛“”„‟«»‹›", r)
}
