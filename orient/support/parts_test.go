package support_test

import (
	"context"
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
	"kilnpoise/mesh/meshtest"
	"kilnpoise/orient/support"
)

// Parts whose overhang, support, bridge and reach follow from their dimensions.

// bridge is a deck of 5 mm on two walls of 5 mm, span apart, 20 high and wide long.
func bridge(span, wide float64) *mesh.Mesh {
	xs := []float64{0, 5, 5 + span, 10 + span}
	return meshtest.Blocks(xs, []float64{0, wide}, []float64{0, 20, 25}, func(i, j, k int) bool { return i != 1 || k == 1 })
}

// tee is a stem of 10 with arms reaching out on both sides, arm long, 30 wide
// and 5 thick, high above the plate.
func tee(arm, high float64) *mesh.Mesh {
	xs := []float64{0, arm, arm + 10, 2*arm + 10}
	return meshtest.Blocks(xs, []float64{0, 30}, []float64{0, high, high + 5}, func(i, j, k int) bool { return i == 1 || k == 1 })
}

// shaft is a stepped shaft of n sides: radius 5 up to z = 10, then 12 up to 20.
func shaft(n int) *mesh.Mesh {
	return meshtest.Lathe([][2]float64{{0, 0}, {5, 0}, {5, 10}, {12, 10}, {12, 20}, {0, 20}}, n)
}

// discArea is the area of a regular polygon of n sides about a circle's inside.
func discArea(r float64, n int) float64 {
	return float64(n) / 2 * r * r * math.Sin(2*math.Pi/float64(n))
}

// cup is a cup of 15 outside and 10 inside radius with a lid: its inside, 20 high
// from z = 5, is closed.
func cup(n int) *mesh.Mesh {
	m := meshtest.Cylinder(15, 30, n)
	inside := meshtest.Cylinder(10, 20, n).Transform(mesh.Identity(), r3.Vec{Z: 5})
	for i, f := range inside.Facets {
		inside.Facets[i] = [3]int32{f[0], f[2], f[1]}
	}
	m.Append(inside)
	return m
}

// bored is a block 2 half wide, deep along y and 2 half high with a tube of the
// given radius across it along y; n sides, a multiple of 8.
func bored(half, deep, radius float64, n int) *mesh.Mesh {
	m := &mesh.Mesh{}
	ring := func(y float64, at func(sin, cos float64) float64) []int32 {
		out := make([]int32, n)
		for i := range out {
			sin, cos := math.Sincos(2 * math.Pi * (float64(i) + 0.5) / float64(n))
			r := at(sin, cos)
			out[i] = int32(len(m.Vertices))
			m.Vertices = append(m.Vertices, r3.Vec{X: r * cos, Y: y, Z: half + r*sin})
		}
		return out
	}
	// The outside is a square with its corners cut by less than a facet.
	square := func(sin, cos float64) float64 { return half / max(math.Abs(sin), math.Abs(cos)) }
	round := func(_, _ float64) float64 { return radius }
	near0, near1 := ring(0, square), ring(0, round)
	far0, far1 := ring(deep, square), ring(deep, round)
	quad := func(a, b, c, d int32) { m.Facets = append(m.Facets, [3]int32{a, b, c}, [3]int32{a, c, d}) }
	for i := range n {
		k := (i + 1) % n
		quad(near0[i], near0[k], near1[k], near1[i])
		quad(far0[k], far0[i], far1[i], far1[k])
		quad(near0[k], near0[i], far0[i], far0[k])
		quad(near1[i], near1[k], far1[k], far1[i])
	}
	return m
}

// pocket is a cube of 40 with a void of 20 in its middle and a square hole of the
// given width through one side wall into it, along x, at half height. Width 0
// leaves the void closed.
func pocket(hole float64) *mesh.Mesh {
	at := []float64{0, 10, 20 - hole/2, 20 + hole/2, 30, 40}
	if hole == 0 {
		at = []float64{0, 10, 30, 40}
		return meshtest.Blocks(at, at, at, func(i, j, k int) bool { return i != 1 || j != 1 || k != 1 })
	}
	return meshtest.Blocks([]float64{0, 10, 30, 40}, at, at, func(i, j, k int) bool {
		if i == 2 {
			return j != 2 || k != 2
		}
		return i != 1 || j == 0 || j == 4 || k == 0 || k == 4
	})
}

// cavities marks the facets of voids, by the sign of their shell's volume.
func cavities(m *mesh.Mesh) []bool {
	of, n := mesh.NewTopology(m).Shells()
	volume := make([]float64, n)
	for i, q := range of {
		a, b, c := m.Corners(i)
		volume[q] += r3.Dot(a, r3.Cross(b, c))
	}
	out := make([]bool, len(of))
	for i, q := range of {
		out[i] = volume[q] < 0
	}
	return out
}

// siteOf looks at m as it stands, lifted onto the plate.
func siteOf(m *mesh.Mesh, lines int) *support.Site {
	m = m.Transform(mesh.Identity(), r3.Vec{Z: -m.Bounds().Min.Z})
	return support.NewSite(m, 45, lines, true, cavities(m))
}

// tilted turns m about x.
func tilted(m *mesh.Mesh, deg float64) *mesh.Mesh {
	return m.Transform(mesh.RotationAbout(r3.Vec{X: 1}, deg*math.Pi/180), r3.Vec{})
}

// regionsOf finds the regions of a site; nothing is small.
func regionsOf(t testing.TB, s *support.Site) []support.Region {
	t.Helper()
	regions, err := s.Regions(context.Background(), support.Smallness{})
	if err != nil {
		t.Fatal(err)
	}
	return regions
}
