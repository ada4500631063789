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

// mostShelved bounds how often facets are listed, which keeps the lists within some
// 64 MB: long facets lie over many squares.
const mostShelved = 1 << 24

// shelve sorts the facets by place on the plate: about four to a square, or in larger
// squares where the facets are long.
func (s *Stance) shelve() *shelves { return s.shelveAtMost(mostShelved) }

func (s *Stance) shelveAtMost(most int) *shelves {
	w, h := s.Hi.X-s.Lo.X, s.Hi.Y-s.Lo.Y
	longest := max(w, h, 1e-9)
	side := max(math.Sqrt(w*h/(float64(len(s.Facets))/4+1)), longest/1024)
	for {
		sh := &shelves{x0: s.Lo.X, y0: s.Lo.Y, side: side}
		sh.nx, sh.ny = int(w/side)+1, int(h/side)+1
		if sh.count(s, max(most, len(s.Facets))) {
			sh.fill(s)
			return sh
		}
		side *= 2 // in the end one square holds them all, each once
	}
}

// count counts the facets over each square; false where they are listed more than
// most times in all.
func (sh *shelves) count(s *Stance, most int) bool {
	sh.first = make([]int32, sh.nx*sh.ny+2)
	total := 0
	for i := range s.Facets {
		sh.each(s, int32(i), func(k int) {
			sh.first[k+2]++
			total++
		})
		if total > most {
			return false
		}
	}
	return true
}

// fill lists the facets that have been counted.
func (sh *shelves) fill(s *Stance) {
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
}

// each visits the squares that a facet may lie over: in each row those between its
// leftmost and rightmost place there, so that a long facet which runs aslant is not
// taken for the whole rectangle around it.
func (sh *shelves) each(s *Stance, facet int32, visit func(k int)) {
	a, b, c := s.corners(facet)
	j0, j1 := sh.step(min(a.Y, b.Y, c.Y)-sh.y0, sh.ny), sh.step(max(a.Y, b.Y, c.Y)-sh.y0, sh.ny)
	// What rounding may do to a place where an edge meets a row.
	margin := 1e-9 * (math.Abs(sh.x0) + float64(sh.nx)*sh.side)
	for j := j0; j <= j1; j++ {
		lo, hi := min(a.X, b.X, c.X), max(a.X, b.X, c.X)
		if j0 < j1 {
			y := sh.y0 + float64(j)*sh.side
			lo, hi = across([3]r3.Vec{a, b, c}, y, y+sh.side)
		}
		for i := sh.step(lo-margin-sh.x0, sh.nx); i <= sh.step(hi+margin-sh.x0, sh.nx); i++ {
			visit(j*sh.nx + i)
		}
	}
}

// across gives the least and the largest x of a triangle between two values of y. Of
// a triangle that only touches there, by rounding, it gives where that is nearest.
func across(corners [3]r3.Vec, y0, y1 float64) (lo, hi float64) {
	lo, hi = math.Inf(1), math.Inf(-1)
	for k, p := range corners {
		q := corners[(k+1)%3]
		t0, t1 := 0.0, 1.0
		if p.Y != q.Y {
			t0, t1 = (y0-p.Y)/(q.Y-p.Y), (y1-p.Y)/(q.Y-p.Y)
			t0, t1 = min(t0, t1), max(t0, t1)
			if t0 > 1+1e-9 || t1 < -1e-9 {
				continue // beyond the ends of the edge
			}
		} else if p.Y < y0 || p.Y > y1 {
			continue
		}
		for _, t := range [2]float64{min(max(t0, 0), 1), min(max(t1, 0), 1)} {
			x := p.X + t*(q.X-p.X)
			lo, hi = min(lo, x), max(hi, x)
		}
	}
	if lo > hi {
		return min(corners[0].X, corners[1].X, corners[2].X), max(corners[0].X, corners[1].X, corners[2].X)
	}
	return lo, hi
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
