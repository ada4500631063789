package window

import (
	"fyne.io/fyne/v2"

	"kilnpoise/app/window/kit"
	"kilnpoise/orient"
	"kilnpoise/render"
)

// toleranceItems tells what becomes of each critical dimension, the same figures as
// on the sheet: the verdict by mark and word, the numbers under it.
func toleranceItems(c *orient.Candidate) []fyne.CanvasObject {
	if len(c.Dimensions) == 0 {
		return nil
	}
	out := []fyne.CanvasObject{kit.Gap(10), kit.NewHeading("Tolerances, mm and ° (estimates)"), kit.Gap(4)}
	for i := range c.Dimensions {
		d := &c.Dimensions[i]
		head, figures := toleranceWords(d)
		out = append(out, kit.NewItem(kit.NewMark(markOf(d.Verdict)), kit.NewBody(head)), kit.NewItem(kit.NewDash(), kit.NewSmall(figures)), kit.Gap(5))
	}
	return out
}

// markOf gives the shape of a verdict.
func markOf(v orient.Verdict) kit.MarkKind {
	switch v {
	case orient.Holds:
		return kit.MarkPasses
	case orient.DoesNotHold:
		return kit.MarkFails
	}
	return kit.MarkNote
}

// toleranceWords tells one dimension: what and whether it holds, and the figures.
func toleranceWords(d *orient.DimensionOutcome) (head, figures string) {
	cells := render.ToleranceCells(d)
	head = cells[0] + ": " + cells[7]
	if !d.What.IsZone() {
		figures = "nominal " + cells[1] + ", "
	}
	figures += "expected " + cells[2] + " (" + cells[3] + "), "
	if !d.What.IsZone() {
		figures += "scatter ± " + cells[4] + ", "
	}
	figures += "allowed " + cells[5] + " (" + cells[6] + ")"
	if d.Weightiest != "" {
		figures += "; most of it is " + cells[8]
	}
	return kit.Typeset(head), kit.Typeset(kit.UpperFirst(figures) + ".")
}
