package furnace

import (
	"context"
	"errors"
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"kilnpoise/mesh"
)

// One-sided contact
//
// The setter pushes and never pulls. Which corners it carries is not known
// beforehand, so it is guessed and mended: solve with the guess as if those
// corners were held; let go of those that were pulled down; hold those that
// sank through; until neither happens. This primal-dual active set is Newton's
// method for the kinked equations (Hintermueller, Ito and Kunisch, SIAM J.
// Optim. 13 (2002) 865) and takes few rounds, each begun from the last answer.
// Every gap is taken as closed or as never closing, so the answer stays
// proportional to weight and compliance. friction.go adds the drag.

// errUnsettled is returned where no set of carried corners is right.
var errUnsettled = errors.New("furnace: it does not settle which corners of the foot carry: the part rocks on its foot; lay it another way or prop it")

const (
	// mostRounds bounds the guesses; from half of it on they change step by
	// step, in case they went round in a circle.
	mostRounds = 60
	// pullShare and sinkShare are how much of the mean load of a corner, and of
	// the largest displacement, may be wrong with a corner that stays as it is:
	// what the solver leaves as error.
	pullShare = 2e-3
	sinkShare = 2e-4
	// The relative errors of the energy norm to which a guess is solved that is
	// still far out (by more than fewFeet of the feet), one that is near, and the
	// last.
	vaguely = 2e-2
	roughly = 2e-3
	closely = 1e-4
	fewFeet = 0.02
)

// contact is the state of the search.
type contact struct {
	*system
	friction float64
	lifted   []bool    // by foot
	pressure []float64 // on each foot, as force is
	level    [2]int    // the system's level axes
	held     []bool    // by displacement
	drag     []float64 // springs of friction, by displacement; nil without
	springs  []float64 // those, and the props that give way; nil without either
	load     []float64 // the weight, and what props do besides carrying
	pull     []float64 // of the load the drag of what does not shrink; nil without
	free     *freedom
	x, react []float64
	left     *float64 // of the work that may be spent; nil: as much as it takes
}

// newContact begins with every foot carrying.
func newContact(s *system, friction float64) *contact {
	n := len(s.force)
	c := &contact{
		system: s, friction: friction, level: [2]int{(s.up + 1) % 3, (s.up + 2) % 3}, load: s.force,
		lifted: make([]bool, len(s.feet)), pressure: make([]float64, len(s.feet)),
		held: make([]bool, n), x: make([]float64, n), react: make([]float64, n),
	}
	if friction > 0 && !math.IsInf(friction, 1) {
		c.drag = make([]float64, n)
		c.stickAll()
	}
	gives, slides := false, false
	for _, r := range s.model.rests {
		gives, slides = gives || r.spring > 0, slides || r.friction > 0
	}
	if gives || c.drag != nil {
		c.springs = make([]float64, n)
	}
	if slides {
		c.pull = make([]float64, n)
	}
	if gives || slides {
		c.load = make([]float64, n)
	}
	return c
}

// goOn begins from a contact that has settled on the same grid with other rests: what
// was lifted there is so here. The displacements are no help: they were much larger.
func (c *contact) goOn(from *contact) {
	lifted := map[int32]bool{}
	for i, foot := range from.feet {
		lifted[foot.node] = from.lifted[i]
	}
	for i, foot := range c.feet {
		c.lifted[i] = lifted[foot.node]
	}
	if !c.firm() {
		clear(c.lifted)
	}
}

// restOf gives what carries a foot.
func (c *contact) restOf(foot int) *rest { return &c.model.rests[c.feet[foot].rest] }

// settle finds the displacements under unit weight. It leaves them in x.
func (c *contact) settle(ctx context.Context, told func(share float64)) (iterations int, err error) {
	return c.settleTo(ctx, closely, told)
}

// settleTo is settle that solves the last guess only so closely.
func (c *contact) settleTo(ctx context.Context, last float64, told func(share float64)) (iterations int, err error) {
	within := vaguely
	for round := range mostRounds {
		n, err := c.solve(ctx, within, told)
		iterations += n
		if err != nil {
			return iterations, err
		}
		changes := c.mend(round)
		if c.drag != nil && !c.regrip() {
			changes++
		}
		if c.pull != nil && !c.slideOver() {
			changes++
		}
		if changes == 0 && within <= last {
			return iterations, nil
		}
		few := float64(changes) <= fewFeet*float64(len(c.feet))
		switch {
		case changes == 0 && within == roughly, few && round > mostRounds/2:
			within = last
		case few:
			within = min(within, roughly)
		}
	}
	return iterations, errUnsettled
}

