package window

import (
	"strings"

	"kilnpoise/app/window/kit"
	"kilnpoise/mesh"
	"kilnpoise/orient"
)

// agreement is that a way up is handed over although it fails gates.
type agreement struct {
	part    *mesh.Part
	pose    orient.Pose
	failing string
}

// agreementOn gives the agreement that a candidate needs; none is needed where it
// fails no gate.
func agreementOn(part *mesh.Part, c *orient.Candidate) (a agreement, needed bool) {
	var names []string
	for _, g := range c.GatesIn(orient.Failed) {
		names = append(names, g.Name)
	}
	return agreement{part, c.Pose, strings.Join(names, "; ")}, len(names) > 0
}

// agreed reports whether the order may be handed over: where its way up fails no
// gate, or the user has said so before.
func (w *mainWindow) agreed(o *handoverOrder) bool {
	a, needed := agreementOn(o.Advice.Part, o.Candidate)
	return !needed || w.agreements[a]
}

// askToHandOver asks whether a way up that fails gates is handed over; yes does it.
func (w *mainWindow) askToHandOver(o *handoverOrder, yes func()) {
	failing := o.Candidate.GatesIn(orient.Failed)
	text := "This way up fails a gate. Hand it over all the same?"
	if len(failing) > 1 {
		text = "This way up fails " + kit.Plural(len(failing), "gate") + ". Hand it over all the same?"
	}
	var lines []string
	for _, g := range failing {
		lines = append(lines, gateSentence(g))
	}
	a, _ := agreementOn(o.Advice.Part, o.Candidate)
	w.asked = a
	w.hand.Ask(text, lines, "Hand over all the same", func() {
		w.asked, w.agreements[a] = agreement{}, true
		yes()
	}, "Go back", w.endHandOver)
}

// dropQuestion takes an open question back that is not about the way up now chosen.
func (w *mainWindow) dropQuestion(c *orient.Candidate) {
	if w.asked == (agreement{}) {
		return
	}
	if now, _ := agreementOn(w.desk.advice.Part, c); now != w.asked {
		w.asked = agreement{}
		w.hand.say()
	}
}

// gateSentence names a gate that is not passed, gives its reason and what to do.
func gateSentence(g orient.Gate) string {
	return kit.Typeset(strings.TrimSpace(kit.UpperFirst(g.Name) + ": " + kit.LowerFirst(g.Reason) + " " + g.Cure))
}

// doubtsText tells what is in doubt about a candidate, "" where nothing is.
func doubtsText(c *orient.Candidate) string {
	var out []string
	for _, g := range c.GatesIn(orient.Doubtful) {
		out = append(out, gateSentence(g))
	}
	if len(out) == 0 {
		return ""
	}
	return "In doubt. " + strings.Join(out, " ")
}
