package meshtest

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
)

// Ring turns a closed profile of (radius, z) corners, all off the axis, about the z
// axis in n steps: bushes, tubes, collars, funnels, flanged necks.
func Ring(profile Loop, n int) *mesh.Mesh {
	profile = profile.turning(true)
	rings := make([][]r3.Vec, 0, n)
	for s := range n {
		sin, cos := math.Sincos(2 * math.Pi * float64(s) / float64(n))
		ring := make([]r3.Vec, len(profile))
		for i, p := range profile {
			ring[i] = r3.Vec{X: p[0] * cos, Y: p[0] * sin, Z: p[1]}
		}
		rings = append(rings, ring)
	}
	return skin(rings, true)
}

// Loft joins flat rings of equally many corners, in order, and closes both ends:
// hexagon to round, square to round, tapered and leaning bars. Seen against
// the direction of travel the rings run counter-clockwise.
func Loft(rings ...[]r3.Vec) *mesh.Mesh {
	m := skin(rings, false)
	last := int32(len(m.Vertices) - len(rings[0]))
	for _, t := range fillFlat(rings[0]) {
		m.Facets = append(m.Facets, [3]int32{t[0], t[2], t[1]})
	}
	for _, t := range fillFlat(rings[len(rings)-1]) {
		m.Facets = append(m.Facets, [3]int32{last + t[0], last + t[1], last + t[2]})
	}
	return m
}

// skin joins each ring with the next, and the last with the first where round.
func skin(rings [][]r3.Vec, round bool) *mesh.Mesh {
	m := &mesh.Mesh{}
	n, joints := int32(len(rings[0])), len(rings)-1
	for _, r := range rings {
		m.Vertices = append(m.Vertices, r...)
	}
	if round {
		joints++
	}
	for k := range joints {
		low, high := int32(k)*n, int32((k+1)%len(rings))*n
		for i := range n {
			j := (i + 1) % n
			if round { // the rings lie in planes through the axis
				m.Facets = append(m.Facets, [3]int32{low + i, high + j, low + j}, [3]int32{low + i, high + i, high + j})
				continue
			}
			m.Facets = append(m.Facets, [3]int32{low + i, low + j, high + j}, [3]int32{low + i, high + j, high + i})
		}
	}
	return m
}

// fillFlat divides a flat ring in space into triangles.
func fillFlat(ring []r3.Vec) [][3]int32 {
	var normal r3.Vec
	for i, v := range ring {
		normal = r3.Add(normal, r3.Cross(v, ring[(i+1)%len(ring)]))
	}
	flat := mesh.RotationBetween(r3.Unit(normal), r3.Vec{Z: 1})
	l := make(Loop, len(ring))
	for i, v := range ring {
		p := flat.MulVec(v)
		l[i] = [2]float64{p.X, p.Y}
	}
	return fill([]Loop{l})
}

// Level gives the corners of a loop at height z, for Loft.
func Level(l Loop, z float64) []r3.Vec {
	l = l.turning(true)
	ring := make([]r3.Vec, len(l))
	for i, p := range l {
		ring[i] = r3.Vec{X: p[0], Y: p[1], Z: z}
	}
	return ring
}

// Hexagon gives the loop of n corners, six or a multiple of it, on a hexagon of the given width
// across flats, in step with those of Circle.
func Hexagon(across float64, n int) Loop {
	l := make(Loop, n)
	for i := range l {
		angle := 2 * math.Pi * float64(i) / float64(n)
		fromFlat := math.Mod(angle, math.Pi/3) - math.Pi/6
		r := across / 2 / math.Cos(fromFlat)
		l[i] = [2]float64{r * math.Cos(angle), r * math.Sin(angle)}
	}
	return l
}

// Bent gives a round bar of n corners around, along a path in the x-z plane.
func Bent(path Loop, radius float64, n int) *mesh.Mesh {
	return Loft(along(path, radius, n)...)
}

// BentTube gives a tube along a path in the x-z plane; the ends are open.
func BentTube(path Loop, outer, inner float64, n int) *mesh.Mesh {
	out, in := along(path, outer, n), along(path, inner, n)
	m, bore := skin(out, false), skin(in, false)
	for i, f := range bore.Facets {
		bore.Facets[i] = [3]int32{f[0], f[2], f[1]}
	}
	first := int32(len(m.Vertices))
	m.Append(bore)
	last := first - int32(n)
	for i := range int32(n) {
		j := (i + 1) % int32(n)
		m.Facets = append(m.Facets,
			[3]int32{i, first + j, j}, [3]int32{i, first + i, first + j},
			[3]int32{last + i, last + j, first + last + j}, [3]int32{last + i, first + last + j, first + last + i})
	}
	return m
}

// along gives rings across a path in the x-z plane, halving the angle at each bend.
func along(path Loop, radius float64, n int) [][]r3.Vec {
	rings := make([][]r3.Vec, len(path))
	for k, p := range path {
		before, after := path[max(k-1, 0)], path[min(k+1, len(path)-1)]
		dx, dz := after[0]-before[0], after[1]-before[1]
		d := math.Hypot(dx, dz)
		across := r3.Vec{X: dz / d, Z: -dx / d} // with y and the direction of travel a right-handed frame
		for i := range n {
			sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(n))
			v := r3.Add(r3.Vec{X: p[0], Z: p[1]}, r3.Scale(radius*cos, across))
			v.Y += radius * sin
			rings[k] = append(rings[k], v)
		}
	}
	return rings
}
