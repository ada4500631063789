package main

import (
	"context"
	"errors"
	"strings"
	"unicode"
)

// longestLine is how much of an error is told, in runes: a value out of a file may be
// of any length.
const longestLine = 500

// line puts an error into one line for a terminal, of bounded length.
func line(err error) string {
	if errors.Is(err, context.Canceled) {
		return "stopped before it was done"
	}
	text := strings.Join(strings.FieldsFunc(err.Error(), func(r rune) bool { return r == '\n' || r == '\r' }), "; ")
	text = strings.Map(func(r rune) rune {
		if unicode.IsControl(r) || unicode.Is(unicode.Cf, r) || r == '\u2028' || r == '\u2029' {
			return '\ufffd'
		}
		return r
	}, strings.ToValidUTF8(text, "\ufffd"))
	runes := []rune(text)
	if len(runes) > longestLine {
		const tail = 100 // what to do stands at the end
		return string(runes[:longestLine-tail]) + " … " + string(runes[len(runes)-tail:])
	}
	return text
}
