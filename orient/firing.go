package orient

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
	"kilnpoise/orient/furnace"
)

// FiringOptions say how the furnace is solved. The zero value is usable.
type FiringOptions struct {
	// Elements is the size budget of the grid; 0 lets the thinnest wall decide.
	Elements int
	// Friction is Coulomb's coefficient between foot and setter: 0, the default,
	// slides freely, which is on the safe side; furnace.Stuck never slides.
	Friction float64
}

// Fire solves the sag of every candidate in the furnace, as printed in the order of
// their rank and on the other flats that some are better laid down on, and gives the
// advice ranked and explained anew. The beam estimate stays where the solver has no
// answer; the candidate's Unsolved then says why. report, which may be nil, is called
// on the caller's goroutine; its Leaders are the candidates so far. a itself is not
// changed.
func (a *Advice) Fire(ctx context.Context, o FiringOptions, report func(Progress)) (*Advice, error) {
	begin := time.Now()
	a.study.caliperSizes(ctx) // here, where nobody waits at once: the report and the sheet ask for them
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	out := *a
	out.Candidates = append([]Candidate(nil), a.Candidates...)
	out.sites = append([]site(nil), a.known.sites...)
	out.fired, out.firedWith = map[mesh.Matrix]firing{}, o
	for k, v := range a.fired {
		out.fired[k] = v
	}
	run := firingRun{advice: &out, options: o, report: report, jobs: len(out.Candidates) + min(solvedSites, len(out.sites))}
	for i := range out.Candidates {
		if err := run.solve(ctx, &out.Candidates[i]); err != nil {
			return nil, err
		}
	}
	out.order()
	if err := run.solveSites(ctx); err != nil {
		return nil, err
	}
	out.order()
	out.Candidates = listed(out.Candidates, out.Brief.Candidates)
	out.order()
	out.Elapsed.Furnace = time.Since(begin)
	if report != nil {
		report(Progress{Stage: "the furnace is solved", Fraction: 1, Leaders: out.Candidates})
	}
	return &out, nil
}

// firingRun is one run of Fire.
type firingRun struct {
	advice     *Advice
	options    FiringOptions
	report     func(Progress)
	jobs, done int
}

// tell gives the progress function of the next job.
func (r *firingRun) tell(format string, args ...any) func(string, float64) {
	stage, done := fmt.Sprintf(format, args...), r.done
	r.done++
	return func(_ string, share float64) {
		if r.report != nil {
			r.report(Progress{Stage: stage, Fraction: (float64(done) + share) / float64(r.jobs)})
		}
	}
}

// solve solves one candidate as printed, or takes what is known.
func (r *firingRun) solve(ctx context.Context, c *Candidate) error {
	tell := r.tell("solving the furnace for no. %d of %d", c.Rank, len(r.advice.Candidates))
	f, known := r.advice.fired[c.Pose.Rotation]
	if !known || f.options != r.options {
		var err error
		if f, err = r.advice.fire(ctx, c, r.options, tell); err != nil {
			return err
		}
		r.advice.fired[c.Pose.Rotation] = f
	}
	f.apply(c, &r.advice.Brief)
	return nil
}

const (
	// solvedSites is how many flats are solved besides the poses of the print.
	solvedSites = 3
	// restingElements is the grid for them: fine enough to tell a clear winner.
	restingElements = 12_000
)

// solveSites solves the best flats where a candidate does not pass as it is printed;
// the others are then no longer choices, since nothing but an estimate speaks for
// them.
func (r *firingRun) solveSites(ctx context.Context) error {
	a := r.advice
	wanted := slices.ContainsFunc(a.Candidates, func(c Candidate) bool {
		lies := c.Measures.lyingAsPrinted(c.setter)
		v := a.Brief.judgeLying(&lies)
		return v.grade() > gradePasses
	})
	if !wanted {
		return nil
	}
	a.sites = a.sites[:min(solvedSites, len(a.sites))]
	for i := range a.sites {
		if err := r.solveSite(ctx, &a.sites[i], r.tell("laying it down on another face, %d of %d", i+1, len(a.sites))); err != nil {
			return err
		}
	}
	return nil
}

