package mesh

// finShare is the part of a shell's area that a sheet without thickness may have
// and still be taken off; a larger one may be a wall with a hole (judgement).
const finShare = 0.2

// findFins marks patches that stick out from a closed surface as sheets without
// thickness, or lie loose beside one. They enclose nothing and cannot be made.
// A fin has open edges, and without it an even number of facets meets at each of
// the shared edges it stands on.
func findFins(t *Topology, p *patches, sheets []sheet) (fin []bool, n int) {
	fin = make([]bool, len(p.list))
	closed := 0.0
	for q := range sheets {
		if sheets[q].open == 0 {
			closed += sheets[q].area
		}
	}
	for q, s := range sheets {
		if s.open > 0 && s.area <= finShare*closed && (s.shared > 0 || s.flat) {
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
