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
		if s.area <= finShare*closed && (s.open > 0 && s.shared > 0 || s.flat && s.shared == 0) && !seamed[q] {
			fin[q] = true
		}
	}
	for side := range t.ring {
		if q := p.of[side/3]; q >= 0 && fin[q] && t.Shared(side) && !evenWithout(t, p, side, q) {
			fin[q] = false
		}
	}
	for _, f := range fin {
		if f {
			n++
		}
	}
	return fin, n
}

// evenWithout reports whether the facets on an edge pair up without those of
// patch q.
func evenWithout(t *Topology, p *patches, side int, q int32) bool {
	others := 0
	t.Around(side, func(s int) {
		if p.of[s/3] != q {
			others++
		}
	})
	return others%2 == 0
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
