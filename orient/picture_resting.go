package orient

import (
	"context"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// RestsOtherwise tells whether the candidate is better laid down in another pose
// than that of the print: then Advice.RestingDetail differs from Advice.Detail.
func (c *Candidate) RestsOtherwise() bool { return c.Resting != nil && c.Resting.Chosen > 0 }

// LaidAs says how it is laid down in the furnace: as printed, or on which face by the
// axes of the file.
func (c *Candidate) LaidAs() string {
	if !c.RestsOtherwise() {
		return "as printed"
	}
	if axis := fileAxis(c.Resting.Pose().Down); axis != "" {
		return "laid on its " + axis + " face"
	}
	return "laid on another face"
}

// LayingAdvice says in sentences how to lay the candidate down in the pose to take;
// what the plan puts under it among them; empty where nothing is needed.
func (a *Advice) LayingAdvice(c *Candidate) []string {
	standing := c.FurnaceAdvice
	if c.RestsOtherwise() {
		standing = c.Resting.Pose().Stand.Advice(a.Brief.standLimits())
	}
	if p := c.propsNow(); p != nil && !(p.Within && len(p.Props) == 0) {
		standing = slices.Concat(standing, p.Sentences)
	}
	return standing
}

// RestingDetail works out what a picture of the candidate on the setter needs, in
// the pose that it is to be laid down in: Sintered stands in the furnace frame of
// that pose, with the field of its sag where that is solved. What belongs to the
// plate is as in Detail, which is given for a candidate that is fired as printed
// or whose poses were not looked at.
func (a *Advice) RestingDetail(ctx context.Context, c *Candidate) (*Detail, error) {
	d, err := a.Detail(ctx, c)
	if err != nil || !c.RestsOtherwise() {
		return d, err
	}
	d.Sintered, d.SinteredFrom = c.Resting.Mesh(), nil
	d.Sag, d.Displacement, d.SagAt, d.SagMM, d.SagCollapses = nil, nil, r3.Vec{}, 0, false
	if sag := c.Resting.Pose().Sag; sag != nil {
		d.addSag(sag)
		d.SagAt, d.SagMM, d.SagCollapses = sag.At, sag.MM, sag.Collapses
	}
	return d, ctx.Err()
}
