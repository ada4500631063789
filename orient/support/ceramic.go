package support

import "slices"

// Carriers counts the items that something has to carry in the furnace, but for those that
// leave says true of.
func (p *Plan) Carriers(leave func(item int) bool) (n int) {
	for i := range p.Items {
		if p.Items[i].carried() && !leave(i) {
			n++
		}
	}
	return n
}

// carried reports whether the item is carried in the furnace by what the plan puts there.
func (t *Item) carried() bool {
	return t.Advice == PrintAndKeep || t.Advice == SetterBlock || t.Advice == AluminaSand
}

// OnCeramic gives the plan for a part that ceramic blocks carry in the furnace, wherever
// they stand: what the plan had there is what else would do. p itself is not changed.
func (p *Plan) OnCeramic() *Plan {
	out := *p
	out.Items = slices.Clone(p.Items)
	l := &out.Limits
	for i := range out.Items {
		t := &out.Items[i]
		if !t.carried() {
			continue
		}
		needs := t.needs(l)
		t.Advice, t.Prints = CeramicBlock, needs
		t.Reason = t.saggy(l) + t.onCeramic(needs)
		others := t.Others
		t.Others = nil
		t.otherCarriers(l, needs, func(a Advice, words string, c Change) {
			t.Others = append(t.Others, Option{Advice: a, Words: words, Change: c})
		})
		for _, o := range others {
			if o.Advice == ChangeDesign {
				t.Others = append(t.Others, o)
			}
		}
	}
	return &out
}

// onCeramic says how ceramic blocks are used.
func (t *Item) onCeramic(needs bool) string {
	if needs {
		return " Cut its support off in the green state; in the furnace ceramic blocks carry it, as laying it down says."
	}
	return " It prints by itself; in the furnace ceramic blocks carry it, as laying it down says."
}
