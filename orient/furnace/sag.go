package furnace

import (
	"context"
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
)

// Stuck is the friction of a foot that never slides.
var Stuck = math.Inf(1)

// Options are what a solution can be told. The zero value is usable.
type Options struct {
	// Elements is the size budget: about how many bricks the part is cut into.
	// 0 takes what four bricks through the thinnest wall need, at most about
	// 40 000.
	Elements int
	// Friction is Coulomb's coefficient between foot and setter, from 0, free to
	// slide, to Stuck. The default, 0, is on the safe side for sag: while the
	// part shrinks its feet slide in any case, so friction is spent on the
	// shrinking and does not hold legs together.
	Friction float64
	// WallMM is the thickness that a fiftieth of the part's surface does not reach,
	// where it is known: it is measured otherwise. It is the same in every pose.
	WallMM float64
	// Props carry the part besides the setter's plane.
	Props []Prop
	// NoCheck leaves out the second, coarser grid that DiscretisationMM is
	// estimated from.
	NoCheck bool
	// NoLean leaves out how a lean grows.
	NoLean bool
	// Progress, where not nil, is told the stage in words and the share of all
	// work done, 0 to 1, never falling. It is called from the goroutine of Solve.
	Progress func(stage string, fraction float64)
}

// Sag is how a part gives way in the furnace. Lengths are mm, places in the
// furnace frame.
type Sag struct {
	// MM is the largest downward displacement, LowMM and HighMM the same at the
	// low and high end of the compliance. They are proportional to compliance
	// and density. Where Collapses is true they are beyond what small
	// displacements can tell and must not be shown as millimetres.
	MM, LowMM, HighMM float64
	// At is where.
	At r3.Vec
	// ResidualMM is the largest error of shape left after the best rigid fit.
	ResidualMM float64
	// SpanMM is the free span at the worst place: the length of the arm or the
	// width of the bridge. A sag past a tenth of it is a collapse (judgement).
	SpanMM    float64
	Collapses bool
	// LiftMM is by how much the foot rises where it lets go of the setter.
	LiftMM float64
	// Method is "solved".
	Method string
	// DiscretisationMM estimates the error of MM that comes from the grid, from
	// the answer on a coarser one. Checked is false, and it 0, where there is no
	// such answer: not asked for, or the part cannot stand on the coarser grid.
	DiscretisationMM float64
	Checked          bool
	// BricksThrough is how many bricks go through the thinnest wall: below two
	// take the answer with care.
	BricksThrough float64
	// Elements is the number of bricks, PitchMM the mean of their edges,
	// Iterations the number of steps it took.
	Elements   int
	PitchMM    float64
	Iterations int
	// Lean is how a small lean grows; nil where that could not be found. LeanSteps is
	// the number of steps it took. LeanMode is the shape that grows, the largest
	// displacement 1; nil where none grows to speak of.
	Lean      *Lean
	LeanSteps int
	LeanMode  *Field
	// Displacement is that of every vertex of the mesh, and Field that of any
	// point of the part.
	Displacement []r3.Vec
	Field        *Field

	pillars func() *pillars // for DroopMM, made when first asked for
	worst   func() drooping // likewise
}

// collapseShare is the sag over span from which a part is said to collapse.
const collapseShare = 0.1

// mostIterations bounds one solve; sound parts need 10 to 60.
const mostIterations = 400

// ErrWork is returned where the solution is given up because it takes too long.
var ErrWork = errors.New("furnace: it would take too long to solve: so many slender or loosely connected pieces settle slowly; ask for a grid of fewer elements")

// mostEffort bounds the work on one part, in bricks whose forces are added up, for the
// default size of the grid; of a larger one that was asked for in proportion. Sound
// parts take a quarter of it at most (measured). It is counted, not timed, so that the
// same part always gets the same answer.
const mostEffort = 6e7

// effort is the work that may be spent.
func (o Options) effort() float64 { return mostEffort * max(1, float64(o.Elements)/defaultElements) }

// Solve works out how the part m sags. The mesh stands in the furnace frame,
// lowest z at 0 (or on ceramic props), at the size it has when soft; it is not
// changed. See the package comment for what is modelled and what is not.
//
// It returns an error in words for a part that hangs free (ErrLoose), would tip
// (ErrTips) or has holes (ErrOpen), and the error of ctx, soon, when cancelled.
func Solve(ctx context.Context, m *mesh.Mesh, c Creep, o Options) (*Sag, error) {
	if err := c.Validate(); err != nil {
		return nil, err
	}
	w, err := o.prepare(ctx, m)
	if err != nil {
		return nil, err
	}
	tell := newTeller(o.Progress)
	md, err := o.within(ctx, m, w)
	if err != nil {
		return nil, err
	}
	share := 0.6 // of the work, for the main grid
	if o.NoCheck {
		share = 0.85
	}
	left := o.effort()
	touch, sag, err := o.solveModel(ctx, m, c, md, &left, tell.stage("sag", 0.05, share))
	if err != nil {
		return nil, err
	}
	sag.BricksThrough = w.wall / sag.PitchMM
	leaning := touch
	if !o.NoCheck {
		coarse, err := o.check(ctx, m, c, w, sag, &left, tell.stage("sag on a coarser grid, for the error", share, 0.85))
		if err != nil {
			return nil, err
		}
		if coarse != nil { // good enough for the lean, and cheaper
			leaning = coarse
		}
	}
	tell.stage("lean", 0.85, 0.85)(0)
	if !o.NoLean {
		if err := leaning.lean(ctx, c, sag); err != nil {
			return nil, err
		}
	}
	tell.stage("sag", 1, 1)(1)
	return sag, nil
}

