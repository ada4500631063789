package mesh

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// What counts as a small flat hole (judgement): part of a face that is missing,
// not a box whose lid was never meant.
const (
	maxHoleSides   = 256
	maxHoleShare   = 0.10 // of the area of the surface around it
	maxHoleWarp    = 1e-4 // out of its plane, of the diagonal
	minHoleCosine  = 0.7  // a facet at its rim faces within 45 degrees of it
	minHoleDensity = 1e-9 // area over rim length squared: less is a slit
)

// filler fills holes.
type filler struct {
	m      *Mesh
	t      *Topology
	p      *patches
	sheets []sheet
	warp   float64
}

// fillHoles closes the small flat holes among the loops, except for loops that
// are one side of a seam, and returns how many it filled and their area, mm2.
func (f *filler) fillHoles(loops [][]int, s seam) (n int, area float64) {
	f.warp = maxHoleWarp * f.m.Bounds().Diagonal()
	for i, loop := range loops {
		if s.loops[i] || len(loop) < 3 || len(loop) > maxHoleSides {
			continue
		}
		corners := make([]int32, len(loop)) // against the rim, which runs with the facets around
		for k, side := range loop {
			corners[len(loop)-1-k], _ = f.t.Ends(side)
		}
		if !f.fits(loop, corners) {
			continue
		}
		lid := cutPolygon(f.m.Vertices, corners)
		if f.crosses(lid, corners) {
			continue
		}
		f.m.Facets = append(f.m.Facets, lid...)
		n++
		area += r3.Norm(areaVector(f.m.Vertices, corners))
	}
	return n, area
}

// fits reports whether the hole is small, flat, and goes on with the face around.
func (f *filler) fits(loop []int, corners []int32) bool {
	v := f.m.Vertices
	normal := areaVector(v, corners)
	area := r3.Norm(normal)
	around := f.sheets[f.p.of[loop[0]/3]]
	if around.flat || area > maxHoleShare*around.area || repeats(corners) {
		return false
	}
	var rim float64
	for i, c := range corners {
		rim += r3.Norm(r3.Sub(v[c], v[corners[(i+1)%len(corners)]]))
	}
	if area <= minHoleDensity*rim*rim {
		return false
	}
	normal = r3.Scale(1/area, normal)
	for _, c := range corners {
		if math.Abs(r3.Dot(normal, r3.Sub(v[c], v[corners[0]]))) > f.warp {
			return false
		}
	}
	for _, side := range loop {
		n := f.m.AreaVector(side / 3)
		if l := r3.Norm(n); l > 0 && r3.Dot(n, normal) >= minHoleCosine*l {
			return true
		}
	}
	return false
}

// crosses reports whether a diagonal of the lid is an edge of the mesh already.
func (f *filler) crosses(lid [][3]int32, corners []int32) bool {
	next := map[int32]int32{}
	for i, c := range corners {
		next[c] = corners[(i+1)%len(corners)]
	}
	for _, facet := range lid {
		for k := range 3 {
			a, b := facet[k], facet[(k+1)%3]
			if next[a] == b || next[b] == a {
				continue
			}
			if _, exists := f.t.Edge(a, b); exists {
				return true
			}
		}
	}
	return false
}

func repeats(list []int32) bool {
	seen := map[int32]bool{}
	for _, v := range list {
		if seen[v] {
			return true
		}
		seen[v] = true
	}
	return false
}
