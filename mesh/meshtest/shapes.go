// Package meshtest builds closed meshes of exactly known shapes for tests.
package meshtest

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
)

// Block gives a box with one corner at the origin, mm.
func Block(x, y, z float64) *mesh.Mesh {
	return Blocks([]float64{0, x}, []float64{0, y}, []float64{0, z}, func(i, j, k int) bool { return true })
}

// Blocks gives the union of the cells of a rectilinear lattice that solid
// chooses; cell (i, j, k) reaches from xs[i] to xs[i+1] and so on. Tables,
// channels, bridges and cavities are made of a few cells. The surface is closed;
// cells that touch along an edge only give a surface that meets itself there.
func Blocks(xs, ys, zs []float64, solid func(i, j, k int) bool) *mesh.Mesh {
	b := builder{index: map[[3]int]int32{}, m: &mesh.Mesh{}}
	inside := func(c [3]int) bool {
		n := [3]int{len(xs) - 1, len(ys) - 1, len(zs) - 1}
		for a := range c {
			if c[a] < 0 || c[a] >= n[a] {
				return false
			}
		}
		return solid(c[0], c[1], c[2])
	}
	for i := range len(xs) - 1 {
		for j := range len(ys) - 1 {
			for k := range len(zs) - 1 {
				if c := [3]int{i, j, k}; inside(c) {
					b.walls(c, inside, [3][]float64{xs, ys, zs})
				}
			}
		}
	}
	return b.m
}

type builder struct {
	index map[[3]int]int32
	m     *mesh.Mesh
}

// walls adds the faces of cell c that no solid cell covers.
func (b *builder) walls(c [3]int, inside func([3]int) bool, at [3][]float64) {
	for axis := range 3 {
		u, v := (axis+1)%3, (axis+2)%3
		for side := range 2 {
			next := c
			next[axis] += 2*side - 1
			if inside(next) {
				continue
			}
			var q [4]int32
			for n, d := range [4][2]int{{0, 0}, {1, 0}, {1, 1}, {0, 1}} {
				p := c
				p[axis] += side
				p[u] += d[0]
				p[v] += d[1]
				q[n] = b.vertex(p, at)
			}
			if side == 0 {
				q[1], q[3] = q[3], q[1]
			}
			b.m.Facets = append(b.m.Facets, [3]int32{q[0], q[1], q[2]}, [3]int32{q[0], q[2], q[3]})
		}
	}
}

func (b *builder) vertex(p [3]int, at [3][]float64) int32 {
	if i, ok := b.index[p]; ok {
		return i
	}
	i := int32(len(b.m.Vertices))
	b.index[p] = i
	b.m.Vertices = append(b.m.Vertices, r3.Vec{X: at[0][p[0]], Y: at[1][p[1]], Z: at[2][p[2]]})
	return i
}

// Lathe turns a profile of (radius, z) points about the z axis in n steps; the
// profile runs upward along the outside and is closed over the axis, where it
// must begin and end with radius 0.
func Lathe(profile [][2]float64, n int) *mesh.Mesh {
	m := &mesh.Mesh{}
	rings := make([][]int32, len(profile))
	for r, p := range profile {
		steps := n
		if p[0] == 0 {
			steps = 1
		}
		for s := range steps {
			sin, cos := math.Sincos(2 * math.Pi * float64(s) / float64(n))
			rings[r] = append(rings[r], int32(len(m.Vertices)))
			m.Vertices = append(m.Vertices, r3.Vec{X: p[0] * cos, Y: p[0] * sin, Z: p[1]})
		}
	}
	for r := range len(rings) - 1 {
		for s := range n {
			addStrip(m, rings[r], rings[r+1], s)
		}
	}
	return m
}

// addStrip joins step s of two rings, either of which may be a single point.
func addStrip(m *mesh.Mesh, low, high []int32, s int) {
	at := func(ring []int32, k int) int32 { return ring[k%len(ring)] }
	a, b, c, d := at(low, s), at(low, s+1), at(high, s+1), at(high, s)
	if a != b {
		m.Facets = append(m.Facets, [3]int32{a, b, c})
	}
	if c != d {
		m.Facets = append(m.Facets, [3]int32{a, c, d})
	}
}

// Cylinder gives an upright cylinder standing on z = 0.
func Cylinder(radius, height float64, n int) *mesh.Mesh {
	return Lathe([][2]float64{{0, 0}, {radius, 0}, {radius, height}, {0, height}}, n)
}

// Cone gives a cone with its base on z = 0 and its tip at height.
func Cone(radius, height float64, n int) *mesh.Mesh {
	return Lathe([][2]float64{{0, 0}, {radius, 0}, {0, height}}, n)
}

// Sphere gives a sphere about the origin, of n slices and n/2 bands.
func Sphere(radius float64, n int) *mesh.Mesh {
	bands := n / 2
	profile := make([][2]float64, bands+1)
	for i := range profile {
		sin, cos := math.Sincos(math.Pi * float64(i) / float64(bands))
		profile[i] = [2]float64{radius * sin, -radius * cos}
	}
	profile[0][0], profile[bands][0] = 0, 0
	return Lathe(profile, n)
}

// Torus gives a torus about the z axis and the origin, of n by n quads.
func Torus(major, minor float64, n int) *mesh.Mesh {
	m := &mesh.Mesh{}
	for i := range n {
		sa, ca := math.Sincos(2 * math.Pi * float64(i) / float64(n))
		for j := range n {
			sb, cb := math.Sincos(2 * math.Pi * float64(j) / float64(n))
			r := major + minor*cb
			m.Vertices = append(m.Vertices, r3.Vec{X: r * ca, Y: r * sa, Z: minor * sb})
		}
	}
	at := func(i, j int) int32 { return int32((i%n)*n + j%n) }
	for i := range n {
		for j := range n {
			a, b, c, d := at(i, j), at(i+1, j), at(i+1, j+1), at(i, j+1)
			m.Facets = append(m.Facets, [3]int32{a, b, c}, [3]int32{a, c, d})
		}
	}
	return m
}
