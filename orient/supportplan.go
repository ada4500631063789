package orient

import (
	"context"
	"fmt"
	"time"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/orient/furnace"
	"kilnpoise/orient/support"
)

// planLines is how many lines a support plan is read from.
const planLines = 256 * 256

// Plan works out what to do about every overhang region of a candidate: what the
// cutter of the brief gets at, what sags in the furnace, what to change.
func (a *Advice) Plan(ctx context.Context, c *Candidate) (*support.Plan, error) {
	site := a.site(c)
	var sag func(*support.Region) (float64, bool)
	if c.Solved != nil && !a.Brief.isCoupon() { // the arms of a coupon are to sag
		sag = regionSag(c.Solved, site.Stance, c.Pose.Oversize)
	}
	plan, err := site.Plan(ctx, a.Brief.supportLimits(c.Pose.Oversize), sag)
	if err != nil && ctx.Err() == nil {
		return nil, fmt.Errorf("planning the supports of %s: %w", a.Part.Name, err)
	}
	return plan, err
}

// plannedCandidates is how many candidates, from the first, get a support plan
// without being asked for.
const plannedCandidates = 3

// PlanSupports plans the supports of the first candidates and gives the advice with
// the gate on reach judged anew, ranked and explained; where that brings others to
// the front, it goes on with those. The rest keep a nil Plan until Advice.Plan is
// asked for theirs. Fire first where the plan is to know what sags. report, which
// may be nil, is called on the caller's goroutine. a itself is not changed.
func (a *Advice) PlanSupports(ctx context.Context, report func(Progress)) (*Advice, error) {
	begin := time.Now()
	out := *a
	out.Candidates = append([]Candidate(nil), a.Candidates...)
	for n := 0; ; n++ {
		next := out.unplanned()
		if next == nil {
			break
		}
		if report != nil {
			report(Progress{Stage: "planning the supports", Fraction: float64(n) / float64(len(out.Candidates))})
		}
		plan, err := out.Plan(ctx, next)
		if err != nil {
			return nil, err
		}
		next.take(plan)
		out.order()
	}
	out.Elapsed.Supports = time.Since(begin)
	if report != nil {
		report(Progress{Stage: "the supports are planned", Fraction: 1, Leaders: out.Candidates})
	}
	return &out, nil
}

// PlanFor plans the supports of the candidate in that pose and gives the advice
// ranked anew; a itself is not changed.
func (a *Advice) PlanFor(ctx context.Context, p Pose) (*Advice, error) {
	out := *a
	out.Candidates = append([]Candidate(nil), a.Candidates...)
	for i := range out.Candidates {
		if c := &out.Candidates[i]; c.Pose == p && c.Plan == nil {
			plan, err := out.Plan(ctx, c)
			if err != nil {
				return nil, err
			}
			c.take(plan)
		}
	}
	out.order()
	return &out, nil
}

// unplanned gives the best of the first candidates that has no plan yet, or nil.
func (a *Advice) unplanned() *Candidate {
	for i := range a.Candidates[:min(plannedCandidates, len(a.Candidates))] {
		if a.Candidates[i].Plan == nil {
			return &a.Candidates[i]
		}
	}
	return nil
}

// take keeps the plan and what it says of reach.
func (c *Candidate) take(plan *support.Plan) {
	c.Plan = plan
	if plan.OutOfReachMM3 <= c.Measures.OutOfReachMM3 {
		return // closed cavities count more
	}
	c.Measures.OutOfReachMM3 = plan.OutOfReachMM3
	worst := 0.0
	for i := range plan.Items {
		if r := &plan.Items[i].Reach; r.OutOfReachMM3 > worst {
			worst, c.Measures.OutOfReachAtMM = r.OutOfReachMM3, triple(r.At)
		}
	}
}

// site stands the candidate on the plate for a close look.
func (a *Advice) site(c *Candidate) *support.Site {
	full := a.study.full
	return support.NewSite(c.Pose.Green(a.Part.Mesh), a.Brief.Material.OverhangLimitDeg, planLines, full.closed, full.cavity)
}

// regionSag gives the largest solved sag at the corners and middles of a region's
// facets. Green and sintered part stand alike, so a place on one is a place on the
// other, divided by the oversize.
func regionSag(s *furnace.Sag, stance *support.Stance, oversize r3.Vec) func(*support.Region) (float64, bool) {
	at := func(v r3.Vec) float64 {
		return -s.Field.At(r3.Vec{X: v.X / oversize.X, Y: v.Y / oversize.Y, Z: v.Z / oversize.Z}).Z
	}
	return func(r *support.Region) (float64, bool) {
		var most float64
		for _, i := range r.Facets {
			f := stance.Facets[i]
			a, b, c := stance.Vertices[f[0]], stance.Vertices[f[1]], stance.Vertices[f[2]]
			middle := r3.Scale(1.0/3, r3.Add(a, r3.Add(b, c)))
			most = max(most, at(a), at(b), at(c), at(middle))
		}
		return most, true
	}
}

// supportLimits gives the figures of the records that a support plan rests on.
func (b Brief) supportLimits(oversize r3.Vec) support.Limits {
	l := support.DefaultLimits()
	m := &b.Material
	l.OverhangLimitDeg, l.BridgeSpanMM = m.OverhangLimitDeg, m.BridgeSpanMM
	l.SupportDensity, l.GreenDensityGCM3 = m.SupportDensity, m.GreenDensityGCM3
	l.AllowedSagMM, l.Oversize = m.AllowedSagMM, oversize
	l.DepositMM3S = m.LayerHeightMM * m.LineWidthMM * b.Printer.SpeedMMS / b.Printer.TravelOverhead
	l.Cutter = b.Cutter
	if b.Cutter == (support.Cutter{}) {
		l.Cutter = DefaultCutter()
	}
	return l
}

// DefaultCutter is what takes supports out of green parts on most benches: a round
// needle file in its handle (judgement).
func DefaultCutter() support.Cutter { return support.Cutter{DiameterMM: 3, LengthMM: 70, HolderMM: 20} }

// Bodies builds what the plan of a candidate wants printed with the part: support
// walls, shaped setter blocks and, where asked for, a raft below them all. They
// stand where the green part stands, with the part on z = 0. leave says of a
// region of the plan that it is left out; nil leaves out none. The candidate must
// have been planned.
func (a *Advice) Bodies(ctx context.Context, c *Candidate, raft bool, leave func(item int) bool) ([]support.Body, error) {
	if c.Plan == nil {
		return nil, fmt.Errorf("the supports of %s are not planned yet", c.Name)
	}
	site, settings := a.site(c), support.DefaultBodySettings()
	wanted := func(item int, as bool) bool { return as && (leave == nil || !leave(item)) }
	walls, err := site.SupportBodies(ctx, c.Plan, settings, func(i int) bool { return wanted(i, c.Plan.Items[i].Prints) })
	if err != nil {
		return nil, err
	}
	blocks, err := site.Blocks(ctx, c.Plan, settings, func(i int) bool {
		return wanted(i, c.Plan.Items[i].Advice == support.SetterBlock)
	})
	if err != nil {
		return nil, err
	}
	bodies := append(walls, blocks...)
	if raft {
		below, err := site.Raft(c.Plan, settings, walls)
		if err != nil {
			return nil, err
		}
		bodies = append(bodies, below)
	}
	return bodies, nil
}
