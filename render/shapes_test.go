package render

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
	"kilnpoise/orient"
)

// blocks gives the closed surface of the filled bricks of an uneven grid, its
// vertices shared.
func blocks(xs, ys, zs []float64, filled func(i, j, k int) bool) *mesh.Mesh {
	m := &mesh.Mesh{}
	index := map[[3]int]int32{}
	vertex := func(i, j, k int) int32 {
		key := [3]int{i, j, k}
		if v, ok := index[key]; ok {
			return v
		}
		v := int32(len(m.Vertices))
		index[key] = v
		m.Vertices = append(m.Vertices, r3.Vec{X: xs[i], Y: ys[j], Z: zs[k]})
		return v
	}
	within := func(i int, grid []float64) bool { return i >= 0 && i < len(grid)-1 }
	in := func(i, j, k int) bool {
		return within(i, xs) && within(j, ys) && within(k, zs) && filled(i, j, k)
	}
	brick := func(i, j, k int) {
		for _, s := range brickSides() {
			if in(i+s.to[0], j+s.to[1], k+s.to[2]) {
				continue
			}
			var v [4]int32
			for n, c := range s.corners {
				v[n] = vertex(i+c[0], j+c[1], k+c[2])
			}
			m.Facets = append(m.Facets, [3]int32{v[0], v[1], v[2]}, [3]int32{v[0], v[2], v[3]})
		}
	}
	for i := range len(xs) - 1 {
		for j := range len(ys) - 1 {
			for k := range len(zs) - 1 {
				if filled(i, j, k) {
					brick(i, j, k)
				}
			}
		}
	}
	return m
}

// brickSide is one side of a brick: the neighbour, and the corners seen from
// outside.
type brickSide struct {
	to      [3]int
	corners [4][3]int
}

func brickSides() []brickSide {
	return []brickSide{
		{[3]int{-1, 0, 0}, [4][3]int{{0, 0, 0}, {0, 0, 1}, {0, 1, 1}, {0, 1, 0}}},
		{[3]int{1, 0, 0}, [4][3]int{{1, 0, 0}, {1, 1, 0}, {1, 1, 1}, {1, 0, 1}}},
		{[3]int{0, -1, 0}, [4][3]int{{0, 0, 0}, {1, 0, 0}, {1, 0, 1}, {0, 0, 1}}},
		{[3]int{0, 1, 0}, [4][3]int{{0, 1, 0}, {0, 1, 1}, {1, 1, 1}, {1, 1, 0}}},
		{[3]int{0, 0, -1}, [4][3]int{{0, 0, 0}, {0, 1, 0}, {1, 1, 0}, {1, 0, 0}}},
		{[3]int{0, 0, 1}, [4][3]int{{0, 0, 1}, {1, 0, 1}, {1, 1, 1}, {0, 1, 1}}},
	}
}

// box is a block standing on z = 0, centred in x and y.
func box(x, y, z float64) *mesh.Mesh {
	return blocks([]float64{-x / 2, x / 2}, []float64{-y / 2, y / 2}, []float64{0, z}, func(int, int, int) bool { return true })
}

// table is a top of 40 x 30 x 4 on four legs 6 x 6, 20 high in all.
func table() *mesh.Mesh {
	return blocks([]float64{-20, -14, 14, 20}, []float64{-15, -9, 9, 15}, []float64{0, 16, 20},
		func(i, j, k int) bool { return k == 1 || i != 1 && j != 1 })
}

// lathe turns a closed profile (x = radius, y = height, counter-clockwise) about
// Z in n steps. Points with no radius lie on the axis.
func lathe(profile []r2.Vec, n int) *mesh.Mesh {
	m := &mesh.Mesh{}
	rows := make([][]int32, len(profile))
	for p, v := range profile {
		steps := n
		if v.X == 0 {
			steps = 1
		}
		for k := range steps {
			s, c := math.Sincos(2 * math.Pi * float64(k) / float64(n))
			rows[p] = append(rows[p], int32(len(m.Vertices)))
			m.Vertices = append(m.Vertices, r3.Vec{X: v.X * c, Y: v.X * s, Z: v.Y})
		}
	}
	for p := range profile {
		q := (p + 1) % len(profile)
		for k := range n {
			a, b := rows[p][k%len(rows[p])], rows[p][(k+1)%len(rows[p])]
			d, c := rows[q][k%len(rows[q])], rows[q][(k+1)%len(rows[q])]
			if a != b {
				m.Facets = append(m.Facets, [3]int32{a, b, c})
			}
			if c != d && (a != d) {
				m.Facets = append(m.Facets, [3]int32{a, c, d})
			}
		}
	}
	return m
}

// tube is a pipe with a flange at the top: outer radius 10, bore 6, flange 18.
func tube(n int) *mesh.Mesh {
	return lathe([]r2.Vec{{X: 6, Y: 0}, {X: 10, Y: 0}, {X: 10, Y: 24}, {X: 18, Y: 28}, {X: 18, Y: 33}, {X: 6, Y: 33}}, n)
}

