package support

import (
	"cmp"
	"context"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// Region is a patch of overhang that hangs together, as it stands in the print
// frame of its site. Sums over all regions are those of the whole stance:
// AreaMM2 of OverhangArea, VolumeMM3 of Volume.Whole.
type Region struct {
	// Facets are those that hang over, ascending.
	Facets []int32
	// AreaMM2 is the true area, ProjectedMM2 that of the shadow on the plate.
	AreaMM2, ProjectedMM2 float64
	// Centroid is the middle of the surface.
	Centroid r3.Vec
	// LowMM and HighMM are the heights of its lowest and highest point above the
	// plate; SlopeDeg is the mean angle to the plate, by area.
	LowMM, HighMM, SlopeDeg float64
	// GapLowMM, GapMeanMM and GapHighMM are how far it is above what is below.
	GapLowMM, GapMeanMM, GapHighMM float64
	// VolumeMM3 is the support under it; OnPartMM3 the share that stands on the
	// part; InCavityMM3 the share in closed cavities.
	VolumeMM3, OnPartMM3, InCavityMM3 float64
	// PlateShare is the part of the hanging shadow under which there is only the
	// plate. RestShare is the part of the whole shadow that does not hang, since
	// another body lies there.
	PlateShare, RestShare float64
	// Below are the facets that its support stands on, ascending; empty where it
	// stands on the plate. ScarBelowMM2 is their touched area in all.
	Below        []Touched
	ScarBelowMM2 float64
	// Edges bound it. HeldMM and FreeMM are the lengths of those that a wall
	// below carries and of those that hang free.
	Edges          []Edge
	HeldMM, FreeMM float64
	// LedgeMM is the largest distance, in plan, from a place of it to the nearest
	// edge that is held, or place that rests; 0 where nothing holds it.
	LedgeMM float64
	// WidthMM and LengthMM are the sides of the smallest rectangle around its
	// shadow.
	WidthMM, LengthMM float64
	// Bridge says between which walls it spans.
	Bridge Bridge
	// Form says what it looks like; Why is the reason where that is Small.
	Form Form
	Why  string
	// Together is how many regions this one stands for, 0 where it is one: see
	// Plan.Doubts.
	Together int
}

// Touched is a facet that support stands on.
type Touched struct {
	Facet int32
	// AreaMM2 is how much of it is touched, true area.
	AreaMM2 float64
}

// ContactMM2 is the area that its support touches, above and below.
func (r *Region) ContactMM2() float64 { return r.AreaMM2 + r.ScarBelowMM2 }

// ScarMM2 is how much of the marked faces its support touches; marked has an
// entry for each facet of the part.
func (r *Region) ScarMM2(s *Stance, marked []bool) float64 {
	var sum float64
	for _, f := range r.Facets {
		if marked[f] {
			sum += r3.Norm(s.areaVector(f))
		}
	}
	for _, t := range r.Below {
		if marked[t.Facet] {
			sum += t.AreaMM2
		}
	}
	return sum
}

// Smallness says what prints by itself because it is small. Zero values mean
// that nothing is small.
type Smallness struct {
	// LedgeMM is how far a face may reach out from what holds it, or how long it
	// may be where nothing does: about two line widths (judgement).
	LedgeMM float64
	// AreaMM2 is the area below which a held face is taken for a wrinkle of the
	// mesh (judgement; the square of the ledge is a good choice).
	AreaMM2 float64
}

// Regions finds the overhang regions, those with most support first; nil where
// nothing hangs over. The error is that of ctx.
func (s *Site) Regions(ctx context.Context, small Smallness) ([]Region, error) {
	of, n := s.group(small.AreaMM2)
	if n == 0 {
		return nil, ctx.Err()
	}
	regions := make([]Region, n)
	for i, q := range of {
		if q >= 0 {
			regions[q].Facets = append(regions[q].Facets, int32(i))
		}
	}
	below := s.lookBelow(of, n)
	s.restsAsked = 0
	for q := range regions {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		r := &regions[q]
		s.measure(r)
		below.fill(r, int32(q))
		s.findEdges(r, of, int32(q))
		r.LedgeMM = ledge(r, below.places(int32(q)), below.rests[q])
		r.Bridge = s.bridge(r, below.rests[q])
		s.judge(r, small)
	}
	below.settle(regions, s.Stance.Measure(s.Columns, s.Closed, s.Cavity))
	slices.SortStableFunc(regions, func(a, b Region) int { return cmp.Compare(b.VolumeMM3, a.VolumeMM3) })
	return regions, nil
}

// measure takes what the facets alone say.
func (s *Site) measure(r *Region) {
	r.LowMM, r.HighMM = math.Inf(1), math.Inf(-1)
	var first r3.Vec
	var angle float64
	for _, f := range r.Facets {
		n := s.Stance.areaVector(f)
		area := r3.Norm(n)
		r.AreaMM2 += area
		r.ProjectedMM2 -= n.Z
		angle += area * math.Acos(min(-n.Z/area, 1)) // an overhang has an area
		first = r3.Add(first, r3.Scale(area, s.Stance.middle(f)))
		for _, v := range s.Stance.Facets[f] {
			z := s.Stance.Vertices[v].Z
			r.LowMM, r.HighMM = min(r.LowMM, z), max(r.HighMM, z)
		}
	}
	r.Centroid = r3.Scale(1/r.AreaMM2, first)
	r.SlopeDeg = angle / r.AreaMM2 * 180 / math.Pi
	r.LengthMM, r.WidthMM = s.extent(r)
}
