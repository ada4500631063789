package mesh

// finShare is the part of a shell's area that a sheet without thickness may have
// and still be taken off; a larger one may be a wall with a hole (judgement).
const finShare = 0.2

// findFins marks patches that stick out from a closed surface as sheets without
// thickness, or lie loose beside one. They enclose nothing and cannot be made.
// A fin has open edges, and without it an even number of facets meets at each of
// the shared edges it stands on. A flat sheet may be closed: stored from both
// sides.
//
// Sheets whose rim runs along another are left alone: they are faces of a body
// that did not join.
func findFins(t *Topology, p *patches, sheets []sheet) (fin []bool, n int) {
	fin = make([]bool, len(p.list))
	seamed := p.seamed(t)
	closed := 0.0
	for q := range sheets {
		if sheets[q].open == 0 {
			closed += sheets[q].area
		}
	}
	for q, s := range sheets {
		fin[q] = s.sticksOut(closed) && !seamed[q]
	}
	for _, side := range t.sharedSides() {
		clearNeeded(t, p, side, fin)
	}
	for _, f := range fin {
		if f {
			n++
		}
	}
	return fin, n
}

// sticksOut reports whether a sheet looks like a fin or a loose flat sheet beside
// a closed surface of the given area.
func (s *sheet) sticksOut(closed float64) bool {
	return s.area <= finShare*closed && (s.open > 0 && s.shared > 0 || s.flat && s.shared == 0)
}

// clearNeeded takes the mark from the patches on an edge without which an odd
// number of facets would be left there.
func clearNeeded(t *Topology, p *patches, side int, fin []bool) {
	all := 0
	own := map[int32]int{}
	t.Around(side, func(s int) {
		all++
		own[p.of[s/3]]++
	})
	for q, n := range own {
		if (all-n)%2 == 1 {
			fin[q] = false
		}
	}
}

// seamed marks the patches that have a rim which runs along another.
func (p *patches) seamed(t *Topology) []bool {
	out := make([]bool, len(p.list))
	loops := t.Loops()
	s := findSeam(t.mesh, t, loops)
	for i, loop := range loops {
		if q := p.of[loop[0]/3]; s.loops[i] {
			out[q] = true
		}
	}
	return out
}
