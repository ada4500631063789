package mesh

import (
	"cmp"
	"context"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// overlapLines is the number of vertical lines along which a surface is searched
// for places that are solid twice over or less than empty. Where a surface runs
// through itself in a place narrower than a hundredth of the part, that may stay
// unseen; bodies that run through each other are looked at by themselves.
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
	// blind says that no lines were cast: there is too much for them to meet.
	blind bool
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
	var o overlap
	box := m.Bounds()
	// Uneven margins keep the lines out of the planes in which symmetric parts
	// have their edges: a line along an edge says nothing.
	size := box.Size()
	low := r3.Sub(box.Min, r3.Scale(0.00713, size))
	high := r3.Add(box.Max, r3.Scale(0.01129, size))
	lines := affordableLines(m, low, high)
	if o.blind = lines < leastLines; o.blind {
		return o
	}
	o.cast(m.Vertices, m.Facets, low, high, lines, overlapSkin*box.Diagonal())
	return o
}

// cast follows so many lines over the rectangle from low to high.
func (o *overlap) cast(vertices []r3.Vec, facets [][3]int32, low, high r3.Vec, lines int, skin float64) {
	var c Columns
	c.Fill(vertices, facets, low, high, lines)
	for j := range c.NY {
		for i := range c.NX {
			x, y := c.Center(i, j)
			o.follow(c.At(i, j), r3.Vec{X: x, Y: y}, skin, c.CellArea())
		}
	}
}

// Bounds on looking at bodies two by two: lines for each pair, facets and lines of
// all pairs together, and pairs whose boxes are compared.
const (
	pairLines    = 1 << 10
	maxPairFacet = 20_000_000
	maxPairBoxes = 200_000_000
	linesAFacet  = 8 // that take as long to cast as a facet
)

// runThrough reports whether two bodies run through each other, however little of
// the part that is, looking where their boxes overlap. It leaves pairs of which one
// lies within the other, and gives up where there are very many: then crowded is true.
func (s *shellSurvey) runThrough(ctx context.Context) (found, crowded bool, err error) {
	order, axis := s.closedInOrder()
	facets := s.facetsOf(order)
	skin := overlapSkin * s.mesh.Bounds().Diagonal()
	looked, compared := 0, 0
	wait := pause{ctx: ctx}
	for i, a := range order {
		end := component(s.list[a].box.Max, axis) - skin
		for j := i + 1; j < len(order) && component(s.list[order[j]].box.Min, axis) < end; j++ {
			if wait.over() {
				return false, false, ctx.Err()
			}
			if compared++; compared > maxPairBoxes {
				return false, true, nil
			}
			b := order[j]
			common := s.list[a].box.common(&s.list[b].box)
			if size := common.Size(); min(size.X, size.Y, size.Z) <= skin || s.oneWithin(a, b) {
				continue
			}
			work := len(facets[i]) + len(facets[j]) + pairLines/linesAFacet
			if looked += work; looked > maxPairFacet {
				return false, true, nil
			}
			wait.left -= stepsAFacet * work
			if s.pairRuns(facets[i], facets[j], common, skin) {
				return true, false, nil
			}
		}
	}
	return false, false, ctx.Err()
}

// stepsAFacet is how many steps of a loop casting a facet takes.
const stepsAFacet = 16

// closedInOrder lists the closed shells by where they begin along the axis along which
// the fewest overlap: along others, as across a bundle of needles, all may.
func (s *shellSurvey) closedInOrder() (out []int32, axis int) {
	least := -1
	for a := range axes {
		order := s.containers()
		slices.SortStableFunc(order, func(p, q int32) int {
			return cmp.Compare(component(s.list[p].box.Min, a), component(s.list[q].box.Min, a))
		})
		overlaps := 0
		for i, q := range order {
			end := component(s.list[q].box.Max, a)
			begun, _ := slices.BinarySearchFunc(order, end, func(o int32, end float64) int {
				return cmp.Compare(component(s.list[o].box.Min, a), end)
			})
			overlaps += begun - i
		}
		if least < 0 || overlaps < least {
			least, out, axis = overlaps, order, a
		}
	}
	return out, axis
}

// oneWithin reports whether one of two shells lies within the other.
func (s *shellSurvey) oneWithin(a, b int32) bool {
	return slices.Contains(s.list[a].within, b) || slices.Contains(s.list[b].within, a)
}

// pairRuns reports whether lines through what the boxes of two bodies have in
// common find a place that is inside of both.
func (s *shellSurvey) pairRuns(f, g []int32, common Box, skin float64) bool {
	var vertices []r3.Vec
	var facets [][3]int32
	for _, list := range [2][]int32{f, g} {
		for _, i := range list {
			a, b, c := s.mesh.Corners(int(i))
			n := int32(len(vertices))
			vertices, facets = append(vertices, a, b, c), append(facets, [3]int32{n, n + 1, n + 2})
		}
	}
	var o overlap
	size := common.Size()
	o.cast(vertices, facets, r3.Sub(common.Min, r3.Scale(0.00713, size)), r3.Add(common.Max, r3.Scale(0.01129, size)), pairLines, skin)
	return o.twice.volume > 0
}

// common gives what two boxes have in common; its size is negative where that is
// nothing.
func (b *Box) common(c *Box) Box {
	return Box{
		Min: r3.Vec{X: max(b.Min.X, c.Min.X), Y: max(b.Min.Y, c.Min.Y), Z: max(b.Min.Z, c.Min.Z)},
		Max: r3.Vec{X: min(b.Max.X, c.Max.X), Y: min(b.Max.Y, c.Max.Y), Z: min(b.Max.Z, c.Max.Z)},
	}
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
