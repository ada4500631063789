package meshtest

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
)

// Hostile is a shape that makes work for many algorithms: many bodies, long thin
// facets, facets that cross, a corner of very many facets, a surface that folds.
type Hostile struct {
	Name string
	// Make gives the shape with about so many facets.
	Make func(facets int) *mesh.Mesh
}

// HostileShapes lists shapes of some 100 mm to try what grows with the facets on.
func HostileShapes() []Hostile {
	return []Hostile{
		{"cone", func(n int) *mesh.Mesh { return Cone(40, 60, n/2) }},
		{"boxes", boxField},
		{"overlapping boxes", overlappingBoxes},
		{"needles", needles},
		{"crossing needles", crossingNeedles},
		{"wavy tube", func(n int) *mesh.Mesh { return wavyTube(max(int(math.Sqrt(float64(n)/4)), 4)) }},
		{"gyroid", func(n int) *mesh.Mesh { return Gyroid(max(int(math.Sqrt(float64(n)/164)), 8)) }},
		{"soup", soup},
		{"fine soup", fineSoup},
	}
}

// dice gives numbers that are the same every time.
func dice() *rand.Rand { return rand.New(rand.NewPCG(10, 7)) }

// boxFacets is how many facets a box has.
const boxFacets = 12

// boxField gives bodies that do not touch, in all of a cube.
func boxField(facets int) *mesh.Mesh {
	side := max(int(math.Cbrt(float64(facets)/boxFacets)), 1)
	pitch := 100 / float64(side)
	all := &mesh.Mesh{}
	for n := range side * side * side {
		corner := r3.Vec{X: float64(n % side), Y: float64(n / side % side), Z: float64(n / side / side)}
		all.Append(Block(0.6*pitch, 0.6*pitch, 0.6*pitch).Transform(mesh.Identity(), r3.Scale(pitch, corner)))
	}
	return all
}

// overlappingBoxes gives boxes at random places, each of which meets a few others.
func overlappingBoxes(facets int) *mesh.Mesh {
	n := max(facets/boxFacets, 1)
	pitch := 100 / math.Cbrt(float64(n))
	r, all := dice(), &mesh.Mesh{}
	for range n {
		b := Block(pitch*(0.5+r.Float64()), pitch*(0.5+r.Float64()), pitch*(0.5+r.Float64()))
		all.Append(b.Transform(mesh.Identity(), r3.Vec{X: 100 * r.Float64(), Y: 100 * r.Float64(), Z: 100 * r.Float64()}))
	}
	return all
}

// needles gives thin upright boxes on a square.
func needles(facets int) *mesh.Mesh {
	side := max(int(math.Sqrt(float64(facets)/boxFacets)), 1)
	pitch := 100 / float64(side)
	all := &mesh.Mesh{}
	for n := range side * side {
		all.Append(Moved(Block(0.3*pitch, 0.3*pitch, 60), pitch*float64(n%side), pitch*float64(n/side), 0))
	}
	return all
}

// crossingNeedles gives thin boxes all of which pass near the middle.
func crossingNeedles(facets int) *mesh.Mesh {
	r, all := dice(), &mesh.Mesh{}
	needle := Moved(Block(0.4, 0.4, 100), -0.2, -0.2, -50)
	for range max(facets/boxFacets, 1) {
		way := r3.Unit(r3.Vec{X: r.NormFloat64(), Y: r.NormFloat64(), Z: r.NormFloat64()})
		off := r3.Vec{X: 10 * r.NormFloat64(), Y: 10 * r.NormFloat64(), Z: 10 * r.NormFloat64()}
		all.Append(needle.Transform(mesh.RotationBetween(r3.Vec{Z: 1}, way), off))
	}
	return all
}

// wavyTube gives a tube without thickness, open at both ends, of n by 2n quads, with
// waves along and around it.
func wavyTube(n int) *mesh.Mesh {
	m := &mesh.Mesh{}
	for i := range 2*n + 1 {
		z := 100 * float64(i) / float64(2*n)
		for j := range n {
			sin, cos := math.Sincos(2 * math.Pi * float64(j) / float64(n))
			r := 20 + 3*math.Sin(z) + 2*math.Sin(24*math.Pi*float64(j)/float64(n))
			m.Vertices = append(m.Vertices, r3.Vec{X: r * cos, Y: r * sin, Z: z})
		}
	}
	at := func(i, j int) int32 { return int32(i*n + j%n) }
	for i := range 2 * n {
		for j := range n {
			a, b, c, d := at(i, j), at(i, j+1), at(i+1, j+1), at(i+1, j)
			m.Facets = append(m.Facets, [3]int32{a, b, c}, [3]int32{a, c, d})
		}
	}
	return m
}

// soup gives large triangles at random.
func soup(facets int) *mesh.Mesh { return triangles(facets, 100) }

// fineSoup gives small triangles at random.
func fineSoup(facets int) *mesh.Mesh { return triangles(facets, 2) }

