package kit

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
		if fits(longer, width, measure) {
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
	for {
		n := max(1, mostThat(len(letters), func(n int) bool { return measure(string(letters[:n])) <= width }))
		if n >= len(letters) {
			return append(pieces, string(letters))
		}
		pieces = append(pieces, string(letters[:n]))
		letters = letters[n:]
	}
}

// Clip shortens text with an ellipsis until it is at most width wide.
func Clip(text string, width float32, measure func(string) float32) string {
	if fits(text, width, measure) {
		return text
	}
	letters := []rune(text)
	short := func(n int) string { return strings.TrimRight(string(letters[:n]), " ") + "…" }
	n := mostThat(len(letters)-1, func(n int) bool { return measure(short(n)) <= width })
	if n < 1 {
		return "…"
	}
	return short(n)
}

// fits reports whether text is at most width wide. A long text is not measured as a
// whole, which takes as long as it is long.
func fits(text string, width float32, measure func(string) float32) bool {
	const long = 200
	if len(text) <= long {
		return measure(text) <= width
	}
	letters := []rune(text)
	return mostThat(len(letters), func(n int) bool { return measure(string(letters[:n])) <= width }) == len(letters)
}

// mostThat gives the largest n up to most for which ok holds, and 0 where it never
// does. What is ok for n is so for less. It asks first for small n: most of a long
// text is never looked at.
func mostThat(most int, ok func(n int) bool) int {
	lo, hi := 0, 1
	for hi <= most && ok(hi) {
		lo, hi = hi, 2*hi
	}
	hi = min(hi, most+1) // it is not ok, or too many
	for lo+1 < hi {
		if mid := (lo + hi) / 2; ok(mid) {
			lo = mid
		} else {
			hi = mid
		}
	}
	return lo
}
