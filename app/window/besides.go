package window

import (
	"context"
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/app/window/kit"
	"kilnpoise/orient"
	"kilnpoise/render"
)

// besides is the comparison of two candidates side by side on one machine, turned
// by one camera.
type besides struct {
	// up is the build direction of the candidate on the right; zero while both
	// machines are shown instead.
	up      r3.Vec
	machine render.Machine
}

// on reports whether two candidates are shown side by side.
func (b besides) on() bool { return b.up != (r3.Vec{}) }

// toggleBesides shows the chosen candidate and another side by side, or both
// machines again. The other is the as-loaded one, or the best but this.
func (w *mainWindow) toggleBesides() {
	c := w.desk.candidate()
	if c == nil || w.desk.advice == nil {
		return
	}
	if w.besides.on() {
		w.leaveBesides()
		return
	}
	other := asLoadedOf(w.desk.candidates())
	for i := range w.desk.candidates() {
		if o := &w.desk.candidates()[i]; (other == nil || other.Pose == c.Pose) && o.Pose != c.Pose {
			other = o
		}
	}
	if other == nil || other.Pose == c.Pose {
		w.title.SetHint("There is no other way to compare it with.")
		return
	}
	w.besides.up = other.Pose.Up()
	w.title.SetBesides(true)
	w.title.SetHint(besidesHint)
	w.refreshMenu()
	w.show()
}

// besidesHint says how the right side is changed.
const besidesHint = "Shift+click a card to put it on the right."

// leaveBesides shows both machines again.
func (w *mainWindow) leaveBesides() {
	w.besides.up = r3.Vec{}
	w.title.SetBesides(false)
	w.title.SetHint("")
	w.machines.EndPair()
	w.refreshMenu()
	w.show()
}

// other gives the place of the candidate on the right, or -1.
func (w *mainWindow) other() int {
	best, nearest := -1, math.Cos(orient.SameDirectionDeg*math.Pi/180)
	for i, c := range w.desk.candidates() {
		if d := r3.Dot(c.Pose.Up(), w.besides.up); d >= nearest {
			best, nearest = i, d
		}
	}
	return best
}

// chooseOther puts a candidate on the right.
func (w *mainWindow) chooseOther(i int) {
	all := w.desk.candidates()
	if i < 0 || i >= len(all) || w.desk.advice == nil {
		return
	}
	if !w.besides.on() {
		w.toggleBesides()
	}
	w.besides.up = all[i].Pose.Up()
	w.show()
}

// stepOther walks along the shelf with the candidate on the right.
func (w *mainWindow) stepOther(by int) { w.chooseOther(w.other() + by) }

// switchMachine shows the two candidates on the other machine.
func (w *mainWindow) switchMachine() {
	if w.besides.on() {
		w.besides.machine = 1 - w.besides.machine
		w.show()
	}
}

// showBesides puts both candidates up as soon as they are ready.
func (w *mainWindow) showBesides(c *orient.Candidate) {
	i := w.other()
	if i < 0 { // it is no longer among them
		w.leaveBesides()
		return
	}
	other := w.desk.candidates()[i]
	w.machines.SetSizes(besidesSize(c, w.besides.machine), "", besidesSize(&other, w.besides.machine))
	left, haveLeft := w.scenes.find(c.Pose)
	right, haveRight := w.scenes.find(other.Pose)
	if haveLeft && haveRight {
		w.detailing.stop()
		w.pair(c, &other, left, right)
		return
	}
	ctx, ticket := w.detailing.begin(w.ctx)
	advice, wanted := w.desk.advice, [2]orient.Candidate{*c, other}
	known := [2]stagedCandidate{left, right}
	w.background("making two candidates ready for the views", func() error {
		return stageMissing(ctx, w.engine, advice, wanted, &known)
	}, func(err error) {
		if !w.detailing.done(ticket) {
			return
		}
		if err != nil {
			w.tellFault(err)
			return
		}
		w.scenes.add(known[0])
		w.scenes.add(known[1])
		w.pair(&wanted[0], &wanted[1], known[0], known[1])
	})
}

// stageMissing makes those ready that are not; it is worker's work.
func stageMissing(ctx context.Context, e engine, a *orient.Advice, wanted [2]orient.Candidate, staged *[2]stagedCandidate) error {
	for i := range wanted {
		if staged[i].plate != nil {
			continue
		}
		s, err := stage(ctx, e, a, &wanted[i])
		if err != nil {
			return err
		}
		staged[i] = s
	}
	return nil
}

// pair puts two candidates up.
func (w *mainWindow) pair(c, other *orient.Candidate, left, right stagedCandidate) {
	title := func(c *orient.Candidate) string { return fmt.Sprintf("%d  %s", c.Rank, cardTitle(c)) }
	m := w.besides.machine
	w.machines.SetPair(m, left.on(m), right.on(m), title(c), title(other))
}

// on gives the scene on a machine.
func (s stagedCandidate) on(m render.Machine) *render.Scene {
	if m == render.OnSetter {
		return s.onSetter(false)
	}
	return s.plate
}

// besidesSize tells the size of a candidate on a machine.
func besidesSize(c *orient.Candidate, m render.Machine) string {
	if m == render.OnSetter {
		return "sintered " + kit.SizeText(c.SinteredSize.X, c.SinteredSize.Y, c.SinteredSize.Z)
	}
	return "green " + kit.SizeText(c.GreenSize.X, c.GreenSize.Y, c.GreenSize.Z)
}