// prepare checks the input and gathers what the grid is laid out for.
func (o Options) prepare(ctx context.Context, m *mesh.Mesh) (wish, error) {
	if len(m.Facets) == 0 {
		return wish{}, errors.New("furnace: the part has no facets")
	}
	if !(o.Friction >= 0) {
		return wish{}, fmt.Errorf("furnace: friction is %g, it must be 0 or more", o.Friction)
	}
	w := wish{box: m.Bounds(), budget: o.Elements, planes: flats(m), volume: math.Abs(m.Volume())}
	if s := w.box.Size(); math.IsNaN(s.X+s.Y+s.Z) || math.IsInf(s.X+s.Y+s.Z, 0) {
		return wish{}, errors.New("furnace: the part has corners that are not finite numbers")
	}
	for i, p := range o.Props {
		if err := p.validate(i); err != nil {
			return wish{}, err
		}
		for a, more := range flats(p.Shape) {
			w.planes[a] = append(w.planes[a], more...)
		}
		if p.grown() {
			b := p.Shape.Bounds()
			w.box.Min = r3.Vec{X: min(w.box.Min.X, b.Min.X), Y: min(w.box.Min.Y, b.Min.Y), Z: min(w.box.Min.Z, b.Min.Z)}
			w.box.Max = r3.Vec{X: max(w.box.Max.X, b.Max.X), Y: max(w.box.Max.Y, b.Max.Y), Z: max(w.box.Max.Z, b.Max.Z)}
			w.volume += math.Abs(p.Shape.Volume())
		}
	}
	if w.box.Min.Z < -restTolerance {
		return wish{}, fmt.Errorf("furnace: the part reaches %.2f mm below the setter", -w.box.Min.Z)
	}
	if w.wall = o.WallMM; w.wall > 0 {
		return w, nil
	}
	walls, err := m.Walls(ctx, nil)
	if err != nil {
		return wish{}, fmt.Errorf("furnace: %w", err)
	}
	w.wall = walls.ThinFiftiethMM
	return w, nil
}

// within lays the grid and fills it. Bricks that the surface cuts come on top of
// what the volume needs, so where they burst the budget it is laid once more.
func (o Options) within(ctx context.Context, m *mesh.Mesh, w wish) (*model, error) {
	const burst = 1.5
	pitch := w.pitch()
	budget := o.Elements
	if budget <= 0 {
		budget = defaultElements
	}
	for again := true; ; again = false {
		md, err := newModel(ctx, m, o.Props, w.lattice(pitch), w.wall)
		if err != nil {
			return nil, err
		}
		over := float64(md.bricks()) / float64(budget)
		if over <= burst || !again {
			return md, nil
		}
		pitch *= math.Cbrt(over)
	}
}

// solveModel solves on a filled grid, with the work that is left.
func (o Options) solveModel(ctx context.Context, m *mesh.Mesh, c Creep, md *model, left *float64, told func(float64)) (*contact, *Sag, error) {
	s, err := newSystem(md, c.Poisson, newCrew(ctx))
	if err != nil {
		return nil, nil, err
	}
	told(0.1)
	touch := newContact(s, o.Friction)
	touch.left = left
	iterations, err := touch.settle(ctx, func(share float64) { told(0.1 + 0.9*share) })
	if err != nil {
		return nil, nil, err
	}
	touch.steady()
	sag := touch.read(m, c)
	sag.Iterations = iterations
	return touch, sag, ctx.Err()
}

// check solves again on a coarser grid. The bricks' error falls with the square
// of their edge, which turns the difference of the two into an estimate. It gives the
// coarser solution, nil where there is none.
func (o Options) check(ctx context.Context, m *mesh.Mesh, c Creep, w wish, sag *Sag, left *float64, told func(float64)) (*contact, error) {
	ratio := 1.5
	if through := math.Round(w.wall / sag.PitchMM); through >= 2 && through < 8 {
		ratio = through / math.Ceil(through/1.5-0.4)
	}
	md, err := newModel(ctx, m, o.Props, w.lattice(sag.PitchMM*ratio), w.wall)
	if err != nil {
		return nil, ctx.Err() // the coarser grid cannot carry the part: no estimate
	}
	touch, coarse, err := o.solveModel(ctx, m, c, md, left, told)
	if err != nil {
		return nil, ctx.Err()
	}
	const least = 1.05 // grids nearer to one another tell nothing
	if ratio := coarse.PitchMM / sag.PitchMM; ratio > least {
		sag.DiscretisationMM = math.Abs(sag.MM-coarse.MM) / (ratio*ratio - 1)
		sag.Checked = true
	}
	return touch, nil
}
