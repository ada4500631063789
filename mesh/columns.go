package mesh

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// Columns is a mesh seen along Z: over a grid of vertical lines, every crossing
// with the surface, lowest first (a layered depth image, after Shade et al.,
// SIGGRAPH 1998). Gaps, walls and spans along the build direction can be read
// off it. The zero value is ready for Fill, and filling again reuses its memory;
// a Columns is not safe for concurrent use.
type Columns struct {
	// NX and NY are the numbers of lines along x and y.
	NX, NY int
	// X0 and Y0 are the low corner of the grid, DX and DY the cell sides, mm.
	// Line (i, j) stands in the middle of its cell.
	X0, Y0, DX, DY float64

	start     []int32
	crossings []Crossing
	unsorted  []placed
}

// Crossing is one place where a vertical line meets the surface.
type Crossing struct {
	// Z is the height, mm.
	Z float32
	// Facet is the index of the facet met.
	Facet int32
	// Up is true where the facet faces upward: the line leaves the solid.
	Up bool
}

type placed struct {
	column int32
	Crossing
}

// At gives the crossings of line (i, j), lowest first.
func (c *Columns) At(i, j int) []Crossing {
	k := j*c.NX + i
	return c.crossings[c.start[k]:c.start[k+1]]
}

// Center gives the x and y of line (i, j), mm.
func (c *Columns) Center(i, j int) (x, y float64) {
	return c.X0 + (float64(i)+0.5)*c.DX, c.Y0 + (float64(j)+0.5)*c.DY
}

// CellArea gives the area that one line stands for, mm2.
func (c *Columns) CellArea() float64 { return c.DX * c.DY }

// Fill casts about lines vertical lines through the facets over the rectangle
// lo..hi of the xy plane. The rectangle is divided into whole, nearly square
// cells, so that a box-shaped part meets the grid without a remainder.
//
// A line through an edge or a corner counts each sheet of the surface exactly
// once: edges are cut in a fixed order of their ends and intervals are half
// open, so a closed mesh gives as many crossings up as down on every line.
func (c *Columns) Fill(vertices []r3.Vec, facets [][3]int32, lo, hi r3.Vec, lines int) {
	c.lay(lo, hi, lines)
	c.unsorted = c.unsorted[:0]
	for i, f := range facets {
		c.cast(int32(i), vertices[f[0]], vertices[f[1]], vertices[f[2]])
	}
	c.sort()
}

// lay divides the rectangle into cells.
func (c *Columns) lay(lo, hi r3.Vec, lines int) {
	w, h := max(hi.X-lo.X, 1e-9), max(hi.Y-lo.Y, 1e-9)
	side := math.Sqrt(w * h / float64(max(lines, 1)))
	// A needle must not turn the grid into one endless row.
	limit := 8 * math.Sqrt(float64(lines))
	c.NX = int(min(max(math.Ceil(w/side), 2), limit))
	c.NY = int(min(max(math.Ceil(h/side), 2), limit))
	c.X0, c.Y0 = lo.X, lo.Y
	c.DX, c.DY = w/float64(c.NX), h/float64(c.NY)
}

