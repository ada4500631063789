package mesh

import (
	"cmp"
	"context"
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
	// Layers bounds how many crossings a line has in the mean: where faces lie over one
	// another by more, as in a heap of them, fewer lines are cast. 0 is no bound. It
	// is set before Fill.
	Layers int
	// Context ends a Fill, whose columns are then of no use; nil never does.
	Context context.Context

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
//
// Where very many faces lie over one another, as on a tray of small bodies seen from
// the side, fewer lines than asked for are cast, so that memory stays bounded: of
// twice as many that are asked for always some more. NX times NY says how many.
func (c *Columns) Fill(vertices []r3.Vec, facets [][3]int32, lo, hi r3.Vec, lines int) {
	bands, most := 1, mostCrossings
	if c.Layers > 0 {
		most = int(min(int64(most), int64(c.Layers)*int64(lines)))
	}
	if int64(lines)*int64(len(facets)) > int64(most) { // or else there cannot be more
		lines, bands = c.afford(vertices, facets, lo, hi, lines, most)
	}
	c.lay(lo, hi, lines)
	c.corners = resized(c.corners, len(vertices))
	for i := range vertices {
		v := &vertices[i]
		c.corners[i] = corner{int32(c.line(v.X, c.X0, c.DX, c.NX)), int32(c.line(v.Y, c.Y0, c.DY, c.NY))}
	}
	c.begin()
	for b := range bands {
		low, high := c.NY*b/bands, c.NY*(b+1)/bands
		c.castBand(vertices, facets, int32(low), int32(high))
		c.settle(low, high)
	}
}

// castBand casts the facets onto the rows from low to before high.
func (c *Columns) castBand(vertices []r3.Vec, facets [][3]int32, low, high int32) {
	c.unsorted = c.unsorted[:0]
	wait := pause{ctx: c.Context}
	for i := range facets {
		if c.Context != nil && wait.over() {
			return
		}
		f := &facets[i]
		p, q, r := c.corners[f[0]], c.corners[f[1]], c.corners[f[2]]
		first, last := max(min(p.j, q.j, r.j), low), min(max(p.j, q.j, r.j), high)
		if first >= last || p.i == q.i && q.i == r.i {
			continue // it lies between lines, as most do where facets are small
		}
		wait.left -= int(last - first)
		c.castRows(int32(i), &vertices[f[0]], &vertices[f[1]], &vertices[f[2]], int(first), int(last))
	}
}

// Crossings that could be many are counted before they are cast, and kept under
// mostCrossings, of 12 bytes each. They are cast and put in order in bands of rows,
// of bandCrossings or more, one after the other, so that little is set aside beside.
const (
	mostCrossings = 6 << 20
	bandCrossings = 1 << 20
)

// afford gives the number of lines to cast in place of many, so that they meet no more
// than most facets, and the number of bands, and makes room for what the lines will
// meet: as many crossings as the facets' shadows have cells.
func (c *Columns) afford(vertices []r3.Vec, facets [][3]int32, lo, hi r3.Vec, lines, most int) (affordable, bands int) {
	var shadow float64
	for i := range facets {
		p, q, r := &vertices[facets[i][0]], &vertices[facets[i][1]], &vertices[facets[i][2]]
		shadow += math.Abs((q.X-p.X)*(r.Y-p.Y) - (q.Y-p.Y)*(r.X-p.X))
	}
	area := max(hi.X-lo.X, 1e-9) * max(hi.Y-lo.Y, 1e-9)
	crossings := shadow / 2 / area * float64(lines)
	if half := float64(most) / 2; crossings > half {
		share := float64(most) / (crossings + half)
		lines, crossings = int(float64(lines)*share), crossings*share
	}
	if room := int(1.03*crossings) + 1000; room > cap(c.crossings) {
		c.crossings = nil // before, not while the new is there
		c.crossings = make([]Crossing, 0, room)
	}
	return lines, 1 + int(crossings)/bandCrossings
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

// begin empties the columns.
func (c *Columns) begin() {
	c.start = resized(c.start, c.NX*c.NY+1)
	clear(c.start)
	c.crossings = c.crossings[:0]
}

// settle brings the crossings cast onto the rows from low to before high into column
// order, lowest first within a column, behind those of the rows before.
func (c *Columns) settle(low, high int) {
	start := c.start[low*c.NX : high*c.NX+1]
	base, first := len(c.crossings), int32(low*c.NX)
	for i := range c.unsorted {
		start[c.unsorted[i].column-first+1]++
	}
	start[0] = int32(base)
	for k := 1; k < len(start); k++ {
		start[k] += start[k-1]
	}
	c.crossings = slices.Grow(c.crossings, len(c.unsorted))[:base+len(c.unsorted)]
	for i := range c.unsorted { // start[k] is moved to the end of column k ...
		p := &c.unsorted[i]
		at := &start[p.column-first]
		c.crossings[*at] = p.Crossing
		*at++
	}
	copy(start[1:], start[:len(start)-1]) // ... and back
	start[0] = int32(base)
	for k := range len(start) - 1 {
		sortLine(c.crossings[start[k]:start[k+1]])
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
