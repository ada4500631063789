package orient

import (
	"context"
	"slices"
)

const (
	// polished is how many of the first candidates are refined on the part itself.
	polished = 2
	// polishSpanDeg is how far the first step goes; polishEffort bounds the steps, and
	// polishFacets the facets that all of them look at.
	polishSpanDeg = 1.5
	polishEffort  = 40
	leastEffort   = 10
	polishFacets  = 6_000_000
)

// polish refines on the part itself those of the first candidates that rest on no
// face, so that the first place is an optimum of the part and not of a coarser one. A
// resting face is one already: beside it the part does not stand.
func (s *search) polish(ctx context.Context, a *Advice) error {
	var free []int
	for i := range a.Candidates[:min(polished, len(a.Candidates))] {
		if c := &a.Candidates[i]; c.Origin == FromSearch && !c.stands() {
			free = append(free, i)
		}
	}
	effort := min(max(polishFacets/max(len(s.study.full.mesh.Facets), 1), leastEffort), polishEffort)
	better, readings := make([]Candidate, len(free)), make([]reading, len(free))
	err := each(ctx, s.study.full, s.brief, len(free), func(g *gauge, k int) {
		c := &a.Candidates[free[k]]
		from := sampled{up: c.Pose.Up(), verdict: c.verdict, grade: c.verdict.grade(), weight: c.verdict.weight(), cost: c.Cost}
		d := s.descend(ctx, g, from, descent{lines: shortListLines, spanDeg: polishSpanDeg, effort: effort})
		readings[k] = g.readFinely(s.brief.poseToFit(d.up, g.subject.hull, s.oversize))
		better[k] = s.candidate(readings[k], FromSearch)
	}, nil)
	if err != nil {
		return err
	}
	for k, i := range free {
		pair := s.ranked([]Candidate{a.Candidates[i], better[k]})
		if slices.ContainsFunc(pair, func(c Candidate) bool { return c.Rank == 1 && c.Pose == better[k].Pose }) {
			a.Candidates[i] = pair[0]
			s.known.fine[better[k].Pose] = readings[k]
		}
	}
	return nil
}
