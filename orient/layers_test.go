package orient

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
	"kilnpoise/mesh/meshtest"
)

// The slabs of a layered part: so many, of a square of side, and how far apart.
const (
	slabCount           = 24
	slabSide, slabThick = 60.0, 0.8
	slabPitch           = 2.0
)

// slabs is a stack of thin plates, tilted about X: every line meets dozens of faces.
func slabs(deg float64) *mesh.Mesh {
	m := &mesh.Mesh{}
	for k := range slabCount {
		m.Append(meshtest.Block(slabSide, slabSide, slabThick).Transform(mesh.Identity(), r3.Vec{Z: slabPitch * float64(k)}))
	}
	return m.Transform(mesh.RotationAbout(r3.Vec{X: 1}, deg*math.Pi/180), r3.Vec{})
}

// slabSupport is the support of the tilted slabs, mm3, worked out on their section
// across X, which is the same all along it.
func slabSupport(deg float64, oversize r3.Vec) float64 {
	var quads [][4]r2.Vec // y, z; the first side is the lower face
	sin, cos := math.Sincos(deg * math.Pi / 180)
	low, left, right := math.Inf(1), math.Inf(1), math.Inf(-1)
	for k := range slabCount {
		z := slabPitch * float64(k)
		var q [4]r2.Vec
		for i, c := range [4]r2.Vec{{X: 0, Y: z}, {X: slabSide, Y: z}, {X: slabSide, Y: z + slabThick}, {X: 0, Y: z + slabThick}} {
			q[i] = r2.Vec{X: (c.X*cos - c.Y*sin) * oversize.Y, Y: (c.X*sin + c.Y*cos) * oversize.Z}
			low, left, right = min(low, q[i].Y), min(left, q[i].X), max(right, q[i].X)
		}
		quads = append(quads, q)
	}
	const lines = 200_000
	var sum float64
	for n := range lines {
		y := left + (float64(n)+0.5)/lines*(right-left)
		floor := low
		for _, q := range quads { // from below upward
			bottom, top, hangs := crossQuad(q, y)
			if bottom > top {
				continue
			}
			if hangs {
				sum += bottom - floor
			}
			floor = top
		}
	}
	return sum / lines * (right - left) * slabSide * oversize.X
}

// crossQuad gives where an upright line meets a convex section, and whether it is
// its first side that it meets from below.
func crossQuad(q [4]r2.Vec, y float64) (bottom, top float64, first bool) {
	bottom, top = math.Inf(1), math.Inf(-1)
	for i, a := range q {
		b := q[(i+1)%4]
		if (a.X <= y) == (b.X <= y) {
			continue
		}
		z := a.Y + (y-a.X)/(b.X-a.X)*(b.Y-a.Y)
		if z < bottom {
			bottom, first = z, i == 0
		}
		top = max(top, z)
	}
	return bottom, top, first
}

// On a layered part the columns cannot be made as fine as they should be. The error
// stated covers the true one, and the measure and the reasons say that it is large.
func TestSupportOfLayeredParts(t *testing.T) {
	if testing.Short() {
		t.Skip("short: numbers alone, and many of them")
	}
	b := testBrief(t)
	for _, deg := range []float64{3, 20, 37} {
		m := slabs(deg)
		level := &subject{mesh: m, exact: true, closed: true, solid: m.Solid(), area: m.Area(), hull: m.Vertices}
		pose := asLoadedPose(b.oversizeOf())
		got := newGauge(level, b).readFinely(pose).measures
		want := slabSupport(deg, pose.Oversize)
		if off := math.Abs(got.SupportVolumeMM3 - want); off > got.SupportErrorMM3 {
			t.Errorf("tilted by %g deg: support of %.0f mm3, %.0f off, stated %.0f", deg, got.SupportVolumeMM3, off, got.SupportErrorMM3)
		}
		if got.SupportUnsettled != (got.SupportErrorMM3 > 0.008*got.SupportVolumeMM3) || got.SupportUnsettled != (got.unsettled() != "") {
			t.Errorf("tilted by %g deg: error %.0f of %.0f mm3, unsettled %v: %q", deg, got.SupportErrorMM3, got.SupportVolumeMM3, got.SupportUnsettled, got.unsettled())
		}
	}
}

// Where the columns can be doubled both ways the volume settles, and nothing is
// said. A part without support has nothing to settle.
func TestSupportSettles(t *testing.T) {
	for name, m := range map[string]*mesh.Mesh{"bench": bench(), "ring": meshtest.Torus(30, 8, 60), "block": meshtest.Block(9, 9, 9)} {
		level := &subject{mesh: m, exact: true, closed: true, solid: m.Solid(), area: m.Area(), hull: m.Vertices}
		got := newGauge(level, testBrief(t)).readFinely(asLoadedPose(testBrief(t).oversizeOf())).measures
		if got.SupportUnsettled || got.unsettled() != "" || got.SupportErrorMM3 > 0.01*got.SupportVolumeMM3 {
			t.Errorf("%s: support of %g mm3, error %g: %q", name, got.SupportVolumeMM3, got.SupportErrorMM3, got.unsettled())
		}
	}
}

func TestGridError(t *testing.T) {
	for _, tt := range []struct{ move, ratio, want float64 }{
		{-10, 2, 10}, // an error of the first order halves
		{10, 1.25, 40},
		{10, 1, 500}, // equal grids: as good as unknown
		{0, 1.5, 0},
	} {
		if got := gridError(tt.move, tt.ratio); math.Abs(got-tt.want) > 1e-9*tt.want {
			t.Errorf("moved by %g on a grid %g times as fine: error %g, want %g", tt.move, tt.ratio, got, tt.want)
		}
	}
}
