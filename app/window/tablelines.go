package window

import "kilnpoise/orient"

// tableLine is one line of the table as it is shown: a group title where this
// is empty and label is not.
type tableLine struct {
	label, unit string
	group       bool
	this        string
	// pending is true where the value will change.
	pending bool
	others  []tableCell
}

// tableCell is the value of another candidate with what it means.
type tableCell struct {
	text    string
	verdict verdict
	pending bool
}

// comparison is another candidate that this one is held against.
type comparison struct {
	title     string
	candidate *orient.Candidate
}

// comparisons picks what a candidate is held against: the orientation as loaded
// and the runner-up, or the first choice where this is not it. Where they are
// one and the same it is named once.
func comparisons(this *orient.Candidate, all []orient.Candidate) []comparison {
	var out []comparison
	var rival *orient.Candidate
	for i := range all {
		c := &all[i]
		if c.Pose == this.Pose {
			continue
		}
		if c.Origin == orient.AsLoaded {
			out = append(out, comparison{"as loaded", c})
			continue
		}
		if rival == nil {
			rival = c
		}
	}
	switch {
	case len(all) > 0 && this.Pose == all[0].Pose && rival != nil:
		out = append(out, comparison{"runner-up", rival})
	case rival != nil && rival.Rank == 1:
		out = append(out, comparison{"first choice", rival})
	case rival != nil:
		out = append(out, comparison{"best found", rival})
	}
	return out
}

// tableLines writes the table for one candidate held against others.
func tableLines(this *orient.Candidate, others []comparison) []tableLine {
	var lines []tableLine
	for _, g := range measureGroups() {
		lines = append(lines, tableLine{label: g.title, group: true})
		for i := range g.rows {
			if line, ok := g.rows[i].line(this, others); ok {
				lines = append(lines, line)
			}
		}
	}
	return lines
}

func (r *measureRow) line(this *orient.Candidate, others []comparison) (tableLine, bool) {
	shown := []*orient.Candidate{this}
	for _, o := range others {
		shown = append(shown, o.candidate)
	}
	if r.onlyIfAny && !r.any(shown) {
		return tableLine{}, false
	}
	n := r.decimals(shown)
	line := tableLine{label: r.label, unit: r.unit, this: r.cell(this, n), pending: r.solved && pending(this)}
	for _, o := range others {
		line.others = append(line.others, tableCell{r.cell(o.candidate, n), r.compare(this, o.candidate), r.solved && pending(o.candidate)})
	}
	return line, true
}
