package orient

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
const mostFingerprintFacets = 200_000

// mergeSymmetric drops candidates that a better one stands for, by symmetry. The
// pool must be ranked.
func (s *search) mergeSymmetric(pool []Candidate) []Candidate {
	surface := s.study.full.mesh
	if len(surface.Facets) > mostFingerprintFacets {
		surface = s.study.middle.mesh
	}
	size := s.study.box.diagonal()
	var out []Candidate
next:
	for _, c := range pool {
		c.print = fingerprintOf(surface, s.study.full.solid.Centroid, c.Pose.Up())
		for i := range out {
			tolerance := symmetryTolerance
			if c.Measures.FootprintMM2 < restsMM2 && out[i].Measures.FootprintMM2 < restsMM2 {
				tolerance = looseTolerance
			}
			if c.print.sameBy(out[i].print, tolerance*size) && similar(&c, &out[i]) {
				continue next
			}
		}
		out = append(out, c)
	}
	return out
}

// similar reports whether the costs agree too: a fingerprint alone could pair
// directions of a part that is nearly symmetric.
func similar(a, b *Candidate) bool {
	for i := range a.Terms {
		if d := a.Terms[i].Value - b.Terms[i].Value; d > 0.03 || d < -0.03 {
			return false
		}
	}
	return a.severity() == b.severity()
}
