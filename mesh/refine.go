package mesh

import "gonum.org/v1/gonum/spatial/r3"

// Refine gives the same surface with every edge longer than edge divided at its
// middle, again and again, so that a field given at the vertices can show what
// goes on inside large facets. Both facets on an edge divide it alike: a closed
// mesh stays closed. from gives for each facet of the result the facet of m that
// it lies on; the vertices of m come first and keep their order.
//
// It stops when the result would exceed most facets, which may leave longer edges.
func (m *Mesh) Refine(edge float64, most int) (fine *Mesh, from []int32) {
	fine = m.Clone()
	from = make([]int32, len(m.Facets))
	for i := range from {
		from[i] = int32(i)
	}
	for len(fine.Facets) <= most/4 { // a pass makes at most four of one
		middles := fine.splitLong(edge)
		if len(middles) == 0 {
			break
		}
		fine.Facets, from = divide(fine.Facets, from, middles)
	}
	return fine, from
}

// splitLong adds the middle of every edge that is too long and gives its index by
// the edge's ends, the lower first.
func (m *Mesh) splitLong(edge float64) map[[2]int32]int32 {
	middles := map[[2]int32]int32{}
	for _, f := range m.Facets {
		for k := range 3 {
			e := sideOf(f, k)
			a, b := m.Vertices[e[0]], m.Vertices[e[1]]
			if _, ok := middles[e]; ok || r3.Norm2(r3.Sub(a, b)) <= edge*edge {
				continue
			}
			middles[e] = int32(len(m.Vertices))
			m.Vertices = append(m.Vertices, r3.Scale(0.5, r3.Add(a, b)))
		}
	}
	return middles
}

// sideOf gives the ends of side k of a facet, the lower index first.
func sideOf(f [3]int32, k int) [2]int32 {
	a, b := f[k], f[(k+1)%3]
	return [2]int32{min(a, b), max(a, b)}
}

// divide cuts the facets whose sides have middles.
func divide(facets [][3]int32, from []int32, middles map[[2]int32]int32) ([][3]int32, []int32) {
	var out [][3]int32
	var was []int32
	for i, f := range facets {
		begin := len(out)
		out = appendDivided(out, f, middles)
		for range len(out) - begin {
			was = append(was, from[i])
		}
	}
	return out, was
}

// appendDivided appends the one to four pieces of a facet.
func appendDivided(out [][3]int32, f [3]int32, middles map[[2]int32]int32) [][3]int32 {
	var mid [3]int32
	cut := 0
	for k := range 3 {
		mid[k] = -1
		if v, ok := middles[sideOf(f, k)]; ok {
			mid[k] = v
			cut++
		}
	}
	switch cut {
	case 0:
		return append(out, f)
	case 3:
		return append(out, [3]int32{f[0], mid[0], mid[2]}, [3]int32{mid[0], f[1], mid[1]},
			[3]int32{mid[2], mid[1], f[2]}, mid)
	}
	// Turn the facet so that its first side is cut, and with two the third is not.
	for mid[0] < 0 || cut == 2 && mid[2] >= 0 {
		f, mid = [3]int32{f[1], f[2], f[0]}, [3]int32{mid[1], mid[2], mid[0]}
	}
	if cut == 1 {
		return append(out, [3]int32{f[0], mid[0], f[2]}, [3]int32{mid[0], f[1], f[2]})
	}
	return append(out, [3]int32{f[0], mid[0], f[2]}, [3]int32{mid[0], mid[1], f[2]}, [3]int32{mid[0], f[1], mid[1]})
}
