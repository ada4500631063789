package window

import (
	"context"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/orient"
	"kilnpoise/orient/support"
	"kilnpoise/render"
)

// leftOut is a region of a support plan that the user leaves out: by the build
// direction of its candidate, as the desk has chosen it, and the middle of one of
// its facets in the part frame.
type leftOut struct {
	up    r3.Vec
	at    r3.Vec
	facet int32
}

// leftAt finds the facet with the middle nearest to a place.
func (d *desk) leftAt(up, at r3.Vec) leftOut {
	out := leftOut{up: up, at: at}
	least := math.Inf(1)
	for i := range d.part.Mesh.Facets {
		if away := r3.Norm2(r3.Sub(d.middle(int32(i)), at)); away < least {
			least, out.facet = away, int32(i)
		}
	}
	return out
}

// middle gives the middle of a facet of the part.
func (d *desk) middle(facet int32) r3.Vec {
	a, b, c := d.part.Mesh.Corners(int(facet))
	return r3.Scale(1.0/3, r3.Add(a, r3.Add(b, c)))
}

// leavesOf lists the regions of the chosen candidate's plan that are left out.
func (d *desk) leavesOf(c *orient.Candidate) []int {
	if c.Plan == nil {
		return nil
	}
	var out []int
	for i := range c.Plan.Items {
		if d.leaves(c, i) {
			out = append(out, i)
		}
	}
	return out
}

// leaves reports whether a region of the chosen candidate's plan is left out.
func (d *desk) leaves(c *orient.Candidate, item int) bool { return d.leftIndex(c, item) >= 0 }

func (d *desk) leftIndex(c *orient.Candidate, item int) int {
	return slices.IndexFunc(d.left, func(l leftOut) bool {
		_, in := slices.BinarySearch(c.Plan.Items[item].Region.Facets, l.facet)
		return in && l.up == d.chosen
	})
}

// toggleLeft leaves a region of the plan out, or takes it back.
func (w *mainWindow) toggleLeft(item int) {
	c, d := w.desk.candidate(), &w.desk
	if c == nil || c.Plan == nil {
		return
	}
	label := fmt.Sprintf("leave region %d out", item+1)
	if i := d.leftIndex(c, item); i >= 0 {
		d.left = slices.Delete(slices.Clone(d.left), i, i+1)
		label = fmt.Sprintf("take region %d back", item+1)
	} else {
		facet := c.Plan.Items[item].Region.Facets[0]
		d.left = append(slices.Clone(d.left), leftOut{d.chosen, d.middle(facet), facet})
	}
	w.did(label)
	w.showWhy()
	w.showHandOver()
	w.planChosen()
}

// lookAtRegion turns both views so that a region of the plan is seen, and marks
// it in the picture.
func (w *mainWindow) lookAtRegion(item int) {
	c := w.desk.candidate()
	if c == nil || c.Plan == nil || item >= len(c.Plan.Items) {
		return
	}
	w.machines.LookAtRegion(item+1, cameraOn(&c.Plan.Items[item].Region, c, w.desk.part.Mesh.AreaVector))
}

// The pitch from which a region is looked at: from below, but not so steeply that
// nothing is seen of where it is.
const regionPitchDeg = -32

// cameraOn looks at a region from below and from the side it faces, or that it
// lies on. area gives the area vector of a facet in the part frame.
func cameraOn(r *support.Region, c *orient.Candidate, area func(int) r3.Vec) render.Camera {
	var n r3.Vec
	for _, f := range r.Facets {
		n = r3.Add(n, c.Pose.Rotation.MulVec(area(int(f))))
	}
	side := r3.Vec{X: n.X, Y: n.Y}
	if r3.Norm(side) < 0.1*r3.Norm(n) { // it faces straight down: look from its side of the part
		side = r3.Vec{X: r.Centroid.X, Y: r.Centroid.Y}
	}
	camera := render.DefaultCamera()
	camera.PitchDeg = regionPitchDeg
	if r3.Norm(side) > 1 {
		camera.YawDeg = lookFrom(side).YawDeg
	}
	return camera
}

// planChosen plans the supports of the chosen candidate where the first ones have
// plans and it has none, or one that leaves out other regions than the user does.
func (w *mainWindow) planChosen() {
	c, a := w.desk.candidate(), w.desk.advice
	if c == nil || a == nil || a.Candidates[0].Plan == nil || w.busy() {
		return
	}
	pose, left := c.Pose, w.desk.leavesOf(c)
	if c.Plan != nil && slices.Equal(c.LeftOut, left) {
		return
	}
	ctx, ticket := w.planning.begin(w.ctx)
	w.head.SetBusy("planning its supports", 0)
	var planned *orient.Advice
	w.background("planning the supports", func() (err error) {
		planned, err = w.engine.Plan(ctx, a, pose, left)
		return err
	}, func(err error) { w.planned(ticket, a, planned, err) })
}

// busy reports whether the advice is still being worked out.
func (w *mainWindow) busy() bool {
	return w.opening.running() || w.advising.running() || w.firing.running()
}

// planned takes the advice with one more plan, unless there is newer advice.
func (w *mainWindow) planned(ticket int, from, a *orient.Advice, err error) {
	if !w.planning.done(ticket) {
		return
	}
	w.showIdle()
	w.tellFault(err)
	if err != nil || w.desk.advice != from {
		return
	}
	w.scenes.clear()
	w.desk.advice = a
	w.show()
	w.compareSaved()
}

// Plan plans the supports of one candidate of the advice.
func (workshop) Plan(ctx context.Context, a *orient.Advice, p orient.Pose, left []int) (*orient.Advice, error) {
	return a.PlanFor(ctx, p, left)
}
