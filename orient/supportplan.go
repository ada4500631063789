package orient

import (
	"context"
	"fmt"
	"slices"
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
	return a.planWithin(ctx, c, support.MostReachWork)
}

// planWithin is Plan with so much work on reach.
func (a *Advice) planWithin(ctx context.Context, c *Candidate, work int) (*support.Plan, error) {
	site, err := a.site(ctx, c)
	if err != nil {
		return nil, err
	}
	var sag func(*support.Region) (float64, bool)
	// Laid down on another face it goes into the furnace without its supports; the arms
	// of a coupon are to sag.
	if c.Solved != nil && !c.RestsOtherwise() && !a.Brief.isCoupon() {
		sag = regionSag(c.Solved, site.Stance, c.Pose.Oversize)
	}
	limits := a.Brief.supportLimits(c.Pose.Oversize)
	if sag != nil && c.Solved.Collapses {
		limits.CollapseMM = c.Solved.CollapseMM()
	}
	limits.ReachWork = work
	plan, err := site.Plan(ctx, limits, sag)
	if err != nil && ctx.Err() == nil {
		return nil, fmt.Errorf("planning the supports of %s: %w", a.Part.Name, err)
	}
	return plan, err
}

// plannedCandidates is how many candidates, from the first, get a support plan
// without being asked for.
const plannedCandidates = 3

// plansWork bounds the work on reach of all plans that are made without being asked
// for: as much as two of them may take. What is left for the last ones is less.
const plansWork = 2 * support.MostReachWork

// PlanSupports plans the supports of the first candidates and gives the advice with
// what the plan costs and the gate on reach judged anew, ranked and explained; where
// that brings others to the front, it goes on with those. The rest keep a nil Plan
// until PlanFor is asked for theirs. Fire first where the plan is to know what sags.
// report, which may be nil, is called on the caller's goroutine. a itself is not
// changed.
func (a *Advice) PlanSupports(ctx context.Context, report func(Progress)) (*Advice, error) {
	begin := time.Now()
	out := *a
	out.Candidates = append([]Candidate(nil), a.Candidates...)
	work := plansWork
	propped := 0
	for n := 0; ; n++ {
		next := out.unplanned()
		if first := &out.Candidates[0]; next == nil && first.propsNow() == nil && propped < mostPropped {
			propped++
			if err := out.propBest(ctx, first, nil); err != nil {
				return nil, err
			}
			out.order()
			continue
		}
		if next == nil {
			break
		}
		if report != nil {
			report(Progress{Stage: "planning the supports", Fraction: float64(n) / float64(len(out.Candidates))})
		}
		plan, err := out.planWithin(ctx, next, min(max(work, 1), support.MostReachWork))
		if err != nil {
			return nil, err
		}
		work -= plan.Reach.Work
		next.Plan, next.planAsPrinted, next.bare = plan, !next.RestsOtherwise(), next.Measures
		if err := out.plan(ctx, next, nil); err != nil {
			return nil, err
		}
		out.order()
	}
	out.Elapsed.Supports = time.Since(begin)
	if report != nil {
		report(Progress{Stage: "the supports are planned", Fraction: 1, Leaders: out.Candidates})
	}
	return &out, nil
}

// PlanFor plans the supports of the candidate in that pose, leaving out the regions
// of the plan with these numbers, and gives the advice ranked anew; a itself is not
// changed. What is left out is printed without support and costs nothing.
func (a *Advice) PlanFor(ctx context.Context, p Pose, left []int) (*Advice, error) {
	out := *a
	out.Candidates = append([]Candidate(nil), a.Candidates...)
	for i := range out.Candidates {
		if c := &out.Candidates[i]; c.Pose == p && (c.Plan == nil || !slices.Equal(c.LeftOut, left)) {
			if err := out.plan(ctx, c, left); err != nil {
				return nil, err
			}
			if err := out.prop(ctx, c, nil); err != nil {
				return nil, err
			}
		}
	}
	out.order()
	return &out, nil
}

// plan plans the supports of a candidate, but for the regions that are left out, and
// takes over what that costs.
func (a *Advice) plan(ctx context.Context, c *Candidate, left []int) error {
	if c.Plan == nil {
		plan, err := a.Plan(ctx, c)
		if err != nil {
			return err
		}
		c.Plan, c.planAsPrinted, c.bare = plan, !c.RestsOtherwise(), c.Measures
	}
	c.Measures, c.LeftOut = c.bare, slices.Clone(left)
	return a.weighPlan(ctx, c)
}

