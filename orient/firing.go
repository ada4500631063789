package orient

import (
	"context"
	"errors"
	"fmt"
	"math"
	"time"

	"kilnpoise/mesh"
	"kilnpoise/orient/furnace"
)

// FiringOptions say how the furnace is solved. The zero value is usable.
type FiringOptions struct {
	// Elements is the size budget of the grid; 0 lets the thinnest wall decide.
	Elements int
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
	n := float64(len(out.Candidates))
	for i := range out.Candidates {
		c := &out.Candidates[i]
		tell := func(_ string, share float64) {
			if report != nil {
				report(Progress{Stage: fmt.Sprintf("solving the furnace for no. %d of %d", i+1, len(out.Candidates)), Fraction: (float64(i) + share) / n})
			}
		}
		f, known := out.fired[c.Pose.Rotation]
		if !known || f.elements != o.Elements {
			var err error
			if f, err = out.fire(ctx, c, o, tell); err != nil {
				return nil, err
			}
			out.fired[c.Pose.Rotation] = f
		}
		f.apply(c)
	}
	out.order()
	out.Elapsed.Furnace = time.Since(begin)
	if report != nil {
		report(Progress{Stage: "the furnace is solved", Fraction: 1, Leaders: out.Candidates})
	}
	return &out, nil
}

// firing is what the solver found for one pose.
type firing struct {
	elements int
	sag      *furnace.Sag // nil where the solver has no answer
	why      string       // why not
}

// fire solves one candidate. Only a cancelled context is an error.
func (a *Advice) fire(ctx context.Context, c *Candidate, o FiringOptions, tell func(string, float64)) (firing, error) {
	m := c.Pose.Sintered(a.Part.Mesh)
	sag, err := furnace.Solve(ctx, m, a.Brief.creep(), furnace.Options{Elements: o.Elements, Progress: tell})
	switch {
	case ctx.Err() != nil:
		return firing{}, ctx.Err()
	case err != nil:
		return firing{elements: o.Elements, why: plainReason(err)}, nil
	}
	return firing{elements: o.Elements, sag: sag}, nil
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
	return err.Error()
}

// apply takes the solved sag over into the measures.
func (f firing) apply(c *Candidate) {
	c.Solved, c.Unsolved = f.sag, f.why
	if f.sag == nil {
		return
	}
	m := &c.Measures
	m.SagMM, m.SagLowMM, m.SagHighMM = f.sag.MM, f.sag.LowMM, f.sag.HighMM
	m.SagAtMM, m.SagSpanMM, m.SagCollapses = triple(f.sag.At), f.sag.SpanMM, f.sag.Collapses
	m.SagMethod = SagBySolver
	m.SagGridErrorMM = f.sag.DiscretisationMM
	if math.IsNaN(m.SagGridErrorMM) {
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