// ball is a sphere of radius r resting on z = 0, about 2 n n facets.
func ball(r float64, n int) *mesh.Mesh {
	var profile []r2.Vec
	for i := 0; i <= n; i++ {
		s, c := math.Sincos(math.Pi * float64(i) / float64(n))
		if i == 0 || i == n {
			s = 0
		}
		profile = append(profile, r2.Vec{X: r * s, Y: r - r*c})
	}
	return lathe(profile, n)
}

// torus lies flat, ring radius R, about 2 n n facets.
func torus(ring, r float64, n int) *mesh.Mesh {
	var profile []r2.Vec
	for i := range n {
		s, c := math.Sincos(2 * math.Pi * float64(i) / float64(n))
		profile = append(profile, r2.Vec{X: ring + r*c, Y: r + r*s})
	}
	return lathe(profile, n)
}

// scaled is m with its axes multiplied.
func scaled(m *mesh.Mesh, x, y, z float64) *mesh.Mesh {
	return m.Transform(mesh.Diagonal(r3.Vec{X: x, Y: y, Z: z}), r3.Vec{})
}

// detailOf makes by hand what the engine would tell of a small part that stands
// as it is: overhang below 45 degrees, columns of 1 mm by brute force, and a sag
// that grows with the square of the distance from the middle.
func detailOf(m *mesh.Mesh) *orient.Detail {
	green := scaled(m, 1/0.84, 1/0.84, 1/0.80)
	d := &orient.Detail{
		Green: green, Sintered: m,
		Overhang: make([]bool, len(m.Facets)), Contact: make([]bool, len(m.Facets)),
		CenterOfMass: green.Solid().Centroid,
		Sag:          make([]float64, len(m.Vertices)),
	}
	var touch []r2.Vec
	for i := range green.Facets {
		a, b, c := green.Corners(i)
		n := r3.Unit(green.AreaVector(i))
		low := max(a.Z, b.Z, c.Z) <= 0.05
		d.Contact[i] = low && n.Z < -0.7
		d.Overhang[i] = !low && -n.Z > math.Cos(math.Pi/4)+1e-9
		for _, p := range []r3.Vec{a, b, c} {
			if p.Z <= 0.05 {
				touch = append(touch, r2.Vec{X: p.X, Y: p.Y})
			}
		}
	}
	d.Footprint = hullOf(touch)
	d.Supports = columnsUnder(green, d.Overhang, 1)
	most, high := -1.0, max(m.Bounds().Size().Z, 1)
	for i, v := range m.Vertices {
		d.Sag[i] = 0.002 * (v.X*v.X + v.Y*v.Y) * v.Z / high
		if d.Sag[i] > most {
			most, d.SagAt = d.Sag[i], v
		}
	}
	return d
}

// columnsUnder drops a column of the given side from each overhang point of a
// grid onto what lies below it.
func columnsUnder(m *mesh.Mesh, overhang []bool, side float64) []orient.Post {
	type hit struct {
		z    float64
		over bool
	}
	columns := map[cell][]hit{}
	for i := range m.Facets {
		a, b, c := m.Corners(i)
		n := m.AreaVector(i)
		if n.Z == 0 {
			continue
		}
		i0, i1 := pixels(a.X/side, b.X/side, c.X/side)
		j0, j1 := pixels(a.Y/side, b.Y/side, c.Y/side)
		for u := int(i0); u <= int(i1); u++ {
			for v := int(j0); v <= int(j1); v++ {
				x, y := (float64(u)+0.5)*side, (float64(v)+0.5)*side
				if inTriangle(x, y, a, b, c) {
					z := a.Z - (n.X*(x-a.X)+n.Y*(y-a.Y))/n.Z
					columns[cell{u, v}] = append(columns[cell{u, v}], hit{z, overhang[i]})
				}
			}
		}
	}
	var posts []orient.Post
	for at, hits := range columns {
		slices.SortFunc(hits, func(a, b hit) int {
			if a.z < b.z {
				return -1
			}
			return 1
		})
		below := 0.0
		for _, h := range hits {
			if h.over && h.z > below {
				posts = append(posts, orient.Post{
					X: (float64(at.i) + 0.5) * side, Y: (float64(at.j) + 0.5) * side,
					Width: side, Bottom: below, Top: h.z,
				})
			}
			below = h.z
		}
	}
	slices.SortFunc(posts, func(a, b orient.Post) int {
		for _, d := range []float64{a.X - b.X, a.Y - b.Y, a.Bottom - b.Bottom} {
			if d != 0 {
				return int(math.Copysign(1, d))
			}
		}
		return 0
	})
	return posts
}

// inTriangle tells whether x, y lies in a, b, c seen along z, rim included.
func inTriangle(x, y float64, a, b, c r3.Vec) bool {
	side := func(p, q r3.Vec) float64 { return (q.X-p.X)*(y-p.Y) - (q.Y-p.Y)*(x-p.X) }
	d, e, f := side(a, b), side(b, c), side(c, a)
	return d >= 0 && e >= 0 && f >= 0 || d <= 0 && e <= 0 && f <= 0
}
