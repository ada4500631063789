package render

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// discs lays the sphere of directions out as two discs side by side, pixels: the
// upper half (z >= 0) left, the lower right, each by Lambert's azimuthal
// equal-area projection about its pole, as pole figures in materials science are
// drawn (Lambert, Beytraege zum Gebrauche der Mathematik, part 3, 1772; Snyder,
// Map Projections: A Working Manual, USGS Professional Paper 1395 (1987), ch. 24;
// both from memory). On both discs X points right and Y up, so that a direction
// that passes over the rim comes out on the other disc at the same angle.
type discs struct {
	left, right spot // the middles
	radius      float64
}

// onRim lets directions on the equator, but for rounding, count as upper.
const onRim = 1e-9

// at gives where a unit direction falls. In units of the radius a direction at
// the angle c from the pole lies sqrt(2) sin(c/2) = sqrt(1 - |z|) from the middle.
func (d *discs) at(v r3.Vec) spot {
	c := d.left
	if v.Z < -onRim {
		c = d.right
	}
	k := d.radius / math.Sqrt(1+math.Abs(v.Z)) // sqrt(1-|z|) over the sine of c
	return spot{x: c.x + k*v.X, y: c.y - k*v.Y}
}

// under gives the direction that falls on the point x, y; false outside the discs.
func (d *discs) under(x, y float64) (r3.Vec, bool) {
	for i, c := range [2]spot{d.left, d.right} {
		u, v := (x-c.x)/d.radius, (c.y-y)/d.radius
		q := u*u + v*v
		if q > 1 {
			continue
		}
		k := math.Sqrt(2 - q)
		z := 1 - q
		if i == 1 {
			z = -z
		}
		return r3.Vec{X: k * u, Y: k * v, Z: z}, true
	}
	return r3.Vec{}, false
}