// cast adds the crossings of one facet.
func (c *Columns) cast(facet int32, p, q, r r3.Vec) {
	first := c.line(min(p.Y, q.Y, r.Y), c.Y0, c.DY, c.NY)
	last := c.line(max(p.Y, q.Y, r.Y), c.Y0, c.DY, c.NY)
	if first >= last {
		return
	}
	nx := (q.Y-p.Y)*(r.Z-p.Z) - (q.Z-p.Z)*(r.Y-p.Y)
	ny := (q.Z-p.Z)*(r.X-p.X) - (q.X-p.X)*(r.Z-p.Z)
	nz := (q.X-p.X)*(r.Y-p.Y) - (q.Y-p.Y)*(r.X-p.X)
	if nz == 0 {
		return
	}
	slopeX, slopeY := -nx/nz, -ny/nz
	// Steep facets make the plane's slope huge: the height stays inside the facet.
	low, high := min(p.Z, q.Z, r.Z), max(p.Z, q.Z, r.Z)
	edges := [3]edge{newEdge(p, q), newEdge(q, r), newEdge(r, p)}
	for j := first; j < last; j++ {
		y := c.Y0 + (float64(j)+0.5)*c.DY
		left, right := rowSpan(y, &edges)
		begin, end := c.line(left, c.X0, c.DX, c.NX), c.line(right, c.X0, c.DX, c.NX)
		rowZ := p.Z + slopeY*(y-p.Y)
		for i := begin; i < end; i++ {
			x := c.X0 + (float64(i)+0.5)*c.DX
			z := min(max(rowZ+slopeX*(x-p.X), low), high)
			c.unsorted = append(c.unsorted, placed{
				column:   int32(j*c.NX + i),
				Crossing: Crossing{Z: float32(z), Facet: facet, Up: nz > 0},
			})
		}
	}
}

// line gives the index of the first grid line at or beyond v, within 0..n. It
// depends on v alone, so that two facets agree about the edge they share.
func (c *Columns) line(v, origin, step float64, n int) int {
	x := (v-origin)/step - 0.5
	if !(x > 0) {
		return 0
	}
	if x >= float64(n) {
		return n
	}
	k := int(x)
	if float64(k) < x {
		k++
	}
	return k
}

// edge is one side of a facet in the xy plane, from its lower end: the same
// numbers whichever way round the facet gives it.
type edge struct{ x, low, high, slope float64 }

func newEdge(a, b r3.Vec) edge {
	if b.Y < a.Y {
		a, b = b, a
	}
	return edge{x: a.X, low: a.Y, high: b.Y, slope: (b.X - a.X) / (b.Y - a.Y)}
}

// rowSpan gives the interval in which the row at y cuts the triangle.
func rowSpan(y float64, edges *[3]edge) (left, right float64) {
	left, right = math.Inf(1), math.Inf(-1)
	for i := range edges {
		e := &edges[i]
		if e.low >= y || e.high < y {
			continue
		}
		x := e.x + float64((y-e.low)*e.slope)
		left, right = min(left, x), max(right, x)
	}
	return left, right
}

// sort brings the crossings into column order, lowest first within a column.
func (c *Columns) sort() {
	n := c.NX * c.NY
	c.start = resized(c.start, n+1)
	clear(c.start)
	for i := range c.unsorted {
		c.start[c.unsorted[i].column+1]++
	}
	for k := range n {
		c.start[k+1] += c.start[k]
	}
	c.crossings = resized(c.crossings, len(c.unsorted))
	for i := range c.unsorted { // start[k] is moved to the end of column k ...
		p := &c.unsorted[i]
		c.crossings[c.start[p.column]] = p.Crossing
		c.start[p.column]++
	}
	copy(c.start[1:], c.start[:n]) // ... and back
	c.start[0] = 0
	for k := range n {
		sortLine(c.crossings[c.start[k]:c.start[k+1]])
	}
}

// fewCrossings is the length up to which sorting by insertion is fastest.
const fewCrossings = 32

// sortLine orders the crossings of one line by height.
func sortLine(s []Crossing) {
	if len(s) > fewCrossings { // nested bodies by the thousand
		slices.SortStableFunc(s, func(a, b Crossing) int { return cmp.Compare(a.Z, b.Z) })
		return
	}
	for i := 1; i < len(s); i++ {
		for j := i; j > 0 && s[j].Z < s[j-1].Z; j-- {
			s[j], s[j-1] = s[j-1], s[j]
		}
	}
}

// resized gives a slice of length n, reusing the memory of s where it suffices.
func resized[T any](s []T, n int) []T {
	if cap(s) < n {
		return make([]T, n)
	}
	return s[:n]
}
