package mesh

import (
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
func newFacetGrid(m *Mesh, box Box) *facetGrid {
	return newFacetGridOf(m, box, min(max(float64(len(m.Facets))/2, 64), 1<<18))
}

// newFacetGridOf makes a grid of about so many cells.
func newFacetGridOf(m *Mesh, box Box, cells float64) *facetGrid {
	size := box.Size()
	grow := r3.Scale(1e-6*max(box.Diagonal(), 1e-12), r3.Vec{X: 1, Y: 1, Z: 1})
	box = Box{Min: r3.Sub(box.Min, grow), Max: r3.Add(box.Max, grow)}
	least := 1e-3 * max(size.X, size.Y, size.Z)
	pitch := math.Cbrt(max(size.X, least) * max(size.Y, least) * max(size.Z, least) / cells)
	g := &facetGrid{mesh: m, cells: LatticeOver(box, max(pitch, 1e-12)), touching: 1e-7 * box.Diagonal()}
	g.first = make([]int32, g.cells.Bricks()+1)
	only := make([]int32, len(m.Facets)) // the cell of a facet that touches one
	for i := range m.Facets {
		cells := 0
		g.eachCell(i, func(c int) {
			g.first[c+1]++
			only[i] = int32(c)
			cells++
		})
		if cells != 1 {
			only[i] = -1
		}
	}
	for c := 1; c < len(g.first); c++ {
		g.first[c] += g.first[c-1]
	}
	g.list = make([]int32, g.first[len(g.first)-1])
	next := slices.Clone(g.first)
	for i, c := range only {
		if c >= 0 {
			g.list[next[c]] = int32(i)
			next[c]++
			continue
		}
		g.eachCell(i, func(c int) {
			g.list[next[c]] = int32(i)
			next[c]++
		})
	}
	return g
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

// eachCell visits the cells that the facet may touch: those of its bounding box
// that its plane cuts.
func (g *facetGrid) eachCell(facet int, visit func(cell int)) {
	p, q, r := g.mesh.Corners(facet)
	lo := g.cell(r3.Vec{X: min(p.X, q.X, r.X), Y: min(p.Y, q.Y, r.Y), Z: min(p.Z, q.Z, r.Z)})
	hi := g.cell(r3.Vec{X: max(p.X, q.X, r.X), Y: max(p.Y, q.Y, r.Y), Z: max(p.Z, q.Z, r.Z)})
	if lo == hi {
		visit(g.cells.Index(lo[0], lo[1], lo[2]))
		return
	}
	n := r3.Cross(r3.Sub(q, p), r3.Sub(r, p))
	// Half the cell's extent along n, widened for rounding.
	half := 0.5 * (1 + 1e-9) * (math.Abs(n.X)*g.cells.Pitch.X + math.Abs(n.Y)*g.cells.Pitch.Y + math.Abs(n.Z)*g.cells.Pitch.Z)
	for k := lo[2]; k <= hi[2]; k++ {
		for j := lo[1]; j <= hi[1]; j++ {
			for i := lo[0]; i <= hi[0]; i++ {
				if math.Abs(r3.Dot(n, r3.Sub(g.cells.Center(i, j, k), p))) <= half {
					visit(g.cells.Index(i, j, k))
				}
			}
		}
	}
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
			for _, f := range g.in(cell) {
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
