package orient

import (
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// symmetryTolerance is how far the fingerprints of two directions may differ and
// still be the same by the part's symmetry, as a share of the part's size: a
// little more than tessellation makes of a round part.
const symmetryTolerance = 2e-3

// looseTolerance holds between directions that rest on no face: these come from
// samples and need not be each other's exact image, only as near as directions
// that count as one.
const looseTolerance = 1.5e-2

// restsMM2 is the footprint below which a part rests on a corner or an edge.
const restsMM2 = 2

// mostFingerprintFacets bounds the work of a fingerprint; larger parts are
// fingerprinted on the middle level, whose clusters are near enough.
const mostFingerprintFacets = 40_000

// fingerprint gives that of the part along up.
func (s *Study) fingerprint(up r3.Vec) fingerprint {
	surface := s.full.mesh
	if len(surface.Facets) > mostFingerprintFacets {
		surface = s.middle.mesh
	}
	return fingerprintOf(surface, s.full.solid.Centroid, up)
}

// mergeSymmetric drops candidates of the search that a better one of it stands for, by
// symmetry. The pool must be ranked.
func (s *search) mergeSymmetric(pool []Candidate) []Candidate {
	var out []Candidate
	for _, c := range pool {
		twin := func(o Candidate) bool { return o.Origin == FromSearch && s.same(&c, &o) }
		if c.Origin != FromSearch || !slices.ContainsFunc(out, twin) {
			out = append(out, c)
		}
	}
	return out
}

// same reports whether two ranked candidates are one: the same direction, or the
// same by the part's symmetry.
func (s *search) same(a, b *Candidate) bool {
	angle := angleBetween(a.Pose.Up(), b.Pose.Up())
	if angle <= freeApartDeg && !a.stands() && !b.stands() {
		return true
	}
	if angle <= SameDirectionDeg {
		// A degree beside a resting face is another pose: it does not stand.
		return (a.Measures.FootprintMM2 < restsMM2) == (b.Measures.FootprintMM2 < restsMM2)
	}
	tolerance := symmetryTolerance
	if a.Measures.FootprintMM2 < restsMM2 && b.Measures.FootprintMM2 < restsMM2 {
		tolerance = looseTolerance
	}
	return a.print.sameBy(b.print, tolerance*s.study.box.diagonal()) && similar(a, b)
}

// stands reports whether it stands by itself while it is printed.
func (c *Candidate) stands() bool { return c.Measures.TipAngleDeg > 0 && c.Measures.RaftMM3 == 0 }

// similar reports whether the costs agree too: a fingerprint alone could pair
// directions of a part that is nearly symmetric.
func similar(a, b *Candidate) bool {
	for i := range a.Terms {
		if d := a.Terms[i].Value - b.Terms[i].Value; d > 0.03 || d < -0.03 {
			return false
		}
	}
	return a.verdict.grade() == b.verdict.grade()
}
