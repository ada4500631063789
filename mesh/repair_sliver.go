package mesh

import (
	"gonum.org/v1/gonum/spatial/r3"
)

// needleRatio is the height of a facet over its longest side below which it has
// no area to speak of: three points that 64-bit numbers cannot tell from a line.
const needleRatio = 1e-9

// longestSide gives the longest side of a facet and whether the facet is a
// needle, all three corners on one line.
func (m *Mesh) longestSide(facet int) (side int, needle bool) {
	var length float64
	f := m.Facets[facet]
	for k := range 3 {
		if l := r3.Norm2(r3.Sub(m.Vertices[f[(k+1)%3]], m.Vertices[f[k]])); l > length {
			length, side = l, 3*facet+k
		}
	}
	return side, 4*r3.Norm2(m.AreaVector(facet)) <= needleRatio*needleRatio*length*length
}

// dropNeedles takes needles out without opening the surface. A needle between
// two facets is exchanged for them: the edge along its longest side is turned to
// its middle corner, so that the neighbour across takes that corner in (the flip
// of Lawson, 1977). One that hangs on by its longest side only is dropped. It
// returns how many it dealt with; t must be built anew then.
func dropNeedles(m *Mesh, t *Topology) int {
	busy := map[int]bool{} // facets whose surroundings have changed
	drop := map[int]bool{}
	done := 0
	for i, f := range m.Facets {
		if collapsed(f) || busy[i] {
			continue
		}
		long, needle := m.longestSide(i)
		if !needle {
			continue
		}
		next, last := 3*i+(long+1)%3, 3*i+(long+2)%3
		switch twin, ok := t.Twin(long); {
		case t.Open(next) && t.Open(last):
			drop[i] = true
			done++
		case ok && t.Agrees(long, twin) && !busy[twin/3] && m.flip(t, long, twin):
			for _, s := range []int{long, twin} {
				for k := range 3 {
					t.Around(3*(s/3)+k, func(n int) { busy[n/3] = true })
				}
			}
			done++
		}
	}
	if len(drop) > 0 {
		m.keep(func(i int) bool { return !drop[i] })
	}
	return done
}

// flip exchanges the facets on both sides of an edge for the two that the other
// diagonal of their outline makes. It refuses where that diagonal is an edge
// already, or where the facets on it would be needles again.
func (m *Mesh) flip(t *Topology, side, twin int) bool {
	a, c := t.Ends(side)
	b, d := t.Opposite(side), t.Opposite(twin)
	if b == d {
		return false
	}
	if _, exists := t.Edge(b, d); exists {
		return false
	}
	i, j := side/3, twin/3
	oldI, oldJ := m.Facets[i], m.Facets[j]
	m.Facets[i], m.Facets[j] = [3]int32{a, d, b}, [3]int32{d, c, b}
	_, needleI := m.longestSide(i)
	_, needleJ := m.longestSide(j)
	if needleI || needleJ {
		m.Facets[i], m.Facets[j] = oldI, oldJ
		return false
	}
	return true
}

// keep drops the facets for which wanted is false, in place.
func (m *Mesh) keep(wanted func(facet int) bool) {
	out := m.Facets[:0]
	for i, f := range m.Facets {
		if wanted(i) {
			out = append(out, f)
		}
	}
	m.Facets = out
}

// sliverRatio is the height of a facet over its longest side below which it is
// called a sliver. Slivers do no harm to the measures, but their normals are
// rough.
const sliverRatio = 1e-4

// slivers counts the facets that are thin for their length, needles among them.
func slivers(m *Mesh) (n int) {
	for i := range m.Facets {
		a, b, c := m.Corners(i)
		ab, bc, ca := r3.Sub(b, a), r3.Sub(c, b), r3.Sub(a, c)
		long := max(r3.Norm2(ab), r3.Norm2(bc), r3.Norm2(ca))
		if r3.Norm2(r3.Cross(ab, bc)) < sliverRatio*sliverRatio*long*long {
			n++
		}
	}
	return n
}
