package mesh

import (
	"context"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// facetGrid lists the facets near every cell of a coarse grid over a mesh, so
// that rays and nearest points need to look at a few facets only. It is
// read-only once made and safe for concurrent use.
type facetGrid struct {
	mesh  *Mesh
	cells Lattice
	first []int32 // the facets of cell c are list[first[c]:first[c+1]]
	list  []int32
	// touching is how near two faces count as one, mm.
	touching float64
}

// newFacetGrid makes the grid over the bounding box of m, with about one cell
// for every two facets.
func newFacetGrid(ctx context.Context, m *Mesh, box Box) (*facetGrid, error) {
	return newFacetGridOf(ctx, m, box, min(max(float64(len(m.Facets))/2, 64), 1<<18))
}

// Long facets run through many cells. What all cells list together stays under
// mostListed, or listedEach for each facet, and the cells are made larger instead,
// fewerCells times fewer at a time.
const (
	mostListed = 32 << 20
	listedEach = 32
	fewerCells = 4
)

// newFacetGridOf makes a grid of about so many cells, or of fewer where the facets
// are long. The error is that of ctx.
func newFacetGridOf(ctx context.Context, m *Mesh, box Box, cells float64) (*facetGrid, error) {
	size := box.Size()
	grow := r3.Scale(1e-6*max(box.Diagonal(), 1e-12), r3.Vec{X: 1, Y: 1, Z: 1})
	box = Box{Min: r3.Sub(box.Min, grow), Max: r3.Add(box.Max, grow)}
	least := 1e-3 * max(size.X, size.Y, size.Z)
	wait := pause{ctx: ctx}
	for ; ; cells /= fewerCells {
		pitch := math.Cbrt(max(size.X, least) * max(size.Y, least) * max(size.Z, least) / cells)
		g := &facetGrid{mesh: m, cells: LatticeOver(box, max(pitch, 1e-12)), touching: 1e-7 * box.Diagonal()}
		only, ok := g.count(&wait, max(mostListed, listedEach*len(m.Facets)))
		if !ok && wait.ctx.Err() == nil && cells > fewerCells {
			continue
		}
		g.fill(&wait, only)
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		return g, nil
	}
}

// count adds up behind first how many facets each cell lists, and gives the cell of
// each facet that touches one only, -1 for the others. It gives up, and reports
// false, where there are more than most in all or the loop is to stop.
func (g *facetGrid) count(wait *pause, most int) (only []int32, ok bool) {
	const surely = 1.25
	if g.spans() > most || g.sampled() > surely*float64(most) {
		return nil, false
	}
	g.first = make([]int32, g.cells.Bricks()+1)
	only = make([]int32, len(g.mesh.Facets))
	all := 0
	for i := range g.mesh.Facets {
		cells := 0
		g.eachCell(i, func(c int) {
			g.first[c+1]++
			only[i] = int32(c)
			cells++
		})
		if cells != 1 {
			only[i] = -1
		}
		wait.left -= cells
		if all += cells; all > most || wait.over() {
			return nil, false
		}
	}
	for c := 1; c < len(g.first); c++ {
		g.first[c] += g.first[c-1]
	}
	return only, true
}

// spans gives a number of cells that the facets touch at least: as many each as it
// is long.
func (g *facetGrid) spans() int {
	all := 0
	for i := range g.mesh.Facets {
		lo, hi := g.cellsOf(i)
		all += 1 + max(hi[0]-lo[0], hi[1]-lo[1], hi[2]-lo[2])
	}
	return all
}

// sampled gives about how many facets all cells list together, from some of them.
func (g *facetGrid) sampled() float64 {
	const some = 2048
	every := max(len(g.mesh.Facets)/some, 1)
	listed, seen := 0, 0
	for i := 0; i < len(g.mesh.Facets); i += every {
		g.eachCell(i, func(int) { listed++ })
		seen++
	}
	return float64(listed) / float64(max(seen, 1)) * float64(len(g.mesh.Facets))
}

// fill lists the facets, once they are counted.
func (g *facetGrid) fill(wait *pause, only []int32) {
	if only == nil {
		return
	}
	g.list = make([]int32, g.first[len(g.first)-1])
	next := slices.Clone(g.first)
	for i, c := range only {
		if wait.over() {
			return
		}
		if c >= 0 {
			g.list[next[c]] = int32(i)
			next[c]++
			continue
		}
		g.eachCell(i, func(c int) {
			g.list[next[c]] = int32(i)
			next[c]++
			wait.left--
		})
	}
}

// in gives the facets of a cell.
func (g *facetGrid) in(cell int) []int32 { return g.list[g.first[cell]:g.first[cell+1]] }

// cell gives the cell that holds p, drawn into the grid.
func (g *facetGrid) cell(p r3.Vec) (c [3]int) {
	q := r3.Sub(p, g.cells.Origin)
	for a, v := range [3]float64{q.X / g.cells.Pitch.X, q.Y / g.cells.Pitch.Y, q.Z / g.cells.Pitch.Z} {
		c[a] = int(min(max(v, 0), float64(g.cells.N[a]-1)))
	}
	return c
}

// cellsOf gives the cells of the corners of the facet's bounding box.
func (g *facetGrid) cellsOf(facet int) (lo, hi [3]int) {
	p, q, r := g.mesh.Corners(facet)
	return g.cell(r3.Vec{X: min(p.X, q.X, r.X), Y: min(p.Y, q.Y, r.Y), Z: min(p.Z, q.Z, r.Z)}),
		g.cell(r3.Vec{X: max(p.X, q.X, r.X), Y: max(p.Y, q.Y, r.Y), Z: max(p.Z, q.Z, r.Z)})
}

// fewCells is how many cells of its box a facet may have and all be looked at.
const fewCells = 64

// eachCell visits the cells that the facet may touch: those of its bounding box
// that its plane cuts and, of a large facet, that it reaches in its row of cells.
func (g *facetGrid) eachCell(facet int, visit func(cell int)) {
	lo, hi := g.cellsOf(facet)
	if lo == hi {
		visit(g.cells.Index(lo[0], lo[1], lo[2]))
		return
	}
	p, q, r := g.mesh.Corners(facet)
	n := r3.Cross(r3.Sub(q, p), r3.Sub(r, p))
	// Half the cell's extent along n, widened for rounding.
	half := 0.5 * (1 + 1e-9) * (math.Abs(n.X)*g.cells.Pitch.X + math.Abs(n.Y)*g.cells.Pitch.Y + math.Abs(n.Z)*g.cells.Pitch.Z)
	row := func(from, to, j, k int) {
		for i := from; i <= to; i++ {
			if math.Abs(r3.Dot(n, r3.Sub(g.cells.Center(i, j, k), p))) <= half {
				visit(g.cells.Index(i, j, k))
			}
		}
	}
	if (hi[0]-lo[0]+1)*(hi[1]-lo[1]+1)*(hi[2]-lo[2]+1) <= fewCells {
		for k := lo[2]; k <= hi[2]; k++ {
			for j := lo[1]; j <= hi[1]; j++ {
				row(lo[0], hi[0], j, k)
			}
		}
		return
	}
	g.eachRow([]r3.Vec{p, q, r}, lo[2], hi[2], row)
}

// eachRow visits the rows along x that a convex polygon reaches, with the cells from
// and to which it does, by cutting it into slices: a long facet costs what it is
// long, not what its box holds.
func (g *facetGrid) eachRow(polygon []r3.Vec, low, high int, visit func(from, to, j, k int)) {
	var layerRoom, rowRoom, spare [8]r3.Vec
	for k := low; k <= high; k++ {
		layer := g.slice(polygon, 2, k, spare[:0], layerRoom[:0])
		if len(layer) == 0 {
			continue
		}
		first, last := g.reached(layer, 1)
		for j := first; j <= last; j++ {
			if part := g.slice(layer, 1, j, spare[:0], rowRoom[:0]); len(part) > 0 {
				from, to := g.reached(part, 0)
				visit(from, to, j, k)
			}
		}
	}
}

// cutSlack is by how much, in cells, a slice is wider than a cell, so that rounding
// loses none.
const cutSlack = 1e-6

// slice gives the part of a convex polygon within the cells number n along an axis.
func (g *facetGrid) slice(polygon []r3.Vec, axis, n int, spare, out []r3.Vec) []r3.Vec {
	origin, pitch := component(g.cells.Origin, axis), component(g.cells.Pitch, axis)
	low, high := origin+(float64(n)-cutSlack)*pitch, origin+(float64(n)+1+cutSlack)*pitch
	above := keepSide(polygon, spare, func(v r3.Vec) float64 { return component(v, axis) - low })
	return keepSide(above, out, func(v r3.Vec) float64 { return high - component(v, axis) })
}

// keepSide appends to out the part of a convex polygon where the measure is not
// below 0 (Sutherland and Hodgman, Commun. ACM 17 (1974) 32).
func keepSide(polygon, out []r3.Vec, measure func(r3.Vec) float64) []r3.Vec {
	for i, a := range polygon {
		b := polygon[(i+1)%len(polygon)]
		da, db := measure(a), measure(b)
		if da >= 0 {
			out = append(out, a)
		}
		if (da >= 0) != (db >= 0) {
			out = append(out, r3.Add(a, r3.Scale(da/(da-db), r3.Sub(b, a))))
		}
	}
	return out
}

// reached gives the first and last cell along an axis that a polygon reaches.
func (g *facetGrid) reached(polygon []r3.Vec, axis int) (first, last int) {
	low, high := math.Inf(1), math.Inf(-1)
	for _, v := range polygon {
		low, high = min(low, component(v, axis)), max(high, component(v, axis))
	}
	origin, pitch := component(g.cells.Origin, axis), component(g.cells.Pitch, axis)
	most := float64(g.cells.N[axis] - 1)
	return int(min(max((low-origin)/pitch-cutSlack, 0), most)), int(min(max((high-origin)/pitch+cutSlack, 0), most))
}

// nearest gives the point of the surface nearest to p, provided that it is
// nearer than within; otherwise false.
func (g *facetGrid) nearest(p r3.Vec, within float64) (r3.Vec, bool) {
	best, found := within*within, false
	var at r3.Vec
	c := g.cell(p)
	least := min(g.cells.Pitch.X, g.cells.Pitch.Y, g.cells.Pitch.Z)
	reach := max(g.cells.N[0], g.cells.N[1], g.cells.N[2])
	for ring := 0; ring <= reach; ring++ {
		if gap := float64(ring-1) * least; ring > 1 && gap*gap > best {
			break
		}
		g.ring(c, ring, func(cell int) {
			list := g.in(cell)
			if len(list) > crowdedCell && g.gap2(cell, p) > best {
				return // long facets lie in many cells
			}
			for _, f := range list {
				a, b, d := g.mesh.Corners(int(f))
				q := nearestOnFacet(p, a, b, d)
				if d2 := r3.Norm2(r3.Sub(q, p)); d2 < best {
					best, at, found = d2, q, true
				}
			}
		})
	}
	return at, found
}

// crowdedCell is how many facets a cell lists before it is worth asking how far off
// it is.
const crowdedCell = 32

// gap2 gives the square of the distance from p to a cell, 0 within it, a little short
// for rounding.
func (g *facetGrid) gap2(cell int, p r3.Vec) float64 {
	nx, ny := g.cells.N[0], g.cells.N[1]
	d := r3.Sub(g.cells.Center(cell%nx, cell/nx%ny, cell/(nx*ny)), p)
	half := r3.Scale(0.5*(1+1e-6), g.cells.Pitch)
	return r3.Norm2(r3.Vec{X: max(math.Abs(d.X)-half.X, 0), Y: max(math.Abs(d.Y)-half.Y, 0), Z: max(math.Abs(d.Z)-half.Z, 0)})
}

// ring visits the cells that are n away from c (the largest of the three steps).
func (g *facetGrid) ring(c [3]int, n int, visit func(cell int)) {
	lo, hi := [3]int{}, [3]int{}
	for a := range 3 {
		lo[a], hi[a] = max(c[a]-n, 0), min(c[a]+n, g.cells.N[a]-1)
	}
	for k := lo[2]; k <= hi[2]; k++ {
		for j := lo[1]; j <= hi[1]; j++ {
			if k == c[2]-n || k == c[2]+n || j == c[1]-n || j == c[1]+n {
				for i := lo[0]; i <= hi[0]; i++ {
					visit(g.cells.Index(i, j, k))
				}
				continue
			}
			if i := c[0] - n; i >= 0 {
				visit(g.cells.Index(i, j, k))
			}
			if i := c[0] + n; n > 0 && i < g.cells.N[0] {
				visit(g.cells.Index(i, j, k))
			}
		}
	}
}

// nearestOnFacet gives the point of triangle a, b, c nearest to p (after
// Ericson, Real-Time Collision Detection (2005), section 5.1.5): a corner, a
// point of an edge, or the foot of the perpendicular.
func nearestOnFacet(p, a, b, c r3.Vec) r3.Vec {
	ab, ac, ap := r3.Sub(b, a), r3.Sub(c, a), r3.Sub(p, a)
	bp, cp := r3.Sub(p, b), r3.Sub(p, c)
	d1, d2 := r3.Dot(ab, ap), r3.Dot(ac, ap)
	d3, d4 := r3.Dot(ab, bp), r3.Dot(ac, bp)
	d5, d6 := r3.Dot(ab, cp), r3.Dot(ac, cp)
	switch {
	case d1 <= 0 && d2 <= 0:
		return a
	case d3 >= 0 && d4 <= d3:
		return b
	case d6 >= 0 && d5 <= d6:
		return c
	}
	v, w := shares(d1, d2, d3, d4, d5, d6)
	return r3.Add(a, r3.Add(r3.Scale(v, ab), r3.Scale(w, ac)))
}

// shares gives the place on an edge or within the triangle as shares of its two
// edges from a, from the products of nearestOnFacet; (0, 0) without area.
func shares(d1, d2, d3, d4, d5, d6 float64) (v, w float64) {
	va, vb, vc := d3*d6-d5*d4, d5*d2-d1*d6, d1*d4-d3*d2
	switch {
	case vc <= 0 && d1 >= 0 && d3 <= 0:
		return d1 / (d1 - d3), 0
	case vb <= 0 && d2 >= 0 && d6 <= 0:
		return 0, d2 / (d2 - d6)
	case va <= 0 && d4 >= d3 && d5 >= d6:
		w = (d4 - d3) / ((d4 - d3) + (d5 - d6))
		return 1 - w, w
	}
	if sum := va + vb + vc; sum > 0 {
		return vb / sum, vc / sum
	}
	return 0, 0
}
