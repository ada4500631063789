package render

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/orient"
)

// sphereIndex finds the samples near a direction in about constant time. Each
// half of the sphere has a square grid over its disc of discs, which reaches over
// the rim as far as neighbours are looked for.
type sphereIndex struct {
	// reach is how far, as a chord of the unit sphere, a sample counts.
	reach float64
	// span is how far that is on the disc, at most, in units of its radius; cell
	// the side of a cell, side the number of cells along each side of a grid.
	span, cell float64
	side       int
	ups        []r3.Vec
	halves     [2]cellLists
}

// cellLists are the samples of each cell of a grid, cell after cell and row after
// row, so that a look-up runs through memory in order.
type cellLists struct {
	start []int32
	items []located
}

// located is sample of with its direction.
type located struct {
	x, y, z float64
	of      int32
}

// gridStretch is by how much the projection draws chords out, at the most, in
// units of the radius: 1 along the rim, with a little to spare.
const gridStretch = 1.1

// newSphereIndex takes samples spread more or less evenly, each with a direction.
func newSphereIndex(points []orient.MapPoint) *sphereIndex {
	n := float64(max(len(points), 1))
	const spacings = 1.5 // some seven samples count
	s := &sphereIndex{reach: min(spacings*math.Sqrt(4*math.Pi/n), 1), ups: make([]r3.Vec, len(points))}
	s.span = gridStretch * s.reach
	s.cell = s.span / 2
	s.side = int(2*gridHalf/s.cell) + 1
	for i := range points {
		s.ups[i] = r3.Unit(points[i].Up.Vec())
	}
	for h, sign := range [2]float64{1, -1} {
		s.halves[h] = s.file(sign)
	}
	return s
}

// gridHalf is half the side of a grid in units of the disc's radius: the disc
// with all that lies up to a chord of 1 beyond its rim.
const gridHalf = 1.4

// place gives the point of the plane of the half with the given sign where a
// direction falls, also beyond the rim, in units of the radius; false where that
// is too far out.
func (s *sphereIndex) place(v r3.Vec, sign float64) (x, y float64, ok bool) {
	z := sign * v.Z
	if z < -min(s.reach, 0.9) {
		return 0, 0, false
	}
	k := 1 / math.Sqrt(1+z)
	return k * v.X, k * v.Y, true
}

// cellAt gives the column or row of a coordinate.
func (s *sphereIndex) cellAt(x float64) int {
	return min(max(int((x+gridHalf)/s.cell), 0), s.side-1)
}

// file sorts the samples of one half into cells.
func (s *sphereIndex) file(sign float64) cellLists {
	c := cellLists{start: make([]int32, s.side*s.side+1)}
	of := make([]int32, len(s.ups))
	for i, v := range s.ups {
		of[i] = -1
		if x, y, ok := s.place(v, sign); ok {
			of[i] = int32(s.cellAt(y)*s.side + s.cellAt(x))
			c.start[of[i]+1]++
		}
	}
	for k := range s.side * s.side {
		c.start[k+1] += c.start[k]
	}
	c.items = make([]located, c.start[len(c.start)-1])
	next := append([]int32(nil), c.start...)
	for i, k := range of {
		if k >= 0 {
			c.items[next[k]] = located{s.ups[i].X, s.ups[i].Y, s.ups[i].Z, int32(i)}
			next[k]++
		}
	}
	return c
}

// blend gives the value at the unit direction v from the samples around it,
// and the index of the nearest. Samples within the reach R count by
// ((R^2 - d^2)/d^2)^2, so that each keeps its own value and none counts at the
// reach (after the modified Shepard weights of Franke and Nielson, Int. J. Numer.
// Meth. Eng. 15 (1980) 1691, from memory). Where the nearest is no finite number, or none is within reach, the
// value is that of the nearest; with no samples the index is -1.
func (s *sphereIndex) blend(v r3.Vec, values []float64) (value float64, nearest int32) {
	half := 0
	if v.Z < -onRim {
		half = 1
	}
	sign := float64(1 - 2*half)
	x, y, _ := s.place(v, sign)
	i0, i1 := s.cellAt(x-s.span), s.cellAt(x+s.span)
	j0, j1 := s.cellAt(y-s.span), s.cellAt(y+s.span)
	lists := &s.halves[half]
	nearest = -1
	closest, reach2 := s.reach*s.reach, s.reach*s.reach
	var sum, weights float64
	for j := j0; j <= j1; j++ {
		row := lists.items[lists.start[j*s.side+i0]:lists.start[j*s.side+i1+1]]
		for n := range row {
			k := &row[n]
			dx, dy, dz := k.x-v.X, k.y-v.Y, k.z-v.Z
			d2 := dx*dx + dy*dy + dz*dz
			if d2 >= reach2 {
				continue
			}
			if d2 < closest {
				closest, nearest = d2, k.of
			}
			if f := values[k.of]; math.Abs(f) <= math.MaxFloat64 {
				w := (reach2 - d2) / (d2 + tinyChord2)
				weights += w * w
				sum += w * w * f
			}
		}
	}
	if nearest < 0 {
		nearest = s.search(v)
	}
	if nearest < 0 || weights == 0 || math.IsInf(values[nearest], 0) {
		return valueAt(values, nearest), nearest
	}
	return sum / weights, nearest
}

// tinyChord2 keeps the weight finite on a sample.
const tinyChord2 = 1e-12

func valueAt(values []float64, i int32) float64 {
	if i < 0 {
		return math.NaN()
	}
	return values[i]
}

// search gives the nearest sample the long way: for samples so uneven that none
// is within reach.
func (s *sphereIndex) search(v r3.Vec) int32 {
	best, nearest := math.Inf(-1), int32(-1)
	for i, u := range s.ups {
		if c := r3.Dot(u, v); c > best {
			best, nearest = c, int32(i)
		}
	}
	return nearest
}
