package render

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
)

// edge joins two vertices between two facets; g is -1 on the rim of an open
// mesh.
type edge struct {
	a, b  int32
	f, g  int32
	sharp bool
}

// creaseDeg is the angle between facets from which an edge is drawn and not
// shaded over (judgement: tessellated rounds stay under it).
const creaseDeg = 30

// outline is what is known of the edges of a mesh.
type outline struct {
	edges []edge
	// closed is true when every edge joins two facets.
	closed bool
}

// outlineOf pairs the facets along their edges. An edge with more than two
// facets is cut into several.
func outlineOf(m *mesh.Mesh, normals []r3.Vec) outline {
	halves := halfEdges(m, weldedCorners(m))
	out := outline{edges: make([]edge, 0, len(halves)/2+1), closed: true}
	crease := math.Cos(creaseDeg * math.Pi / 180)
	for i := 0; i < len(halves); i++ {
		h := halves[i]
		e := edge{a: h.a, b: h.b, f: h.facet, g: -1, sharp: true}
		if i+1 < len(halves) && halves[i+1].lo == h.lo && halves[i+1].hi == h.hi {
			i++
			e.g = halves[i].facet
			e.sharp = r3.Dot(normals[e.f], normals[e.g]) < crease
		} else {
			out.closed = false
		}
		out.edges = append(out.edges, e)
	}
	out.hushNoise()
	return out
}

// hushNoise keeps a fine, rough surface (a scan, a knurl) from turning black:
// where most edges of a large mesh are sharp, only outlines are drawn.
func (o *outline) hushNoise() {
	const large, most = 6000, 0.25
	sharp := 0
	for _, e := range o.edges {
		if e.sharp && e.g >= 0 {
			sharp++
		}
	}
	if len(o.edges) < large || float64(sharp) < most*float64(len(o.edges)) {
		return
	}
	for i := range o.edges {
		o.edges[i].sharp = o.edges[i].g < 0
	}
}

// half is one side of an edge: lo and hi are the welded vertices, sorted.
type half struct {
	lo, hi, a, b, facet int32
}

// halfEdges lists the three sides of all facets, those of one edge beside each
// other. Sides are placed by counting on their lower vertex and then sorted
// among the few that share it: cost grows with the mesh only.
func halfEdges(m *mesh.Mesh, weld []int32) []half {
	start := make([]int32, len(m.Vertices)+1)
	eachSide(m, weld, func(h half) { start[h.lo+1]++ })
	for i := range m.Vertices {
		start[i+1] += start[i]
	}
	out := make([]half, start[len(m.Vertices)])
	next := append([]int32(nil), start[:len(m.Vertices)]...)
	eachSide(m, weld, func(h half) {
		out[next[h.lo]] = h
		next[h.lo]++
	})
	chunks(len(m.Vertices), func(_, lo, hi int) {
		for i := lo; i < hi; i++ {
			sortHalves(out[start[i]:start[i+1]])
		}
	})
	return out
}

// sortHalves orders by the higher vertex, then by the facet.
func sortHalves(h []half) {
	const few = 16
	if len(h) > few {
		slices.SortFunc(h, func(a, b half) int {
			return cmp.Or(cmp.Compare(a.hi, b.hi), cmp.Compare(a.facet, b.facet))
		})
		return
	}
	for i := range h { // by insertion, those of a facet come in order
		now, j := h[i], i
		for ; j > 0 && (h[j-1].hi > now.hi || h[j-1].hi == now.hi && h[j-1].facet > now.facet); j-- {
			h[j] = h[j-1]
		}
		h[j] = now
	}
}

// eachSide calls put for the sides of all facets, but for those of no length.
func eachSide(m *mesh.Mesh, weld []int32, put func(h half)) {
	for i, f := range m.Facets {
		for k := range 3 {
			a, b := f[k], f[(k+1)%3]
			lo, hi := weld[a], weld[b]
			if lo == hi {
				continue
			}
			if lo > hi {
				lo, hi = hi, lo
			}
			put(half{lo: lo, hi: hi, a: a, b: b, facet: int32(i)})
		}
	}
}

// weldedCorners gives for each vertex the first vertex at the same place, so
// that a mesh that was never welded still has edges. A mesh with few vertices
// for its facets is taken as welded.
func weldedCorners(m *mesh.Mesh) []int32 {
	weld := make([]int32, len(m.Vertices))
	for i := range weld {
		weld[i] = int32(i)
	}
	if len(m.Vertices) < 2*len(m.Facets) {
		return weld
	}
	first := make(map[r3.Vec]int32, len(m.Vertices)/3)
	for i, v := range m.Vertices {
		if j, ok := first[v]; ok {
			weld[i] = j
		} else {
			first[v] = int32(i)
		}
	}
	return weld
}
