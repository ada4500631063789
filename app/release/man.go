package main

import (
	"bytes"
	"fmt"
	"strings"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

// page is a page of the manual while it is written, in the macros of man(7).
type page struct{ bytes.Buffer }

// manPage describes a command with all that are below it on one page of section 1.
func manPage(root *cobra.Command, version string, date time.Time) []byte {
	p := &page{}
	name := root.Name()
	fmt.Fprintf(p, ".TH %s 1 %s %s %s\n", strings.ToUpper(name), date.Format(time.DateOnly), quoted(name+" "+version), quoted("User Commands"))
	p.section("NAME")
	fmt.Fprintf(p, "%s \\- %s\n", name, escaped(lowered(root.Short)))
	p.section("SYNOPSIS")
	for _, c := range runnable(root) {
		if c == root || !c.HasAvailableSubCommands() {
			fmt.Fprintf(p, ".B %s\n%s\n.br\n", escaped(c.CommandPath()), escaped(arguments(c)))
		}
	}
	p.section("DESCRIPTION")
	p.paragraphs(root.Long)
	p.options(root)
	p.section("COMMANDS")
	for _, c := range runnable(root)[1:] {
		fmt.Fprintf(p, ".SS %s\n", escaped(strings.TrimPrefix(c.CommandPath(), name+" ")+" "+arguments(c)))
		p.paragraphs(described(c))
		p.options(c)
	}
	p.Write(text("manual-end.roff"))
	return p.Bytes()
}

// runnable lists a command and those below it that a user may run, in their order.
func runnable(c *cobra.Command) []*cobra.Command {
	out := []*cobra.Command{c}
	for _, below := range c.Commands() {
		if below.IsAvailableCommand() {
			out = append(out, runnable(below)...)
		}
	}
	return out
}

// arguments are what the use line of a command names after its name.
func arguments(c *cobra.Command) string {
	_, rest, _ := strings.Cut(c.Use, " ")
	if c.HasAvailableFlags() && !strings.Contains(rest, "--") {
		rest = strings.TrimSpace("[OPTION ...] " + rest)
	}
	return rest
}

func described(c *cobra.Command) string {
	if c.Long != "" {
		return c.Long
	}
	return c.Short + "."
}

func (p *page) section(title string) { fmt.Fprintf(p, ".SH %s\n", title) }

// paragraphs writes text whose paragraphs have an empty line between.
func (p *page) paragraphs(text string) {
	for _, paragraph := range strings.Split(text, "\n\n") {
		fmt.Fprintf(p, ".PP\n%s\n", escaped(strings.ReplaceAll(paragraph, "\n", " ")))
	}
}

// options lists the flags of a command; each has --help, which is told once.
func (p *page) options(c *cobra.Command) {
	c.InitDefaultHelpFlag()
	c.Flags().VisitAll(func(f *pflag.Flag) {
		if f.Hidden || f.Name == "help" && c.HasParent() {
			return
		}
		value, usage := pflag.UnquoteUsage(f)
		fmt.Fprintf(p, ".TP\n\\fB%s\\fR", escaped("--"+f.Name))
		if value != "" {
			fmt.Fprintf(p, " \\fI%s\\fR", escaped(value))
		}
		fmt.Fprintf(p, "\n%s\n", escaped(usage))
	})
}

// escaped keeps text from being taken for requests, and hyphens what they are.
func escaped(text string) string {
	text = strings.NewReplacer(`\`, `\e`, `-`, `\-`).Replace(text)
	if strings.HasPrefix(text, ".") || strings.HasPrefix(text, "'") {
		text = `\&` + text
	}
	return text
}

func quoted(text string) string { return `"` + text + `"` }

// lowered begins a sentence small, as the line of a name has it.
func lowered(text string) string { return strings.ToLower(text[:1]) + text[1:] }