// solveSite solves one flat, or takes what is known of a candidate that is printed on
// it.
func (r *firingRun) solveSite(ctx context.Context, t *site, tell func(string, float64)) error {
	f, known := r.advice.fired[t.face.Lain]
	if !known || f.options.Friction != r.options.Friction {
		m := stood(r.advice.Part.Mesh.Transform(t.face.Lain, r3.Vec{}))
		o := furnace.Options{Elements: restingElements, Friction: r.options.Friction, WallMM: r.advice.study.wallMM(), NoCheck: true, Progress: tell}
		sag, err := furnace.Solve(ctx, m, r.advice.Brief.creep(), o)
		if ctx.Err() != nil {
			return ctx.Err()
		}
		f = firing{options: r.options, sag: sag, trouble: err}
	}
	t.sag, t.trouble = f.sag, f.trouble
	switch {
	case t.sag != nil:
		t.quick.takeSag(t.sag)
		t.face.Stand.Lean = t.quick.Lean
	case errors.Is(f.trouble, furnace.ErrTips), errors.Is(f.trouble, furnace.ErrLoose):
		t.quick.TipAngleDeg, t.face.Stand.TipAngleDeg = 0, 0
	}
	return nil
}

// wallMM is the wall that the furnace's grid is laid out for; 0 where it is to be
// measured: around cavities the walls of the study are those seen from outside.
func (s *Study) wallMM() float64 {
	if s.full.cavity != nil {
		return 0
	}
	return s.full.walls.ThinFiftiethMM
}

// firing is what the solver found for one pose.
type firing struct {
	options FiringOptions
	sag     *furnace.Sag // nil where the solver has no answer
	trouble error        // why not
}

// fire solves one candidate. Only a cancelled context is an error.
func (a *Advice) fire(ctx context.Context, c *Candidate, o FiringOptions, tell func(string, float64)) (firing, error) {
	m := c.Pose.Sintered(a.Part.Mesh)
	sag, err := furnace.Solve(ctx, m, a.Brief.creep(), furnace.Options{Elements: o.Elements, Friction: o.Friction, WallMM: a.study.wallMM(), Progress: tell})
	switch {
	case ctx.Err() != nil:
		return firing{}, ctx.Err()
	case err != nil:
		return firing{options: o, trouble: err}, nil
	}
	return firing{options: o, sag: sag}, nil
}

// plainReason gives the solver's refusal without the package's name.
func plainReason(err error) string {
	switch {
	case errors.Is(err, furnace.ErrTips):
		return "it tips over in this pose"
	case errors.Is(err, furnace.ErrLoose):
		return "a piece of it rests on nothing"
	case errors.Is(err, furnace.ErrOpen):
		return "the mesh is not closed"
	}
	return strings.TrimPrefix(err.Error(), "furnace: ")
}

// apply takes the solved sag and lean over into the measures, and the advice with them.
func (f firing) apply(c *Candidate, b *Brief) {
	c.Solved, c.Unsolved, c.Props = f.sag, "", nil
	c.planAsPrinted = false
	if f.sag == nil {
		c.Unsolved = plainReason(f.trouble)
		return
	}
	m := &c.Measures
	m.SagMM, m.SagLowMM, m.SagHighMM = f.sag.MM, f.sag.LowMM, f.sag.HighMM
	m.SagAtMM, m.SagSpanMM, m.SagCollapses = triple(f.sag.At), f.sag.SpanMM, f.sag.Collapses
	m.SagMethod = SagBySolver
	m.SagGridErrorMM = f.sag.DiscretisationMM
	if !f.sag.Checked {
		m.SagGridErrorMM = -1
	}
	m.SagShapeErrorMM = f.sag.ResidualMM
	if f.sag.Lean != nil {
		m.takeLean(*f.sag.Lean, LeanBySolver)
		c.stand.Lean = m.lean()
		c.FurnaceAdvice = c.stand.Advice(b.standLimits())
	}
}

// creep gives the record's creep as the furnace takes it.
func (b Brief) creep() furnace.Creep {
	c := b.Material.Creep
	return furnace.Creep{
		CompliancePerPa: c.CompliancePerPa, LowPerPa: c.ComplianceLowPerPa, HighPerPa: c.ComplianceHighPerPa,
		Poisson: c.Poisson, DensityKGM3: c.DensityKGM3,
	}
}
