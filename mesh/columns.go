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
	counts    []int32
	crossings []Crossing
	spare     []Crossing
	unsorted  []placed
	corners   []corner // of the vertices
}

// corner is the first line of the grid at or beyond a vertex, each way.
type corner struct{ i, j int32 }

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
	return lineAt(i, c.X0, c.DX), lineAt(j, c.Y0, c.DY)
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
	c.corners = resized(c.corners, len(vertices))
	for i := range vertices {
		v := &vertices[i]
		c.corners[i] = corner{int32(c.line(v.X, c.X0, c.DX, c.NX)), int32(c.line(v.Y, c.Y0, c.DY, c.NY))}
	}
	c.unsorted = c.unsorted[:0]
	for i := range facets {
		f := &facets[i]
		p, q, r := c.corners[f[0]], c.corners[f[1]], c.corners[f[2]]
		first, last := min(p.j, q.j, r.j), max(p.j, q.j, r.j)
		if first == last || p.i == q.i && q.i == r.i {
			continue // it lies between lines, as most do where facets are small
		}
		c.castRows(int32(i), &vertices[f[0]], &vertices[f[1]], &vertices[f[2]], int(first), int(last))
	}
	c.sort()
}

// Overturn makes the columns those of the mesh turned over: by half a turn about
// the x axis, then raised so that what was at the height top lies at 0. That is
// exact, and takes far less than filling anew.
func (c *Columns) Overturn(top float64) {
	c.spare = resized(c.spare, len(c.crossings))[:0]
	for j := c.NY - 1; j >= 0; j-- {
		for i := range c.NX {
			line := c.At(i, j)
			for k := len(line) - 1; k >= 0; k-- {
				x := line[k]
				c.spare = append(c.spare, Crossing{Z: float32(top - float64(x.Z)), Facet: x.Facet, Up: !x.Up})
			}
		}
	}
	// Row j becomes row NY-1-j, and each line keeps its number of crossings.
	c.flipRows()
	c.crossings, c.spare = c.spare, c.crossings
	c.Y0 = -(c.Y0 + float64(c.NY)*c.DY)
}

// flipRows puts the counts behind start in the order of the rows turned over.
func (c *Columns) flipRows() {
	c.counts = c.counts[:0]
	for j := c.NY - 1; j >= 0; j-- {
		for k := j * c.NX; k < (j+1)*c.NX; k++ {
			c.counts = append(c.counts, c.start[k+1]-c.start[k])
		}
	}
	for k, n := range c.counts {
		c.start[k+1] = c.start[k] + n
	}
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
	c.castRows(facet, &p, &q, &r, first, last)
}

// castRows is cast for a facet known to meet the rows from first to before last:
// those at or above its lowest corner and below its highest.
func (c *Columns) castRows(facet int32, p, q, r *r3.Vec, first, last int) {
	nz := (q.X-p.X)*(r.Y-p.Y) - (q.Y-p.Y)*(r.X-p.X)
	if nz == 0 {
		return
	}
	var plane plane
	bottom, middle, top := byY(p, q, r)
	// One side of the cut runs along bottom-top, the other along the two others.
	long, short, upper := newEdge(bottom, top), newEdge(bottom, middle), false
	for j := first; j < last; j++ {
		y := lineAt(j, c.Y0, c.DY)
		if !upper && y >= middle.Y {
			short, upper = newEdge(middle, top), true
		}
		left, right := long.at(y), short.at(y)
		if left > right {
			left, right = right, left
		}
		i := c.line(left, c.X0, c.DX, c.NX)
		for x := lineAt(i, c.X0, c.DX); i < c.NX && x < right; x = lineAt(i, c.X0, c.DX) {
			if !plane.known {
				plane = newPlane(p, q, r, nz)
			}
			c.unsorted = append(c.unsorted, placed{
				column:   int32(j*c.NX + i),
				Crossing: Crossing{Z: plane.at(x, y), Facet: facet, Up: nz > 0},
			})
			i++
		}
	}
}

// byY gives three corners in the order of y.
func byY(a, b, c *r3.Vec) (bottom, middle, top *r3.Vec) {
	if b.Y < a.Y {
		a, b = b, a
	}
	if c.Y < b.Y {
		b, c = c, b
		if b.Y < a.Y {
			a, b = b, a
		}
	}
	return a, b, c
}

// plane gives the height of a facet. Steep facets make its slope huge: the height
// stays between low and high.
type plane struct {
	x, y, z, slopeX, slopeY, low, high float64
	known                              bool
}

func newPlane(p, q, r *r3.Vec, nz float64) plane {
	nx := (q.Y-p.Y)*(r.Z-p.Z) - (q.Z-p.Z)*(r.Y-p.Y)
	ny := (q.Z-p.Z)*(r.X-p.X) - (q.X-p.X)*(r.Z-p.Z)
	return plane{
		x: p.X, y: p.Y, z: p.Z, slopeX: -nx / nz, slopeY: -ny / nz,
		low: min(p.Z, q.Z, r.Z), high: max(p.Z, q.Z, r.Z), known: true,
	}
}

func (p *plane) at(x, y float64) float32 {
	return float32(min(max(p.z+p.slopeY*(y-p.y)+p.slopeX*(x-p.x), p.low), p.high))
}

// lineAt gives the place of grid line k. The conversion keeps the product from
// being fused with the sum on some processors only.
func lineAt(k int, origin, step float64) float64 { return origin + float64((float64(k)+0.5)*step) }

// line gives the index of the first grid line at or beyond v, within 0..n. It
// depends on v alone, so that two facets agree about the edge they share, and
// agrees with lineAt to the last bit.
func (c *Columns) line(v, origin, step float64, n int) int {
	x := (v-origin)/step + 0.5
	if !(x > 0) {
		return 0
	}
	k := n
	if x < float64(n) {
		k = int(x)
		const sure = 1e-9 // so far from a line rounding decides nothing
		if f := x - float64(k); f > sure && f < 1-sure {
			return k
		}
	}
	for k > 0 && lineAt(k-1, origin, step) >= v {
		k--
	}
	for k < n && lineAt(k, origin, step) < v {
		k++
	}
	return k
}

// edge is one side of a facet in the xy plane, from x at the level low up to
// upper: the same numbers whichever way round the facet gives it.
type edge struct{ x, upper, low, slope float64 }

func newEdge(a, b *r3.Vec) edge {
	return edge{x: a.X, upper: b.X, low: a.Y, slope: (b.X - a.X) / (b.Y - a.Y)}
}

// at gives where the edge is at the level y: between its ends, whatever the
// rounding, so that a facet between two lines meets neither. It is called a great
// deal; min and max are slower, since they mind what is no number.
func (e *edge) at(y float64) float64 {
	x := e.x + float64((y-e.low)*e.slope)
	lo, hi := e.x, e.upper
	if lo > hi {
		lo, hi = hi, lo
	}
	if x < lo {
		return lo
	}
	if x > hi {
		return hi
	}
	return x
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
