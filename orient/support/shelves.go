package support

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// shelves lists the facets over each square of a coarse grid on the plate.
type shelves struct {
	x0, y0, side float64
	nx, ny       int
	first        []int32 // the facets over square k are list[first[k]:first[k+1]]
	list         []int32
}

// shelve sorts the facets by place on the plate, about four to a square.
func (s *Stance) shelve() *shelves {
	w, h := s.Hi.X-s.Lo.X, s.Hi.Y-s.Lo.Y
	longest := max(w, h, 1e-9)
	side := max(math.Sqrt(w*h/(float64(len(s.Facets))/4+1)), longest/1024)
	sh := &shelves{x0: s.Lo.X, y0: s.Lo.Y, side: side}
	sh.nx, sh.ny = int(w/side)+1, int(h/side)+1
	sh.first = make([]int32, sh.nx*sh.ny+2)
	for i := range s.Facets {
		sh.each(s, int32(i), func(k int) { sh.first[k+2]++ })
	}
	for k := 2; k < len(sh.first); k++ {
		sh.first[k] += sh.first[k-1]
	}
	sh.list = make([]int32, sh.first[len(sh.first)-1])
	for i := range s.Facets {
		sh.each(s, int32(i), func(k int) {
			sh.list[sh.first[k+1]] = int32(i)
			sh.first[k+1]++
		})
	}
	sh.first = sh.first[:len(sh.first)-1]
	return sh
}

// each visits the squares under the bounding rectangle of a facet.
func (sh *shelves) each(s *Stance, facet int32, visit func(k int)) {
	a, b, c := s.corners(facet)
	lo := r3.Vec{X: min(a.X, b.X, c.X), Y: min(a.Y, b.Y, c.Y)}
	hi := r3.Vec{X: max(a.X, b.X, c.X), Y: max(a.Y, b.Y, c.Y)}
	sh.over(lo, hi, visit)
}

// over visits the squares under the rectangle lo, hi.
func (sh *shelves) over(lo, hi r3.Vec, visit func(k int)) {
	i0, i1 := sh.step(lo.X-sh.x0, sh.nx), sh.step(hi.X-sh.x0, sh.nx)
	j0, j1 := sh.step(lo.Y-sh.y0, sh.ny), sh.step(hi.Y-sh.y0, sh.ny)
	for j := j0; j <= j1; j++ {
		for i := i0; i <= i1; i++ {
			visit(j*sh.nx + i)
		}
	}
}

func (sh *shelves) step(v float64, n int) int {
	return int(min(max(v/sh.side, 0), float64(n-1)))
}

// near appends the facets that may lie over the rectangle lo, hi, each once.
// mark has one entry for each facet and holds the number of the last request that
// met it; request must be a new one, above 0.
func (sh *shelves) near(lo, hi r3.Vec, mark []int32, request int32, out []int32) []int32 {
	sh.over(lo, hi, func(k int) {
		for _, f := range sh.list[sh.first[k]:sh.first[k+1]] {
			if mark[f] != request {
				mark[f] = request
				out = append(out, f)
			}
		}
	})
	return out
}
