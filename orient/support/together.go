package support

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// mostItems bounds the regions that are planned one by one: nobody looks through more,
// and each takes its share of the work (judgement).
const mostItems = 500

// gathered gives the regions, which are in the order of their support, with those
// beyond mostItems as one: it is supported, cut at and left out as a whole.
func gathered(regions []Region) []Region {
	if len(regions) <= mostItems {
		return regions
	}
	rest := regions[mostItems-1:]
	return append(slices.Clone(regions[:mostItems-1]), together(rest))
}

// together takes regions as one. Heights, gaps and reach are those of the worst of
// them, sizes and volumes are sums; it bridges nothing.
func together(regions []Region) Region {
	all := Region{Together: len(regions), Form: Mixed, LowMM: math.Inf(1), HighMM: math.Inf(-1), GapLowMM: math.Inf(1)}
	var first r3.Vec
	var slope, gap, plate, rest float64
	for i := range regions {
		r := &regions[i]
		all.Facets, all.Below, all.Edges = append(all.Facets, r.Facets...), append(all.Below, r.Below...), append(all.Edges, r.Edges...)
		all.AreaMM2 += r.AreaMM2
		all.ProjectedMM2 += r.ProjectedMM2
		all.VolumeMM3 += r.VolumeMM3
		all.OnPartMM3 += r.OnPartMM3
		all.InCavityMM3 += r.InCavityMM3
		all.ScarBelowMM2 += r.ScarBelowMM2
		all.HeldMM += r.HeldMM
		all.FreeMM += r.FreeMM
		all.LowMM, all.HighMM = min(all.LowMM, r.LowMM), max(all.HighMM, r.HighMM)
		all.GapLowMM, all.GapHighMM = min(all.GapLowMM, r.GapLowMM), max(all.GapHighMM, r.GapHighMM)
		all.LedgeMM = max(all.LedgeMM, r.LedgeMM)
		all.WidthMM, all.LengthMM = max(all.WidthMM, r.WidthMM), max(all.LengthMM, r.LengthMM)
		first = r3.Add(first, r3.Scale(r.AreaMM2, r.Centroid))
		slope += r.AreaMM2 * r.SlopeDeg
		gap += r.ProjectedMM2 * r.GapMeanMM
		plate += r.ProjectedMM2 * r.PlateShare
		rest += r.ProjectedMM2 * r.RestShare
	}
	slices.Sort(all.Facets)
	all.Below = gather(all.Below)
	all.Centroid = r3.Scale(1/all.AreaMM2, first)
	all.SlopeDeg = slope / all.AreaMM2
	if p := all.ProjectedMM2; p > 0 {
		all.GapMeanMM, all.PlateShare, all.RestShare = gap/p, plate/p, rest/p
	}
	return all
}

// Doubts says in sentences how the plan was made more coarsely than usual, since it
// would have taken too much work; none where it was not.
func (p *Plan) Doubts() []string {
	var out []string
	for i := range p.Items {
		if n := p.Items[i].Region.Together; n > 0 {
			out = append(out, fmt.Sprintf("There are so many regions of overhang that the %d smallest were planned as one: what is told of it is the worst of them.", n))
		}
	}
	if p.unbridged {
		out = append(out, "So many bodies lie over one another that not every region was looked at for walls to bridge between: some may be supported that need not be.")
	}
	if p.Reach != nil && p.Reach.Doubt != "" {
		out = append(out, p.Reach.Doubt)
	}
	return out
}