// weighPlan takes over what the plan says and costs into the bare measures.
func (a *Advice) weighPlan(ctx context.Context, c *Candidate) error {
	c.takeReach()
	c.leaveOut(&a.Brief)
	return a.takeBodies(ctx, c)
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

// leaves reports whether a region of the plan is left out.
func (c *Candidate) leaves(item int) bool { return slices.Contains(c.LeftOut, item) }

// takeReach takes over what the plan says of reach: of all that is not left out.
func (c *Candidate) takeReach() {
	var sum, worst float64
	var at Triple
	for i := range c.Plan.Items {
		t := &c.Plan.Items[i]
		if c.leaves(i) || !c.Plan.Needs(t) {
			continue
		}
		sum += t.Reach.OutOfReachMM3
		if t.Reach.OutOfReachMM3 > worst {
			worst, at = t.Reach.OutOfReachMM3, triple(t.Reach.At)
		}
	}
	if sum > c.Measures.OutOfReachMM3 { // closed cavities count more
		c.Measures.OutOfReachMM3, c.Measures.OutOfReachAtMM = sum, at
	}
}

// leaveOut takes what is left out from the measures of the supports.
func (c *Candidate) leaveOut(b *Brief) {
	m := &c.Measures
	for _, i := range c.LeftOut {
		if i < 0 || i >= len(c.Plan.Items) {
			continue
		}
		r := &c.Plan.Items[i].Region
		m.SupportVolumeMM3 = max(m.SupportVolumeMM3-r.VolumeMM3, 0)
		m.SupportOnPartMM3 = max(m.SupportOnPartMM3-r.VolumeMM3*(1-r.PlateShare), 0)
		m.SupportContactMM2 = max(m.SupportContactMM2-r.ContactMM2(), 0)
		m.PrintTimeS -= b.depositS(r.VolumeMM3 * b.Material.SupportDensity)
	}
	m.SupportMassG = b.Material.GreenMassG(m.SupportVolumeMM3 * b.Material.SupportDensity)
}

// mostBuiltMM3 is the largest envelope of support whose bodies are built to be weighed:
// several kilograms of them, which nobody prints (judgement). Above it the estimate
// from the envelope stays.
const mostBuiltMM3 = 3e6

// takeBodies takes over what the bodies of the plan cost, as they are handed over, in
// place of the estimate from the envelope. Where they cannot be built the estimate
// stays, and Unbuilt says why.
func (a *Advice) takeBodies(ctx context.Context, c *Candidate) error {
	m, mat := &c.Measures, &a.Brief.Material
	if m.SupportVolumeMM3 > mostBuiltMM3 {
		return nil
	}
	bodies, err := a.Bodies(ctx, c, false, nil)
	if ctx.Err() != nil {
		return ctx.Err()
	}
	c.Unbuilt = ""
	if err != nil {
		c.Unbuilt = err.Error()
		return nil
	}
	c.Plan = c.Plan.Weighed(bodies, c.LeftOut)
	m.PrintTimeS -= a.Brief.depositS(m.SupportVolumeMM3 * mat.SupportDensity)
	m.SupportMassG, m.BlockMassG, m.RaftMassG = 0, 0, 0
	for i := range bodies {
		body := &bodies[i]
		m.PrintTimeS += a.Brief.depositS(body.VolumeMM3)
		switch body.Kind {
		case support.SupportBody:
			m.SupportMassG += body.MassG
		case support.RaftBody:
			m.RaftMassG += body.MassG
		default:
			m.BlockMassG += body.MassG
			walls, err := body.Mesh.Walls(ctx, nil)
			if ctx.Err() != nil {
				return ctx.Err()
			}
			if err == nil && walls.Thick[0].MM > m.ThickestGreenWallMM {
				m.ThickestGreenWallMM, m.ThickestWallAtMM, m.ThickestWallAtCavity = walls.Thick[0].MM, triple(walls.Thick[0].At), false
			}
		}
	}
	m.DebindingLowH, m.DebindingHighH = mat.DebindingHours(m.ThickestGreenWallMM)
	return nil
}

// site stands the candidate on the plate for a close look.
func (a *Advice) site(ctx context.Context, c *Candidate) (*support.Site, error) {
	full := a.study.full
	return support.NewSiteUntil(ctx, c.Pose.Green(a.Part.Mesh), a.Brief.Material.OverhangLimitDeg, planLines, full.closed, full.cavity)
}

// regionSag gives the largest droop at the corners and middles of a region's facets: how
// far they come down against the pillar that carries them. Green and sintered part stand alike, so a place on one is a place on the
// other, divided by the oversize.
func regionSag(s *furnace.Sag, stance *support.Stance, oversize r3.Vec) func(*support.Region) (float64, bool) {
	at := func(v r3.Vec) float64 {
		return s.DroopMM(r3.Vec{X: v.X / oversize.X, Y: v.Y / oversize.Y, Z: v.Z / oversize.Z})
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
	l.AllowedSagMM, l.Oversize, l.LargestWallMM = m.AllowedSagMM, oversize, m.Debinding.LargestWallMM
	l.DepositMM3S = 1 / b.depositS(1)
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
// walls, shaped setter blocks and, where asked for or where the part leans and only
// stands with its supports, a raft below them all. They stand where the green part
// stands, with the part on z = 0. leave says of a region of the plan that it gets none;
// nil leaves out what the candidate does. The candidate must have been planned.
func (a *Advice) Bodies(ctx context.Context, c *Candidate, raft bool, leave func(item int) bool) ([]support.Body, error) {
	if c.Plan == nil {
		return nil, fmt.Errorf("the supports of %s are not planned yet", c.Name)
	}
	if leave == nil {
		leave = c.leaves
	}
	settings := support.DefaultBodySettings()
	site, err := a.site(ctx, c)
	if err != nil {
		return nil, err
	}
	walls, err := site.SupportBodies(ctx, c.Plan, settings, func(i int) bool { return c.Plan.Items[i].Prints && !leave(i) })
	if err != nil {
		return nil, err
	}
	blocks, err := site.Blocks(ctx, c.Plan, settings, func(i int) bool {
		return c.Plan.Items[i].Advice == support.SetterBlock && !leave(i)
	})
	if err != nil {
		return nil, err
	}
	bodies := append(walls, blocks...)
	if raft || c.Measures.RaftMM3 > 0 {
		below, err := site.Raft(c.Plan, settings, walls)
		if err != nil {
			return nil, err
		}
		bodies = append(bodies, below)
	}
	return bodies, nil
}