// solve finds x for the present guess.
func (c *contact) solve(ctx context.Context, within float64, told func(share float64)) (int, error) {
	clear(c.held)
	for i, foot := range c.feet {
		if c.lifted[i] {
			continue
		}
		at, r := 3*int(foot.node), c.restOf(i)
		c.held[at+c.up] = r.spring == 0
		if math.IsInf(c.friction, 1) && r.friction == 0 {
			c.held[at+c.level[0]], c.held[at+c.level[1]] = true, true
		}
	}
	for i, h := range c.held {
		if h {
			c.x[i] = 0
		}
	}
	c.putOn()
	if err := c.mg.hold(c.held, c.springs); err != nil {
		return 0, err
	}
	t := task{x: c.x, b: c.load, within: within, most: mostIterations, told: told}
	effort := c.mg.effort()
	if c.left != nil {
		t.most = int(min(mostIterations, max(*c.left/effort, 0)))
	}
	if c.free == nil || math.IsInf(c.friction, 1) { // what is stuck may change
		c.free = c.slidingModes()
	}
	t.clean = c.free.clean
	n, err := c.mg.solve(ctx, t)
	if c.left != nil {
		*c.left -= float64(n) * effort
	}
	switch {
	case errors.Is(err, errStalled) && n == t.most && t.most < mostIterations:
		return n, ErrWork
	case err != nil:
		return n, err
	}
	c.mg.levels[0].grid.apply(c.react, c.x)
	return n, nil
}

// putOn sets springs and load for the present guess.
func (c *contact) putOn() {
	if c.springs != nil {
		clear(c.springs)
		copy(c.springs, c.drag)
	}
	if &c.load[0] == &c.force[0] {
		return
	}
	copy(c.load, c.force)
	for i, v := range c.pull {
		c.load[i] += v
	}
	for i, foot := range c.feet {
		if r := c.restOf(i); r.spring > 0 && !c.lifted[i] {
			at := 3*int(foot.node) + c.up
			c.springs[at] += r.spring
			c.load[at] -= r.spring * r.sink
		}
	}
}

// mend compares the guess with what came out and changes it; it says how many
// feet it changed.
func (c *contact) mend(round int) (changes int) {
	var most, load float64
	carried := 0
	for i, foot := range c.feet {
		at := 3*int(foot.node) + c.up
		c.pressure[i] = 0
		if !c.lifted[i] {
			c.pressure[i] = c.react[at] - c.force[at]
			if r := c.restOf(i); r.spring > 0 {
				c.pressure[i] = -r.spring * (c.x[at] + r.sink)
			}
			load += c.pressure[i]
			carried++
		}
	}
	for _, v := range c.x {
		most = max(most, math.Abs(v))
	}
	pulled := -pullShare * load / float64(max(carried, 1))
	var release []int
	for i, foot := range c.feet {
		switch {
		case !c.lifted[i] && c.pressure[i] < pulled:
			release = append(release, i)
		case c.lifted[i] && c.x[3*int(foot.node)+c.up] < -c.restOf(i).sink-sinkShare*most:
			c.lifted[i] = false
			changes++
		}
	}
	if round > mostRounds/2 && len(release) > 1 {
		release = c.hardest(release, 1)
	}
	return changes + c.letGo(release)
}

// letGo lets go of the feet listed, as long as enough remain that no body could
// rock: otherwise of the half that is pulled hardest, and so on.
func (c *contact) letGo(release []int) int {
	for len(release) > 0 {
		for _, i := range release {
			c.lifted[i] = true
		}
		if c.firm() {
			return len(release)
		}
		for _, i := range release {
			c.lifted[i] = false
		}
		release = c.hardest(release, len(release)/2)
	}
	return 0
}

// firm reports whether the carried feet of every body span an area.
func (c *contact) firm() bool {
	feet := make([][]r2.Vec, c.count)
	for i, foot := range c.feet {
		if !c.lifted[i] {
			p := c.position(foot.node)
			g := c.groupOf(foot.node)
			feet[g] = append(feet[g], r2.Vec{X: p.X, Y: p.Y})
		}
	}
	for _, f := range feet {
		if len(mesh.Outline(f)) < 3 {
			return false
		}
	}
	return true
}
