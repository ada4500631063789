package furnace

import (
	"context"
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
)

// disc is a round bar about z from z = 0 to h, of n sides, whose area is that of
// the circle.
func disc(radius, h float64, n int) *mesh.Mesh {
	radius *= math.Sqrt(2 * math.Pi / (float64(n) * math.Sin(2*math.Pi/float64(n))))
	m := &mesh.Mesh{Vertices: []r3.Vec{{}, {Z: h}}}
	for i := range n {
		s, c := math.Sincos(2 * math.Pi * float64(i) / float64(n))
		m.Vertices = append(m.Vertices, r3.Vec{X: radius * c, Y: radius * s}, r3.Vec{X: radius * c, Y: radius * s, Z: h})
	}
	for i := range int32(n) {
		a, b := 2+2*i, 2+2*((i+1)%int32(n))
		m.Facets = append(m.Facets, [3]int32{0, b, a}, [3]int32{1, a + 1, b + 1}, [3]int32{a, b, b + 1}, [3]int32{a, b + 1, a + 1})
	}
	return m
}

// TestCircularPlates compares discs with the plate forms of the handbook (Civil
// Engineering Handbook, 2nd ed., eq. 47.73-47.76) and Reissner's shear. The disc
// lies across the grid anyhow, its rim cuts bricks. It floats under its weight
// and the loads of its rim: the shear q a/2, and clamped the moment q a^2/8 that
// keeps the rim level. The sag is that of the middle against the rim.
func TestCircularPlates(t *testing.T) {
	if testing.Short() {
		t.Skip("short: numbers alone, and many of them")
	}
	const h, nu = 3.0, 0.45
	for _, hold := range []Hold{SimplySupported, BuiltIn} {
		for _, slender := range []float64{5, 10} { // radius over thickness
			for _, bricks := range []int{2, 3, 4} {
				a := slender * h
				want := CircularPlateSagMM(hold, unitCreep(nu), a, h) + PlateShearMM(unitCreep(nu), a)
				got := plate(t, hold, a, h, bricks, nu) / want
				t.Logf("%v, a/h %g, %d bricks: %.4f of the handbook sag", hold, slender, bricks, got)
				if tol := map[int]float64{2: 0.08, 3: 0.05, 4: 0.03}[bricks]; math.Abs(got-1) > tol {
					t.Errorf("%v, a/h %g, %d bricks: %.4f of the handbook sag, tolerance %v", hold, slender, bricks, got, tol)
				}
			}
		}
	}
}

// plate gives the sag of a disc.
func plate(t *testing.T, hold Hold, a, h float64, bricks int, poisson float64) float64 {
	t.Helper()
	m := disc(a, h, 360)
	e := h / float64(bricks)
	l := mesh.LatticeOver(mesh.Box{Min: r3.Vec{X: -a - e, Y: -a - e}, Max: r3.Vec{X: a + e, Y: a + e, Z: h}}, e)
	v, err := m.Voxels(context.Background(), l, 8)
	if err != nil {
		t.Fatal(err)
	}
	for i, f := range v.Fill {
		if f < leastFill {
			v.Fill[i] = 0
		}
	}
	b := &block{n: [3]int{l.N[2], l.N[0], l.N[1]}, stride: [3]int{l.N[0] * l.N[1], 1, l.N[0]}, share: v.Fill}
	r := newRig(t, b, [3]float64{l.Pitch.Z, l.Pitch.X, l.Pitch.Y}, poisson) // axes z, x, y
	r.weigh(0)
	area := v.Volume() / h
	rimLoads(r, hold, a, h, area, -l.Origin.X)
	pinMiddle(r)
	r.solve()
	at := func(radius, angle float64) float64 {
		s, c := math.Sincos(angle)
		return r.at(r3.Vec{X: h / 2, Y: radius*c - l.Origin.X, Z: radius*s - l.Origin.Y}).X
	}
	const around = 64
	var rim float64
	for i := range around {
		rim += at(a, 2*math.Pi*(float64(i)+0.5)/around) / around
	}
	return rim - at(0, 0)
}

// rimLoads carries a disc of the given area at its rim. middle is the position
// of its axis in the rig.
func rimLoads(r *rig, hold Hold, a, h, area, middle float64) {
	const around, levels = 360, 24
	for i := range around {
		s, c := math.Sincos(2 * math.Pi * (float64(i) + 0.5) / around)
		for k := range levels {
			u := 2*(float64(k)+0.5)/levels - 1 // -1 to 1 through the thickness
			up := area * h * 1.5 * (1 - u*u) / levels / around
			f := r3.Vec{X: up}
			if hold == BuiltIn { // q a^2/8 per length of rim, as a linear stress
				moment := h * a * a / 8 * 2 * math.Pi * a / around
				out := moment * 6 * u / h / levels
				f.Y, f.Z = out*c, out*s
			}
			r.push(r3.Vec{X: (u + 1) / 2 * h, Y: middle + a*c, Z: middle + a*s}, f)
		}
	}
}

// pinMiddle takes the rigid motions away at the axis of the disc.
func pinMiddle(r *rig) {
	j, k := r.where.n[1]/2, r.where.n[2]/2
	r.pinAt(0, j, k, 0, 0, 1, 2)
	r.pinAt(0, j+2, k, 0, 0, 2)
	r.pinAt(0, j, k+2, 0, 0)
}
