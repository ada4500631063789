package process

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"
)

// Change is one figure of a record that a fit would change.
type Change struct {
	// Key, Axis, Label and Unit are those of Figure.
	Key, Axis, Label, Unit string
	Old, New               float64
	// OldSource is where the old value came from.
	OldSource Source
	// WithinInterval tells that the old value lies within the interval of the
	// new one: the firings do not contradict it.
	WithinInterval bool
}

// Proposal is what taking a fit over would change in a record.
type Proposal struct {
	// Changes are in the order of the record; none when nothing would change.
	Changes []Change
	// Record is the record with the changes made, tagged S with the date and note.
	// Saving it is up to the caller.
	Record Material
	// OversizeOld and OversizeNew are the factors per print axis before and after.
	OversizeOld, OversizeNew [3]float64
	// Remarks are sentences on what to mind before taking it over, beside those of
	// the fit.
	Remarks []string
}

// proposalStep is what figures are rounded to: a hundredth of a point, which is
// 0.01 mm on 100 mm and below what any firing repeats.
const proposalStep = 1e-4

// spreadFirings is how many firings a spread is taken over from; two say next to
// nothing about it (judgement).
const spreadFirings = 3

// Propose works out what would change in m if the fit were taken over on today's
// date: the shrinkage of every axis that is known, and the spread of those that
// enough firings bear on. The note is kept with the figures; it may be empty.
// Neither f nor m is changed.
func (f ShrinkageFit) Propose(m Material, today time.Time, note string) Proposal {
	out := Proposal{Record: materialKind().clone(m), OversizeOld: m.Oversize()}
	var fresh, spreads [3]bool
	for k, a := range f.Axes {
		if !a.Known {
			continue
		}
		fresh[k] = true
		out.Record.Shrinkage[k] = rounded(a.Shrinkage)
		if s := rounded(a.Spread); a.Firings >= spreadFirings && s > 0 {
			spreads[k] = true
			out.Record.ShrinkageSpread[k] = s
		}
	}
	out.changes(f, m)
	out.OversizeNew = out.Record.Oversize()
	text := f.origin(today, note)
	out.Record.Sources = bookSource(out.Record.Sources, "shrinkage", fresh, text)
	out.Record.Sources = bookSource(out.Record.Sources, "shrinkage_spread", spreads, text)
	out.remark(f, spreads)
	return out
}

func rounded(v float64) float64 {
	steps := math.Round(v / proposalStep)
	return steps / math.Round(1/proposalStep) // so that 0.1623 is that and not 0.16230000000000003
}

// changes lists the figures that differ.
func (p *Proposal) changes(f ShrinkageFit, m Material) {
	now := p.Record.Figures()
	for i, old := range m.Figures() {
		if now[i].Value == old.Value {
			continue
		}
		a := f.Axes[strings.Index("XYZ", old.Axis)]
		within := old.Value >= a.Low && old.Value <= a.High
		if old.Key == "shrinkage_spread" {
			within = old.Value >= a.SpreadLow && old.Value <= a.SpreadHigh
		}
		p.Changes = append(p.Changes, Change{old.Key, old.Axis, old.Label, old.Unit, old.Value, now[i].Value, old.Source, within})
	}
}

// origin is the sentence that goes with the figures into the record.
func (f ShrinkageFit) origin(today time.Time, note string) string {
	text := fmt.Sprintf("firing book, %s: %s and %s", today.Format(time.DateOnly), counted(len(f.Firings), "firing"), counted(f.Readings, "reading"))
	if !f.First.IsZero() {
		text += fmt.Sprintf(", %s to %s", f.First.Format(time.DateOnly), f.Last.Format(time.DateOnly))
	}
	for k, a := range f.Axes {
		if a.High > a.Low {
			text += fmt.Sprintf("; %s %.2f to %.2f %% (%.0f %%)", string("XYZ"[k]), 100*a.Low, 100*a.High, 100*f.Confidence)
		}
	}
	if note = strings.TrimSpace(note); note != "" {
		text += "; " + note
	}
	return text
}

func counted(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

// bookSource gives the figure key its new source. Axes that are not fresh keep
// what they had, and the source says so.
func bookSource(sources []Source, key string, fresh [3]bool, text string) []Source {
	if fresh == [3]bool{} {
		return sources
	}
	old, known := sourceOf(sources, key)
	s := Source{Item: key, Tag: Shop, Text: text}
	var kept []string
	for k, taken := range fresh {
		if !taken {
			kept = append(kept, string("XYZ"[k]))
		}
	}
	if len(kept) > 0 {
		s.Text += "; " + strings.Join(kept, " and ") + " as before"
		if known {
			first, _, _ := strings.Cut(old.Text, ";") // the rest would grow with every fit
			s.Text += fmt.Sprintf(" (%s: %s)", old.Tag, first)
			s.Tag = old.Tag.with(Shop)
		}
	}
	return replaceSource(slices.Clone(sources), s)
}

// with gives first and the tags of t beside it.
func (t Tag) with(first Tag) Tag {
	out := first
	for _, part := range strings.Split(string(t), "+") {
		if part = strings.TrimSpace(part); part != "" && part != string(first) {
			out += " + " + Tag(part)
		}
	}
	return out
}

// remark says what to mind.
func (p *Proposal) remark(f ShrinkageFit, spreads [3]bool) {
	for k, a := range f.Axes {
		name := string("XYZ"[k])
		switch {
		case !a.Known:
			p.Remarks = append(p.Remarks, name+" stays as it is: "+a.Why)
		case !spreads[k] && a.Firings < spreadFirings:
			p.Remarks = append(p.Remarks, fmt.Sprintf("the spread of %s stays as it is: it takes %d firings", name, spreadFirings))
		case !spreads[k]:
			p.Remarks = append(p.Remarks, fmt.Sprintf("the spread of %s stays as it is: the error of the instrument explains all that was seen", name))
		}
	}
	if n := len(f.Outliers); n > 0 {
		p.Remarks = append(p.Remarks, counted(n, "outlier")+" still counted; look at them first, and leave out what was a slip")
	}
	if text := p.Record.densityWarning(); text != "" {
		p.Remarks = append(p.Remarks, text)
	}
}
