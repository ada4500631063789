package support

import (
	"context"
	"fmt"

	"gonum.org/v1/gonum/spatial/r3"
)

// Plan is what to do about every overhang region of one stance.
type Plan struct {
	Limits Limits
	// Items are the regions that are not small, most support first.
	Items []Item
	// Small sums up the others: they print by themselves.
	Small Lump
	// Reach holds the pieces of support and the grids it was found with.
	Reach *Reach
	// PrintMM3 is the envelope of the support that is to be printed, MassG and
	// TimeS what that costs, see Weighed; OutOfReachMM3 is what of all support that is needed
	// the cutter does not get at.
	PrintMM3, MassG, TimeS, OutOfReachMM3 float64

	unbridged bool // not every region was looked at for walls to bridge between
}

// Lump is a number of regions summed up.
type Lump struct {
	Count              int
	AreaMM2, VolumeMM3 float64
}

// Item is one region with what to do about it.
type Item struct {
	Region Region
	Reach  RegionReach
	// SagMM is how far it comes down in the furnace without support, against what
	// carries it; SagKnown says whether that is known.
	SagMM    float64
	SagKnown bool
	// Collapses is true where that sag is past what millimetres mean.
	Collapses bool
	Advice    Advice
	// Reason is a sentence or two with the numbers that decided.
	Reason string
	// Prints says that support is printed under it; Change what to change in the
	// design, of kind NoChange unless the advice is that.
	Prints bool
	Change Change
	// Others are what else would do, best first.
	Others []Option
	// MassG and TimeS are of the support that is printed under it, 0 where none
	// is: the envelope by the density of the pattern, or the bodies once they are built.
	// Estimates.
	MassG, TimeS float64
}

// Option is another thing to do about a region.
type Option struct {
	Advice Advice
	Words  string
	Change Change
}

// Plan advises on the regions. sag gives the sag of a region in the furnace, mm,
// without support, and whether it is known; nil where nothing is. See SagOf.
func (s *Site) Plan(ctx context.Context, l Limits, sag func(*Region) (float64, bool)) (*Plan, error) {
	if err := l.validate(); err != nil {
		return nil, err
	}
	regions, err := s.Regions(ctx, l.Small)
	if err != nil {
		return nil, err
	}
	p := &Plan{Limits: l, unbridged: s.restsAsked > mostRestsAsked}
	large := regions[:0]
	for _, r := range regions {
		if r.Form == Small {
			p.Small.Count++
			p.Small.AreaMM2 += r.AreaMM2
			p.Small.VolumeMM3 += r.VolumeMM3
			continue
		}
		large = append(large, r)
	}
	large = gathered(large)
	work := l.ReachWork
	if work == 0 {
		work = MostReachWork
	}
	if p.Reach, err = s.reachWithin(ctx, large, l.Cutter, work); err != nil {
		return nil, err
	}
	for q := range large {
		item := Item{Region: large[q], Reach: p.Reach.Regions[q]}
		if sag != nil {
			item.SagMM, item.SagKnown = sag(&item.Region)
			item.Collapses = item.SagKnown && l.CollapseMM > 0 && item.SagMM >= l.CollapseMM
		}
		s.decide(&item, &p.Limits)
		p.count(&item)
		p.Items = append(p.Items, item)
	}
	return p, ctx.Err()
}

// Needs reports whether an item cannot be printed without support.
func (p *Plan) Needs(t *Item) bool { return t.needs(&p.Limits) }

// count adds what the item costs.
func (p *Plan) count(t *Item) {
	if t.Prints {
		solid := t.Region.VolumeMM3 * p.Limits.SupportDensity
		t.MassG = solid / 1000 * p.Limits.GreenDensityGCM3
		if p.Limits.DepositMM3S > 0 {
			t.TimeS = solid / p.Limits.DepositMM3S
		}
		p.PrintMM3 += t.Region.VolumeMM3
		p.MassG += t.MassG
		p.TimeS += t.TimeS
	}
	if t.needs(&p.Limits) {
		p.OutOfReachMM3 += t.Reach.OutOfReachMM3
	}
}

// validate says in words what is wrong with the limits.
func (l *Limits) validate() error {
	positive := func(v r3.Vec) bool { return v.X > 0 && v.Y > 0 && v.Z > 0 }
	switch {
	case !(l.OverhangLimitDeg > 0 && l.OverhangLimitDeg < 90):
		return fmt.Errorf("support: overhang limit %g deg, it must be above 0 and below 90", l.OverhangLimitDeg)
	case !(l.BridgeSpanMM >= 0):
		return fmt.Errorf("support: bridge span %g mm, it must not be negative", l.BridgeSpanMM)
	case !(l.SupportDensity > 0 && l.SupportDensity <= 1):
		return fmt.Errorf("support: support density %g, it must be above 0 and at most 1", l.SupportDensity)
	case !positive(l.Oversize):
		return fmt.Errorf("support: oversize %v, each factor must be above 0", l.Oversize)
	}
	return l.Cutter.validate()
}
