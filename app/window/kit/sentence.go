package kit

import (
	"context"
	"errors"
	"strings"
)

// Sentence turns an error into one sentence for the screen; only its first line
// is told.
func Sentence(err error) string {
	if err == nil {
		return ""
	}
	if errors.Is(err, context.Canceled) {
		return "Stopped."
	}
	text, _, _ := strings.Cut(strings.TrimSpace(err.Error()), "\n")
	return FullStop(UpperFirst(strings.TrimSpace(text)))
}

// FullStop ends a sentence where nothing else does.
func FullStop(text string) string {
	if text != "" && !strings.ContainsAny(text[len(text)-1:], ".!?:") {
		text += "."
	}
	return text
}

// Minus sets a hyphen before an axis or a number as a minus sign.
func Minus(text string) string { return strings.ReplaceAll(text, "-", "−") }

// Typeset gives a sentence the signs of print: superscripts, degree and times.
func Typeset(sentence string) string {
	return strings.NewReplacer(
		" mm3", NBSP+"mm³", " mm2", NBSP+"mm²", " cm3", NBSP+"cm³", " cm2", NBSP+"cm²",
		" mm", NBSP+"mm", " deg", "°", " -X", " −X", " -Y", " −Y", " -Z", " −Z", " x ", NBSP+"×"+NBSP, " %", NBSP+"%",
	).Replace(sentence)
}

// UpperFirst begins a sentence.
func UpperFirst(text string) string {
	if text == "" {
		return text
	}
	r := []rune(text)
	return strings.ToUpper(string(r[:1])) + string(r[1:])
}

// LowerFirst lets a sentence follow a colon.
func LowerFirst(text string) string {
	if text == "" {
		return text
	}
	r := []rune(text)
	return strings.ToLower(string(r[:1])) + string(r[1:])
}
