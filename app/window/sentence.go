package window

import (
	"context"
	"errors"
	"strings"
)

// sentence turns an error into one sentence for the screen; only its first line
// is told.
func sentence(err error) string {
	if err == nil {
		return ""
	}
	if errors.Is(err, context.Canceled) {
		return "Stopped."
	}
	text, _, _ := strings.Cut(strings.TrimSpace(err.Error()), "\n")
	return fullStop(upperFirst(strings.TrimSpace(text)))
}

// fullStop ends a sentence where nothing else does.
func fullStop(text string) string {
	if text != "" && !strings.ContainsAny(text[len(text)-1:], ".!?:") {
		text += "."
	}
	return text
}
