package window

import (
	"fmt"

	"fyne.io/fyne/v2"

	"kilnpoise/orient"
	"kilnpoise/orient/support"
)

// afterwardItems says what to do once the candidate is chosen: about its supports,
// region by region, and about laying it down in the furnace.
func afterwardItems(c *orient.Candidate) []fyne.CanvasObject {
	var out []fyne.CanvasObject
	if c.Plan != nil && len(c.Plan.Items) > 0 {
		out = append(out, newHeading("Its supports"), gap(4))
		for i := range c.Plan.Items {
			out = append(out, planItem(&c.Plan.Items[i]), gap(5))
		}
		out = append(out, newSmall(planTotals(c.Plan)), gap(10))
	}
	if lines := layingDown(c); len(lines) > 0 {
		out = append(out, newHeading("Laying it down"), gap(4))
		for _, l := range lines {
			out = append(out, newItem(newDash(), newBody(typeset(l))), gap(5))
		}
		out = append(out, gap(5))
	}
	return out
}

// planItem is one region with its advice.
func planItem(t *support.Item) fyne.CanvasObject {
	var mark fyne.CanvasObject = newDash()
	if t.Advice == support.ChangeDesign {
		mark = newMark(markNote)
	}
	return newItem(mark, newBody(typeset(fmt.Sprintf("%s: %s", upperFirst(t.Advice.String()), t.Reason))))
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
	return typeset(text)
}

// layingDown lists what to do in the furnace, the pose first.
func layingDown(c *orient.Candidate) []string {
	var lines []string
	if c.Resting != nil {
		lines = append(lines, c.Resting.Reason)
	}
	return append(lines, c.FurnaceAdvice...)
}
