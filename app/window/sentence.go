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

// minus sets a hyphen before an axis or a number as a minus sign.
func minus(text string) string { return strings.ReplaceAll(text, "-", "−") }

// typeset gives a sentence the signs of print: superscripts, degree and times.
func typeset(sentence string) string {
	return strings.NewReplacer(
		" mm3", nbsp+"mm³", " mm2", nbsp+"mm²", " cm3", nbsp+"cm³", " cm2", nbsp+"cm²",
		" mm", nbsp+"mm", " deg", "°", " -X", " −X", " -Y", " −Y", " -Z", " −Z", " x ", nbsp+"×"+nbsp, " %", nbsp+"%",
	).Replace(sentence)
}

func upperFirst(text string) string {
	if text == "" {
		return text
	}
	r := []rune(text)
	return strings.ToUpper(string(r[:1])) + string(r[1:])
}

// lowerFirst lets a sentence follow a colon.
func lowerFirst(text string) string {
	if text == "" {
		return text
	}
	r := []rune(text)
	return strings.ToLower(string(r[:1])) + string(r[1:])
}
