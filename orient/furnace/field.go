package furnace

import (
	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
)

// Field is the displacement of the part while it is soft, in the furnace frame.
// It is read-only and safe for concurrent use.
type Field struct {
	lattice mesh.Lattice
	order   [3]int // the lattice axis behind each axis of where and nodes
	where   *brickMap
	nodes   [][corners]int32
	moved   []r3.Vec // by node
}

// At gives the displacement at p, mm, by trilinear interpolation in the brick
// around p. Where p lies just outside the solid bricks, as points of the
// surface may, the nearest point of the nearest brick answers; more than a brick
// away from the part the answer is zero.
func (f *Field) At(p r3.Vec) r3.Vec {
	q := r3.Sub(p, f.lattice.Origin)
	u := [3]float64{q.X / f.lattice.Pitch.X, q.Y / f.lattice.Pitch.Y, q.Z / f.lattice.Pitch.Z}
	var at [3]float64 // along the axes of where
	var cell [3]int
	for a, o := range f.order {
		at[a] = u[o]
		cell[a] = int(min(max(u[o], -1), float64(f.lattice.N[o])))
	}
	if b := f.where.at(cell[0], cell[1], cell[2]); b >= 0 {
		return f.within(b, cell, at)
	}
	const near = 1 + 1e-9 // bricks away, squared
	best, least := int32(-1), near
	var nearest [3]int
	for n := range 27 {
		c := [3]int{cell[0] + n%3 - 1, cell[1] + n/3%3 - 1, cell[2] + n/9 - 1}
		b := f.where.at(c[0], c[1], c[2])
		if d := outside(at, c); b >= 0 && d < least {
			best, least, nearest = b, d, c
		}
	}
	if best < 0 {
		return r3.Vec{}
	}
	return f.within(best, nearest, at)
}

// outside gives the squared distance of a point from a brick, in bricks.
func outside(at [3]float64, cell [3]int) (d float64) {
	for a, v := range at {
		low := float64(cell[a])
		gap := max(low-v, v-low-1, 0)
		d += gap * gap
	}
	return d
}

// within interpolates in a brick at the point of it that is nearest.
func (f *Field) within(brick int32, cell [3]int, at [3]float64) (sum r3.Vec) {
	var part [3]float64
	for a, v := range at {
		part[a] = min(max(v-float64(cell[a]), 0), 1)
	}
	for n, node := range f.nodes[brick] {
		w := 1.0
		for a := range 3 {
			if n>>a&1 == 1 {
				w *= part[a]
			} else {
				w *= 1 - part[a]
			}
		}
		sum = r3.Add(sum, r3.Scale(w, f.moved[node]))
	}
	return sum
}
