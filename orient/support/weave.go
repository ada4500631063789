package support

import (
	"math"
	"slices"
)

// weave chooses the cells that get walls: all of a solid job, otherwise a wall
// along the rim of what can be held and an egg crate of walls one cell wide, one
// in every period cells both ways, through the middle of the job.
func (k *crate) weave(period []int) {
	middle := k.middles()
	for n := range k.cells {
		c := &k.cells[n]
		m := period[c.job]
		x, y := middle[c.job][0]-c.i, middle[c.job][1]-c.j
		c.chosen = k.jobs[c.job].solid || m <= 1 || x%m == 0 || y%m == 0 || k.onRim(c)
	}
}

// middles gives the cell in the middle of each job's extent.
func (k *crate) middles() [][2]int {
	lo, hi := make([][2]int, len(k.jobs)), make([][2]int, len(k.jobs))
	for n := range lo {
		lo[n] = [2]int{math.MaxInt, math.MaxInt}
	}
	for _, c := range k.cells {
		l, h := &lo[c.job], &hi[c.job]
		l[0], l[1] = min(l[0], c.i), min(l[1], c.j)
		h[0], h[1] = max(h[0], c.i), max(h[1], c.j)
	}
	for n := range lo {
		lo[n] = [2]int{(lo[n][0] + hi[n][0]) / 2, (lo[n][1] + hi[n][1]) / 2}
	}
	return lo
}

// onRim reports whether one of the eight places around a cell has no cell of the
// same job that reaches as high and low.
func (k *crate) onRim(c *cell) bool {
	for dj := -1; dj <= 1; dj++ {
		for di := -1; di <= 1; di++ {
			from, to := k.at(c.i+di, c.j+dj)
			if !slices.ContainsFunc(k.cells[from:to], func(o cell) bool { return o.job == c.job && k.meets(c, &o) }) {
				return true
			}
		}
	}
	return false
}

// meets reports whether two cells share enough height to be joined.
func (k *crate) meets(a, b *cell) bool {
	low, high := math.Inf(-1), math.Inf(1)
	for n := range 4 {
		low = max(low, a.bottom[n], b.bottom[n])
		high = min(high, a.top[n], b.top[n])
	}
	return high-low >= k.least
}

// cratePeriod gives how many cells wide each square of an egg crate is, its walls
// one cell of wall mm thick. Of m x m cells 2 m - 1 are wall; walls are never so
// far apart that the roof between them, span mm, could not be bridged.
func cratePeriod(density, wall, span float64) int {
	m := (1 + math.Sqrt(max(1-density, 0))) / density
	if span > 0 {
		m = min(m, span/wall+1)
	}
	return max(int(m+0.5), 1)
}
