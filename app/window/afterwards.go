package window

import (
	"fmt"
	"slices"

	"fyne.io/fyne/v2"

	"kilnpoise/app/window/kit"
	"kilnpoise/orient"
	"kilnpoise/orient/support"
)

// supportItems says what to do about the supports, region by region; each can be
// shown in the views and, where something is printed for it, left out.
func (p *whyPanel) supportItems(c *orient.Candidate, left []int) []fyne.CanvasObject {
	if c.Plan == nil || len(c.Plan.Items) == 0 {
		return nil
	}
	out := []fyne.CanvasObject{kit.NewHeading("Its supports"), kit.Gap(4)}
	for i := range c.Plan.Items {
		out = append(out, p.planItem(i, &c.Plan.Items[i], slices.Contains(left, i)), kit.Gap(5))
	}
	return append(out, kit.NewSmall(planTotals(c.Plan)), kit.Gap(10))
}

// furnaceItems says how to lay the part down.
func furnaceItems(c *orient.Candidate, advice []string) []fyne.CanvasObject {
	lines := layingDown(c, advice)
	if len(lines) == 0 {
		return nil
	}
	out := []fyne.CanvasObject{kit.NewHeading("Laying it down"), kit.Gap(4)}
	for _, l := range lines {
		out = append(out, kit.NewItem(kit.NewDash(), kit.NewBody(kit.Typeset(l))), kit.Gap(5))
	}
	return append(out, kit.Gap(5))
}

// planItem is one region with its advice.
func (p *whyPanel) planItem(i int, t *support.Item, left bool) fyne.CanvasObject {
	var mark fyne.CanvasObject = kit.NewDash()
	if t.Advice == support.ChangeDesign {
		mark = kit.NewMark(kit.MarkNote)
	}
	text := kit.Typeset(fmt.Sprintf("%d. %s: %s", i+1, kit.UpperFirst(t.Advice.String()), kit.LowerFirst(t.Reason)))
	if left {
		text += " You leave it out."
	}
	links := kit.NewFlow(8, 0, p.itemLink("Show it", func() { p.tell(p.OnRegion, i) }))
	if t.Prints || t.Advice == support.SetterBlock {
		label := "Leave it out"
		if left {
			label = "Take it back"
		}
		links.Add(p.itemLink(label, func() { p.tell(p.OnLeave, i) }))
	}
	return kit.NewPile(0, kit.NewItem(mark, kit.NewBody(text)), kit.NewInset(14, 0, 0, 0, links))
}

func (p *whyPanel) itemLink(label string, do func()) *kit.Link {
	l := kit.NewLink(label, do)
	l.OnKey = func(e *fyne.KeyEvent) {
		if p.OnKey != nil {
			p.OnKey(e)
		}
	}
	return l
}

func (p *whyPanel) tell(f func(int), i int) {
	if f != nil {
		f(i)
	}
}

// planTotals sums the plan up.
func planTotals(p *support.Plan) string {
	text := fmt.Sprintf("Printed support about %.1f g (estimate), for a cutter of %.0f mm that reaches %.0f mm.",
		p.MassG, p.Limits.Cutter.DiameterMM, p.Limits.Cutter.LengthMM)
	switch n := p.Small.Count; {
	case n == 1:
		text += " One small place prints by itself."
	case n > 1:
		text += fmt.Sprintf(" %d small places print by themselves.", n)
	}
	return kit.Typeset(text)
}

// layingDown lists what to do in the furnace, the pose first: why it is laid on another
// face than as printed stands among the reasons. advice is that for the pose.
func layingDown(c *orient.Candidate, advice []string) []string {
	var lines []string
	switch {
	case c.RestsOtherwise():
		lines = append(lines, kit.UpperFirst(kit.Minus(c.LaidAs()))+", not as printed.")
	case c.Resting != nil:
		lines = append(lines, c.Resting.Reason)
	}
	return append(lines, advice...)
}
