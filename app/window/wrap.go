package window

import "strings"

// wrapText breaks text into lines that are at most width wide, as far as words
// allow, at spaces and line breaks. A single word wider than width is broken
// between letters, so that nothing is ever cut off. No-break spaces hold.
func wrapText(text string, width float32, measure func(string) float32) []string {
	var lines []string
	for _, paragraph := range strings.Split(text, "\n") {
		lines = append(lines, wrapParagraph(paragraph, width, measure)...)
	}
	return lines
}

func wrapParagraph(text string, width float32, measure func(string) float32) []string {
	var lines []string
	line := ""
	for _, word := range strings.Split(text, " ") {
		longer := word
		if line != "" {
			longer = line + " " + word
		}
		if measure(longer) <= width {
			line = longer
			continue
		}
		if line != "" {
			lines = append(lines, line)
		}
		pieces := breakWord(word, width, measure)
		lines = append(lines, pieces[:len(pieces)-1]...)
		line = pieces[len(pieces)-1]
	}
	return append(lines, line)
}

// breakWord cuts word into pieces of at most width, at least one letter each.
func breakWord(word string, width float32, measure func(string) float32) []string {
	var pieces []string
	letters := []rune(word)
	for measure(string(letters)) > width && len(letters) > 1 {
		n := 1
		for n < len(letters)-1 && measure(string(letters[:n+1])) <= width {
			n++
		}
		pieces = append(pieces, string(letters[:n]))
		letters = letters[n:]
	}
	return append(pieces, string(letters))
}

// clip shortens text with an ellipsis until it is at most width wide.
func clip(text string, width float32, measure func(string) float32) string {
	if measure(text) <= width {
		return text
	}
	letters := []rune(text)
	for len(letters) > 1 {
		letters = letters[:len(letters)-1]
		short := strings.TrimRight(string(letters), " ") + "…"
		if measure(short) <= width {
			return short
		}
	}
	return "…"
}