func triangles(n int, size float64) *mesh.Mesh {
	r, m := dice(), &mesh.Mesh{}
	at := func(size float64) r3.Vec {
		return r3.Vec{X: size * r.Float64(), Y: size * r.Float64(), Z: size * r.Float64()}
	}
	for i := range n {
		middle := at(100 - size)
		for range 3 {
			m.Vertices = append(m.Vertices, r3.Add(middle, at(size)))
		}
		m.Facets = append(m.Facets, [3]int32{int32(3 * i), int32(3*i + 1), int32(3*i + 2)})
	}
	return m
}

// gyroidWaves is how often the gyroid repeats along each side of its cube.
const gyroidWaves = 4

// Gyroid gives a wall on both sides of the minimal surface sin x cos y + sin y cos z +
// sin z cos x = 0 within a cube of 100 mm, of some 164 n2 facets: a lattice as is printed
// to be light. The cube is cut into n3 cells of six tetrahedra each, and the surface
// through each of these (Doi and Koide, IEICE Trans. E74 (1991) 214, from memory).
func Gyroid(n int) *mesh.Mesh {
	g := gyroid{n: n, index: map[[2]int32]int32{}, m: &mesh.Mesh{}}
	// Six tetrahedra about the diagonal from corner 0 to corner 7 of each cell.
	ways := [][2]int{{1, 3}, {3, 2}, {2, 6}, {6, 4}, {4, 5}, {5, 1}}
	for c := range n * n * n {
		var corner [8]int32
		for k := range corner {
			corner[k] = g.node(c%n+k&1, c/n%n+k>>1&1, c/n/n+k>>2&1)
		}
		for _, w := range ways {
			g.tetrahedron([4]int32{corner[0], corner[w[0]], corner[w[1]], corner[7]})
		}
	}
	return g.m
}

type gyroid struct {
	n     int
	index map[[2]int32]int32 // the vertex on an edge between two nodes
	m     *mesh.Mesh
}

func (g *gyroid) node(i, j, k int) int32 { return int32((k*(g.n+1)+j)*(g.n+1) + i) }

func (g *gyroid) place(node int32) r3.Vec {
	side, at := g.n+1, int(node)
	return r3.Scale(100/float64(g.n), r3.Vec{X: float64(at % side), Y: float64(at / side % side), Z: float64(at / side / side)})
}

// inside is above 0 in the wall and within the cube.
func (g *gyroid) inside(node int32) float64 {
	p := g.place(node)
	const rim = 1e-6
	if low, high := min(p.X, p.Y, p.Z), max(p.X, p.Y, p.Z); low < rim || high > 100-rim {
		return -0.2
	}
	p = r3.Scale(2*math.Pi*gyroidWaves/100, p)
	return 0.45 - math.Abs(math.Sin(p.X)*math.Cos(p.Y)+math.Sin(p.Y)*math.Cos(p.Z)+math.Sin(p.Z)*math.Cos(p.X))
}

// tetrahedron adds the surface within one, which has solid to the one side.
func (g *gyroid) tetrahedron(corner [4]int32) {
	var in, out []int32
	for _, c := range corner {
		if g.inside(c) > 0 {
			in = append(in, c)
		} else {
			out = append(out, c)
		}
	}
	switch len(in) {
	case 1:
		g.facet(in[0], g.cut(in[0], out[0]), g.cut(in[0], out[1]), g.cut(in[0], out[2]))
	case 2:
		a, b, c, d := g.cut(in[0], out[0]), g.cut(in[0], out[1]), g.cut(in[1], out[1]), g.cut(in[1], out[0])
		g.facet(in[0], a, b, c)
		g.facet(in[0], a, c, d)
	case 3:
		g.facet(in[0], g.cut(in[0], out[0]), g.cut(in[1], out[0]), g.cut(in[2], out[0]))
	}
}

// cut gives the vertex between two nodes.
func (g *gyroid) cut(a, b int32) int32 {
	key := [2]int32{min(a, b), max(a, b)}
	if v, ok := g.index[key]; ok {
		return v
	}
	da, db := g.inside(key[0]), g.inside(key[1])
	share := min(max(da/(da-db), 0.02), 0.98) // no two in one place
	v := int32(len(g.m.Vertices))
	g.m.Vertices = append(g.m.Vertices, r3.Add(g.place(key[0]), r3.Scale(share, r3.Sub(g.place(key[1]), g.place(key[0])))))
	g.index[key] = v
	return v
}

// facet adds a facet that looks away from a node in the solid.
func (g *gyroid) facet(in, a, b, c int32) {
	p, q, r := g.m.Vertices[a], g.m.Vertices[b], g.m.Vertices[c]
	if r3.Dot(r3.Cross(r3.Sub(q, p), r3.Sub(r, p)), r3.Sub(g.place(in), p)) > 0 {
		b, c = c, b
	}
	g.m.Facets = append(g.m.Facets, [3]int32{a, b, c})
}
