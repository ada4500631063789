package command

import (
	"context"
	"errors"
	"strings"

	"kilnpoise/app/headless"
)

// longestLine is how much of an error is told, in runes: a value out of a file may be
// of any length.
const longestLine = 500

// line puts an error into one line for a terminal, of bounded length; errors that were
// joined are told one after the other, with semicolons between.
func line(err error) string {
	if errors.Is(err, context.Canceled) {
		return "stopped before it was done; nothing was changed"
	}
	runes := []rune(headless.PlainLine(strings.ReplaceAll(err.Error(), "\n", "; ")))
	if len(runes) <= longestLine {
		return string(runes)
	}
	const tail = 120 // what to do stands at the end
	return string(runes[:longestLine-tail]) + " … " + string(runes[len(runes)-tail:])
}
