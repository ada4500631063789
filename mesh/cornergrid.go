package mesh

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// cornerGrid finds the corners of a polygon near a triangle: some of its corners,
// sorted into the cells of a grid with about as many cells as corners.
type cornerGrid struct {
	low    r2.Vec
	cell   float64
	nx, ny int
	first  []int32 // where the corners of each cell begin in corners
	sorted []int32
}

// newCornerGrid sorts the corners that are wanted.
func newCornerGrid(flat []r2.Vec, wanted func(i int) bool) *cornerGrid {
	low, high := flat[0], flat[0]
	for _, p := range flat {
		low, high = r2.Vec{X: min(low.X, p.X), Y: min(low.Y, p.Y)}, r2.Vec{X: max(high.X, p.X), Y: max(high.Y, p.Y)}
	}
	size := r2.Sub(high, low)
	g := &cornerGrid{low: low}
	// So many cells along the longer side that there are about as many as corners.
	g.cell = max(math.Sqrt(size.X*size.Y/float64(len(flat))), max(size.X, size.Y)/float64(len(flat)))
	if g.cell == 0 { // all in one place
		g.cell = 1
	}
	g.nx, g.ny = int(size.X/g.cell)+1, int(size.Y/g.cell)+1
	g.first = make([]int32, g.nx*g.ny+1)
	var of []int32 // the cell of each corner wanted
	for i, p := range flat {
		if wanted(i) {
			x, y := g.at(p)
			of = append(of, int32(y*g.nx+x))
			g.sorted = append(g.sorted, int32(i))
			g.first[y*g.nx+x+1]++
		}
	}
	for i := 1; i < len(g.first); i++ {
		g.first[i] += g.first[i-1]
	}
	next, list := append([]int32(nil), g.first...), g.sorted
	g.sorted = make([]int32, len(list))
	for k, i := range list {
		g.sorted[next[of[k]]] = i
		next[of[k]]++
	}
	return g
}

// at gives the cell of a place.
func (g *cornerGrid) at(p r2.Vec) (x, y int) {
	x, y = int((p.X-g.low.X)/g.cell), int((p.Y-g.low.Y)/g.cell)
	return min(max(x, 0), g.nx-1), min(max(y, 0), g.ny-1)
}

// near calls yield for the corners in the box of the triangle a b c, until it
// returns false; it returns what yield last did, true where there are none.
func (g *cornerGrid) near(a, b, c r2.Vec, yield func(i int) bool) bool {
	x0, y0 := g.at(r2.Vec{X: min(a.X, b.X, c.X), Y: min(a.Y, b.Y, c.Y)})
	x1, y1 := g.at(r2.Vec{X: max(a.X, b.X, c.X), Y: max(a.Y, b.Y, c.Y)})
	for y := y0; y <= y1; y++ {
		row := y * g.nx
		for _, i := range g.sorted[g.first[row+x0]:g.first[row+x1+1]] {
			if !yield(int(i)) {
				return false
			}
		}
	}
	return true
}
