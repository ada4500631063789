package mesh

import "slices"

// maxTorn is the number of open edges beyond which a mesh is more of a heap than a
// surface with faults, and is reported as it is (judgement).
const maxTorn = 100_000

// attempt keeps what a repair did to the facets only where it pays, as worth says
// of the number of its steps and the edges before and after.
func (r *mender) attempt(repair func() (int, error), worth func(n int, before, after edgeCounts) bool) (int, error) {
	before, facets := r.t.count(), slices.Clone(r.m.Facets)
	n, err := repair()
	if n == 0 || err != nil {
		return 0, err
	}
	r.dropCollapsed()
	if err := r.rebuild(); err != nil {
		return 0, err
	}
	if !worth(n, before, r.t.count()) {
		r.m.Facets = facets
		return 0, r.rebuild()
	}
	return n, nil
}

// pays reports whether each step of a repair left more than one edge fewer open,
// and none more shared.
func pays(n int, before, after edgeCounts) bool {
	return before.open-after.open > n && after.shared <= before.shared
}

// worthMending reports whether there are open edges, and not too many.
func (r *mender) worthMending() bool {
	n := r.t.count().open
	return n > 0 && n <= maxTorn
}

// splitSeams first divides the sides that then match piece by piece, next those
// where both sides have corners that the other has not, if that works out.
func (r *mender) splitSeams() error {
	if !r.worthMending() || r.o.leaves(SplitSeams) {
		return nil
	}
	tol, n := weldTolerance(r.m), 0
	for _, whole := range []bool{true, false} {
		more, err := r.attempt(func() (int, error) { return r.splitAt(tol, whole) }, pays)
		if err != nil {
			return err
		}
		n += more
	}
	if n > 0 {
		r.did(SplitSeams, n, tol, "%s divided along seams where the corners of the two sides did not match.", count(n, "facet", "facets"))
	}
	return r.dropNeedles()
}

// splitAt divides facets until none is left whose open side carries a corner.
func (r *mender) splitAt(tol float64, whole bool) (total int, err error) {
	for range maxRounds {
		n := newSeamSplitter(r.m, r.t, tol, whole).split()
		if n == 0 {
			break
		}
		total += n
		r.dropCollapsed()
		if err := r.rebuild(); err != nil {
			return 0, err
		}
	}
	return total, nil
}

// closeGaps joins what lies farther apart than rounding but within the gap that
// the user allows: corners first, then corners on the sides across.
func (r *mender) closeGaps() error {
	gap := r.health.GapMM
	if gap <= weldTolerance(r.m) || !r.worthMending() || r.o.leaves(CloseGaps) {
		return nil
	}
	var moved float64
	joined := 0
	n, err := r.attempt(func() (int, error) {
		joined, moved = joinGaps(r.m, r.t, gap)
		r.dropCollapsed()
		if err := r.rebuild(); err != nil {
			return 0, err
		}
		split, err := r.splitAt(gap, false)
		if split > 0 {
			moved = gap
		}
		return joined + split, err
	}, func(_ int, before, after edgeCounts) bool {
		return after.open < before.open && after.shared <= before.shared
	})
	if err != nil || n == 0 {
		return err
	}
	r.m.compact()
	if err := r.rebuild(); err != nil {
		return err
	}
	r.did(CloseGaps, n, moved, "%s closed in gaps of up to %s mm.", count(n, "place", "places"), short(gap))
	return r.dropNeedles()
}

func (r *mender) fillHoles() error {
	if !r.worthMending() || r.o.leaves(FillHoles) {
		return nil
	}
	var area float64
	n, err := r.attempt(func() (n int, err error) {
		p, err := r.patches()
		if err != nil {
			return 0, err
		}
		loops := r.t.Loops()
		f := &filler{m: r.m, t: r.t, p: p, sheets: p.sheets(r.t)}
		n, area = f.fillHoles(loops, findSeam(r.m, r.t, loops))
		return n, nil
	}, pays)
	if n > 0 {
		r.did(FillHoles, n, 0, "%s in a flat face filled, %s mm2 in all.", count(n, "small hole", "small holes"), short(area))
	}
	return err
}
