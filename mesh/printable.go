package mesh

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// The most characters of what a file brings along, as it is shown.
const (
	maxName     = 120
	maxSentence = 2000
)

// PrintableName makes a name from outside fit for a line of text, a sheet or a
// label: one line of printable characters, at most 120 of them. Line ends and
// control characters become blanks, and marks that steer the direction or the look
// of text go: they could show another name than the one that stands there. What
// is no character at all becomes U+FFFD. Nothing may be left of it.
func PrintableName(name string) string { return printable(name, maxName) }

// printable is PrintableName for at most so many characters.
func printable(text string, most int) string {
	if isPlain(text) && len(text) <= most {
		return text
	}
	var b strings.Builder
	left, blank := most, false
	for _, r := range text {
		switch {
		case unicode.Is(unicode.Cf, r):
			continue
		case unicode.IsSpace(r) || unicode.IsControl(r):
			blank = b.Len() > 0
			continue
		case !unicode.IsPrint(r):
			r = utf8.RuneError
		}
		if left--; left < 0 {
			return b.String() + "…"
		}
		if blank {
			b.WriteByte(' ')
			left, blank = left-1, false
		}
		b.WriteRune(r)
	}
	return b.String()
}

// isPlain reports whether a text is printable as it is: nearly every one.
func isPlain(text string) bool {
	for i := range len(text) {
		if c := text[i]; c < ' ' || c > '~' || c == ' ' && (i == 0 || i == len(text)-1 || text[i-1] == ' ') {
			return false
		}
	}
	return true
}

// plainError is an error whose words have passed through printable: a file has its
// say in many of them.
type plainError struct {
	text string
	err  error
}

func plainly(err error) error {
	text := printable(err.Error(), maxSentence)
	if text == err.Error() {
		return err
	}
	return &plainError{text: text, err: err}
}

func (e *plainError) Error() string { return e.text }
func (e *plainError) Unwrap() error { return e.err }
