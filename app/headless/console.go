package headless

import (
	"fmt"
	"io"
	"strings"
	"unicode"
	"unicode/utf8"

	"kilnpoise/orient"
)

// console tells the person at the terminal what goes on, on standard error.
type console struct {
	w         io.Writer
	lastStage string
	lastTenth int
}

// line writes one line, whatever stands in what is told.
func (c *console) line(format string, args ...any) {
	fmt.Fprintln(c.w, PlainLine(fmt.Sprintf(format, args...)))
}

// PlainLine makes one line for a terminal of a text: line ends, escapes and marks that
// turn the direction of writing could forge others.
func PlainLine(text string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r == '\n' || r == '\t':
			return ' '
		case unicode.IsControl(r), unicode.Is(unicode.Cf, r), r == '\u2028', r == '\u2029':
			return utf8.RuneError
		}
		return r
	}, strings.ToValidUTF8(text, string(utf8.RuneError)))
}

func (c *console) notes(lines []string) {
	for _, l := range lines {
		c.line("%s", wholeSentence(l))
	}
}

// wholeSentence begins a remark with a capital letter and ends it with a stop.
func wholeSentence(text string) string {
	first, size := utf8.DecodeRuneInString(text)
	if size == 0 {
		return text
	}
	text = string(unicode.ToUpper(first)) + text[size:]
	if !strings.ContainsAny(text[len(text)-1:], ".!?:") {
		text += "."
	}
	return text
}

func (c *console) progress(p orient.Progress) { c.stage(p.Stage, p.Fraction) }

// stage writes a line at each new stage and each tenth of the way.
func (c *console) stage(name string, fraction float64) {
	tenth := int(fraction * 10)
	if name == c.lastStage && tenth == c.lastTenth {
		return
	}
	c.lastStage, c.lastTenth = name, tenth
	c.line("%3.0f %%  %s", fraction*100, name)
}

// warn says that the first candidate, whose mesh is written, fails gates; the verdict
// has their reasons.
func (c *console) warn(a *orient.Advice) {
	var names []string
	for _, g := range a.Candidates[0].GatesIn(orient.Failed) {
		names = append(names, fmt.Sprintf("%q", g.Name))
	}
	switch len(names) {
	case 0:
	case 1:
		c.line("Warning: this way up fails the gate %s; the files are written all the same.", names[0])
	default:
		c.line("Warning: this way up fails %d gates, %s; the files are written all the same.", len(names), strings.Join(names, ", "))
	}
}

// verdict sums up the first candidate.
func (c *console) verdict(a *orient.Advice) {
	best := &a.Candidates[0]
	c.line("Best of %d: %s", len(a.Candidates), best.Name)
	for _, r := range best.Reasons {
		c.line("  %s", r)
	}
}
