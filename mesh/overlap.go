package mesh

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// overlapLines is the number of vertical lines along which a surface is searched
// for places that are solid twice over or less than empty. What is narrower than
// a hundredth of the part may stay unseen.
const overlapLines = 1 << 14

// overlapSkin is the least depth that counts, as a part of the diagonal: surfaces
// that touch are not found crossing for a rounding error.
const overlapSkin = 1e-4

// A crowd of facets that each cover the whole part would meet every line, and
// ordering what one line meets takes time with the square: then fewer lines are
// taken, or none.
const (
	maxOrdering = 1e9
	leastLines  = 256
)

// affordableLines gives the number of lines over the rectangle from low to high.
func affordableLines(m *Mesh, low, high r3.Vec) int {
	var seen float64 // area of the facets seen along Z
	for i := range m.Facets {
		seen += math.Abs(m.AreaVector(i).Z)
	}
	layers := seen / ((high.X - low.X) * (high.Y - low.Y)) // met by a line, in the mean
	return int(min(overlapLines, maxOrdering/max(layers*layers, 1)))
}

// overlap is what a closed surface encloses more than once, or the wrong way
// round: estimates from a grid of lines, mm3.
type overlap struct {
	twice, reversed region
	// once is what is inside at all, however often; every is the same counted as
	// often as it is inside: the volume that the facets give.
	once, every float64
}

type region struct {
	volume  float64
	deepest float64 // the longest stretch of a line in it, mm
	at      r3.Vec  // its middle
}

func (r *region) add(height, area float64, at r3.Vec) {
	r.volume += height * area
	if height > r.deepest {
		r.deepest, r.at = height, at
	}
}

// findOverlap follows vertical lines through a closed mesh, counting how many
// times over each stretch is inside.
func findOverlap(m *Mesh) overlap {
	var c Columns
	var o overlap
	box := m.Bounds()
	// Uneven margins keep the lines out of the planes in which symmetric parts
	// have their edges: a line along an edge says nothing.
	size := box.Size()
	low := r3.Sub(box.Min, r3.Scale(0.00713, size))
	high := r3.Add(box.Max, r3.Scale(0.01129, size))
	lines := affordableLines(m, low, high)
	if lines < leastLines {
		return o
	}
	c.Fill(m.Vertices, m.Facets, low, high, lines)
	skin := overlapSkin * box.Diagonal()
	for j := range c.NY {
		for i := range c.NX {
			x, y := c.Center(i, j)
			o.follow(c.At(i, j), r3.Vec{X: x, Y: y}, skin, c.CellArea())
		}
	}
	return o
}

// follow adds what one line finds. A line that does not leave as often as it
// enters has met the surface edge on, and says nothing.
func (o *overlap) follow(line []Crossing, at r3.Vec, skin, area float64) {
	depth := 0
	for _, c := range line {
		depth += entering(c)
	}
	if depth != 0 {
		return
	}
	for k := range len(line) - 1 {
		depth += entering(line[k])
		height := float64(line[k+1].Z - line[k].Z)
		o.every += float64(depth) * height * area
		if depth > 0 {
			o.once += height * area
		}
		if height < skin {
			continue
		}
		at.Z = float64(line[k].Z) + height/2
		switch {
		case depth > 1:
			o.twice.add(height, area, at)
		case depth < 0:
			o.reversed.add(height, area, at)
		}
	}
}

// entering is 1 where a line going up enters the solid and -1 where it leaves.
func entering(c Crossing) int {
	if c.Up {
		return -1
	}
	return 1
}
