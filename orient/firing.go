package orient

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"time"

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

// Fire solves the sag of every candidate in the furnace, in the order of their
// rank, and gives the advice ranked and explained anew. The beam estimate stays
// where the solver has no answer, as for a part that tips over; the candidate's
// Firing then says why. report, which may be nil, is called on the caller's
// goroutine; its Leaders are the candidates so far. a itself is not changed.
func (a *Advice) Fire(ctx context.Context, o FiringOptions, report func(Progress)) (*Advice, error) {
	begin := time.Now()
	out := *a
	out.Candidates = append([]Candidate(nil), a.Candidates...)
	out.fired = map[mesh.Matrix]firing{}
	for k, v := range a.fired {
		out.fired[k] = v
	}
	run := firingRun{advice: &out, options: o, report: report, jobs: len(out.Candidates) + min(restedCandidates, len(out.Candidates))}
	for i := range out.Candidates {
		if err := run.solve(ctx, &out.Candidates[i]); err != nil {
			return nil, err
		}
	}
	out.order()
	for i := range out.Candidates[:min(restedCandidates, len(out.Candidates))] {
		if err := run.rest(ctx, &out.Candidates[i]); err != nil {
			return nil, err
		}
	}
	explain(&out)
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
	f.apply(c)
	return nil
}

// rest tries one of the first candidates on other faces, or takes what is known.
func (r *firingRun) rest(ctx context.Context, c *Candidate) error {
	tell := r.tell("laying down no. %d on other faces", c.Rank)
	f := r.advice.fired[c.Pose.Rotation]
	if f.resting == nil {
		var err error
		if f.resting, err = r.advice.rest(ctx, c, r.options.Friction, tell); err != nil {
			return err
		}
		r.advice.fired[c.Pose.Rotation] = f
	}
	f.apply(c)
	return nil
}

// firing is what the solver found for one pose.
type firing struct {
	options FiringOptions
	sag     *furnace.Sag // nil where the solver has no answer
	why     string       // why not
	resting *Resting     // nil where no other face was tried
}

// fire solves one candidate. Only a cancelled context is an error.
func (a *Advice) fire(ctx context.Context, c *Candidate, o FiringOptions, tell func(string, float64)) (firing, error) {
	m := c.Pose.Sintered(a.Part.Mesh)
	sag, err := furnace.Solve(ctx, m, a.Brief.creep(), furnace.Options{Elements: o.Elements, Friction: o.Friction, Progress: tell})
	switch {
	case ctx.Err() != nil:
		return firing{}, ctx.Err()
	case err != nil:
		return firing{options: o, why: plainReason(err)}, nil
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

// apply takes the solved sag over into the measures.
func (f firing) apply(c *Candidate) {
	c.Solved, c.Unsolved, c.Resting = f.sag, f.why, f.resting
	if f.sag == nil {
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
}

// creep gives the record's creep as the furnace takes it.
func (b Brief) creep() furnace.Creep {
	c := b.Material.Creep
	return furnace.Creep{
		CompliancePerPa: c.CompliancePerPa, LowPerPa: c.ComplianceLowPerPa, HighPerPa: c.ComplianceHighPerPa,
		Poisson: c.Poisson, DensityKGM3: c.DensityKGM3,
	}
}
