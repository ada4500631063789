package mesh

// gridFacet is a facet on the grid: the places of its corners, their numbers once
// they have been entered, and its normal, which is zero where the corners lie on
// one line.
type gridFacet struct {
	at      [3]gridPoint
	normal  gridPoint
	id      [3]int32
	entered bool
}

func newGridFacet(a, b, c gridPoint) gridFacet {
	return gridFacet{at: [3]gridPoint{a, b, c}, normal: b.sub(a).cross(c.sub(a))}
}

// enter numbers the corners.
func (t *pointTable) enter(f *gridFacet) {
	if f.entered {
		return
	}
	for k := range 3 {
		f.id[k] = t.corner(f.at[k])
	}
	f.entered = true
}

// flat reports a facet without area.
func (f *gridFacet) flat() bool { return f.normal == gridPoint{} }

// side gives on which side of the facet's plane a point lies, and how far.
func (f *gridFacet) side(p gridPoint) wideInt { return f.normal.dot(p.sub(f.at[0])) }

// sides gives those of another facet's corners.
func (f *gridFacet) sides(g *gridFacet) (s [3]wideInt, sign [3]int) {
	for k := range 3 {
		s[k] = f.side(g.at[k])
		sign[k] = s[k].sign()
	}
	return s, sign
}

// oneSided reports whether all corners lie on the same side, none on the plane.
func oneSided(sign [3]int) bool {
	return sign[0] == sign[1] && sign[1] == sign[2] && sign[0] != 0
}

// tips reports whether a facet, whose corners lie on the given sides of the plane
// of another, touches that plane with one corner only, which is a corner of the
// other as well: so do most neighbours.
func (f *gridFacet) tips(other *gridFacet, sign [3]int) bool {
	for k := range 3 {
		if sign[k] == 0 && sign[(k+1)%3] == sign[(k+2)%3] && sign[(k+1)%3] != 0 {
			return f.at[k] == other.at[0] || f.at[k] == other.at[1] || f.at[k] == other.at[2]
		}
	}
	return false
}

// meeting is what two facets have in common.
type meeting struct {
	n        int      // 0: nothing, 1: a place, 2: a segment
	at       [2]int32 // its ends
	coplanar bool     // they lie in one plane
}

// add takes in a place that lies on both.
func (m *meeting) add(p int32) {
	for k := range m.n {
		if m.at[k] == p {
			return
		}
	}
	if m.n < 2 {
		m.at[m.n] = p
		m.n++
	}
}

// meet gives what two facets have in common, neither of them flat. It leaves those
// in one plane to overlap and touching.
func (t *pointTable) meet(f, g *gridFacet) meeting {
	sg, signG := f.sides(g)
	if oneSided(signG) || g.tips(f, signG) {
		return meeting{}
	}
	if signG == [3]int{} {
		return meeting{coplanar: true}
	}
	sf, signF := g.sides(f)
	if oneSided(signF) || f.tips(g, signF) {
		return meeting{}
	}
	t.enter(f)
	t.enter(g)
	var m meeting
	t.pierce(&m, f, g, sf, signF)
	t.pierce(&m, g, f, sg, signG)
	return m
}

// pierce adds the places where the rim of f meets g; s are the sides of g's plane
// that the corners of f lie on.
func (t *pointTable) pierce(m *meeting, f, g *gridFacet, s [3]wideInt, sign [3]int) {
	for k := range 3 {
		j := (k + 1) % 3
		p, q := f.at[k], f.at[j]
		switch {
		case sign[k] == 0 && g.holds(p):
			m.add(f.id[k])
		case sign[k]*sign[j] < 0 && g.pierced(p, q):
			m.add(t.between(p, q, s[k], s[j]))
		}
		if sign[k] == 0 && sign[j] == 0 {
			t.within(m, f.id[k], f.id[j], g)
		}
	}
}

// holds reports whether a point of the facet's plane lies on the facet.
func (f *gridFacet) holds(p gridPoint) bool {
	for k := range 3 {
		a, b := f.at[k], f.at[(k+1)%3]
		if f.inward(a, b, p) < 0 {
			return false
		}
	}
	return true
}

// inward gives on which side of the line from a to b, seen against the normal, a
// point of the plane lies: 1 to the left.
func (f *gridFacet) inward(a, b, p gridPoint) int {
	n := b.sub(a).cross(p.sub(a))
	// Of the three coordinates of the two normals the longest decides.
	k := 0
	for j := range 3 {
		if abs8(f.normal[j]) > abs8(f.normal[k]) {
			k = j
		}
	}
	switch {
	case n[k] == 0:
		return 0
	case (n[k] > 0) == (f.normal[k] > 0):
		return 1
	}
	return -1
}

func abs8(v int64) int64 {
	if v < 0 {
		return -v
	}
	return v
}

// pierced reports whether the segment from p to q, whose ends lie on opposite
// sides of the plane, goes through the facet or its rim: it passes all three edges
// on the same side (Segura and Feito, WSCG 2001).
func (f *gridFacet) pierced(p, q gridPoint) bool {
	way := q.sub(p)
	left, right := false, false
	for k := range 3 {
		a, b := f.at[k].sub(p), f.at[(k+1)%3].sub(p)
		switch a.cross(b).dot(way).sign() {
		case 1:
			left = true
		case -1:
			right = true
		}
	}
	return !(left && right)
}

// within adds the places where the segment a b, which lies in the plane of g,
// crosses the rim of g.
func (t *pointTable) within(m *meeting, a, b int32, g *gridFacet) {
	plane := newFlatPlane(t, g.at[0], g.at[1], g.at[2])
	for k := range 3 {
		c, d := g.id[k], g.id[(k+1)%3]
		if plane.crosses(a, b, c, d) {
			m.add(plane.meet(a, b, c, d))
		}
	}
}

// overlapFlat reports whether two facets in one plane have an area in common: no
// edge of either has the other wholly on its outer side (the separating axes of
// two convex figures).
func overlapFlat(f, g *gridFacet) bool {
	return !separated(f, g) && !separated(g, f)
}

func separated(f, g *gridFacet) bool {
	for k := range 3 {
		a, b := f.at[k], f.at[(k+1)%3]
		if f.inward(a, b, g.at[0]) <= 0 && f.inward(a, b, g.at[1]) <= 0 && f.inward(a, b, g.at[2]) <= 0 {
			return true
		}
	}
	return false
}

// touching gives the corners of g that lie on the rim of f, in whose plane g lies,
// and are no corners of f.
func touching(f, g *gridFacet) (on []int) {
	for k, p := range g.at {
		if p != f.at[0] && p != f.at[1] && p != f.at[2] && f.holds(p) {
			on = append(on, k)
		}
	}
	return on
}
