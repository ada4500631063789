package mark_test

import (
	"math"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
	"kilnpoise/mesh/meshtest"
	"kilnpoise/orient/mark"
)

// wedge is a block of 40 x 20 x 10 with two pins of 12 and 8 beside it, 30 apart
// along X, and a slope of 30 degrees behind: a foot to each kind of measuring.
func wedge() *mesh.Mesh {
	m := meshtest.Block(40, 20, 10)
	join(m, meshtest.Cylinder(6, 25, 96), r3.Vec{X: -20, Y: 40})
	join(m, meshtest.Cylinder(4, 25, 96), r3.Vec{X: 10, Y: 40})
	slope := meshtest.Block(20, 20, 10)
	for i, v := range slope.Vertices { // its top rises along X by 30 degrees
		if v.Z > 5 {
			slope.Vertices[i].Z += v.X * math.Tan(math.Pi/6)
		}
	}
	join(m, slope, r3.Vec{X: 60})
	return m
}

func join(m, more *mesh.Mesh, at r3.Vec) {
	first := int32(len(m.Vertices))
	for _, v := range more.Vertices {
		m.Vertices = append(m.Vertices, r3.Add(v, at))
	}
	for _, f := range more.Facets {
		m.Facets = append(m.Facets, [3]int32{f[0] + first, f[1] + first, f[2] + first})
	}
}

// Places on the wedge, and the normals there.
var (
	top     = mark.Seed{At: r3.Vec{X: 20, Y: 10, Z: 10}, Normal: r3.Vec{Z: 1}}
	bottom  = mark.Seed{At: r3.Vec{X: 20, Y: 10}, Normal: r3.Vec{Z: -1}}
	end     = mark.Seed{At: r3.Vec{X: 40, Y: 10, Z: 5}, Normal: r3.Vec{X: 1}}
	side    = mark.Seed{At: r3.Vec{X: 20, Y: 20, Z: 5}, Normal: r3.Vec{Y: 1}}
	slope   = mark.Seed{At: r3.Vec{X: 70, Y: 10, Z: 10 + 10*math.Tan(math.Pi/6)}}
	slopeOn = mark.Seed{At: r3.Vec{X: 80, Y: 10, Z: 5}, Normal: r3.Vec{X: 1}}
	pin12   = mark.Seed{At: r3.Vec{X: -14, Y: 40, Z: 12}}
	pin8    = mark.Seed{At: r3.Vec{X: 14, Y: 40, Z: 12}}
)

// found measures c on the wedge.
func found(t *testing.T, s *mark.Surface, c mark.Characteristic, seeds ...mark.Seed) mark.Dimension {
	t.Helper()
	for i, within := range c.WithinDeg() {
		seeds[i].WithinDeg = within
	}
	d, err := (&mark.KeptDimension{What: c, Seeds: seeds}).Find(s)
	if err != nil {
		t.Fatalf("%s: %v", c, err)
	}
	return d
}

func TestCharacteristicsAreMeasured(t *testing.T) {
	s := mark.NewSurface(wedge())
	for _, tt := range []struct {
		d         mark.Dimension
		want, tol float64
		rule      string
	}{
		{found(t, s, mark.Distance, top, bottom), 10, 0.2, mark.MediumRule},
		{found(t, s, mark.Diameter, pin12), 12, 0.2, mark.MediumRule},
		{found(t, s, mark.BoreToBore, pin12, pin8), 30, 0.2, mark.MediumRule},
		{found(t, s, mark.BoreToFace, pin8, side), 20, 0.2, mark.MediumRule},
		{found(t, s, mark.Flatness, top), 0, 0.2, mark.MiddleRule},            // 40 long
		{found(t, s, mark.Parallelism, top, bottom), 0, 0.2, mark.MiddleRule}, // of 40 and 10 apart
		{found(t, s, mark.Angle, top, end), 90, 1.0 / 3, mark.MediumRule},     // the shorter leg: see below
		{found(t, s, mark.Angle, slope, slopeOn), 60, 0.5, mark.MediumRule},
	} {
		got := tt.d.NominalMM + tt.d.NominalDeg
		if math.Abs(got-tt.want) > 1e-6 {
			t.Errorf("%s is %g, want %g", tt.d.What, got, tt.want)
		}
		limit, rule := tt.d.Limit()
		if tt.d.What == mark.Angle {
			tt.tol = 0.5 // shorter leg of 20 to 24 mm
		}
		if math.Abs(limit-tt.tol) > 1e-12 || rule != tt.rule {
			t.Errorf("%s is allowed %g by %s, want %g by %s", tt.d.What, limit, rule, tt.tol, tt.rule)
		}
	}
}

func TestWhatCannotBeMeasuredIsSaid(t *testing.T) {
	s := mark.NewSurface(wedge())
	lying := meshtest.Cylinder(5, 30, 96).Transform(mesh.RotationBetween(r3.Vec{Z: 1}, r3.Vec{X: 1}), r3.Vec{X: 10})
	join(lying, meshtest.Cylinder(5, 30, 96), r3.Vec{Y: 30})
	join(lying, meshtest.Cylinder(3, 30, 96), r3.Vec{Y: 30, Z: 40})
	l := mark.NewSurface(lying)
	at := func(x, y, z float64) mark.Seed { return mark.Seed{At: r3.Vec{X: x, Y: y, Z: z}} }
	for _, tt := range []struct {
		s     *mark.Surface
		what  mark.Characteristic
		seeds []mark.Seed
		want  string
	}{
		{s, mark.Distance, []mark.Seed{top, side}, "90 deg"},
		{s, mark.Parallelism, []mark.Seed{top, slope}, "30 deg"},
		{s, mark.BoreToFace, []mark.Seed{pin8, top}, "beside the axis"},
		{s, mark.Angle, []mark.Seed{top, bottom}, "parallel"},
		{s, mark.Diameter, []mark.Seed{top}, "fit a bore"},
		{s, mark.BoreToBore, []mark.Seed{pin8}, "each of 2 faces"},
		{l, mark.BoreToBore, []mark.Seed{at(25, 0, 5), at(5, 30, 15)}, "90 deg"},
		{l, mark.BoreToBore, []mark.Seed{at(5, 30, 15), at(3, 30, 55)}, "share one axis"},
	} {
		for i, within := range tt.what.WithinDeg() {
			if i < len(tt.seeds) {
				tt.seeds[i].WithinDeg = within
			}
		}
		_, err := (&mark.KeptDimension{What: tt.what, Seeds: tt.seeds}).Find(tt.s)
		if err == nil || !strings.Contains(err.Error(), tt.want) {
			t.Errorf("%s: %v, want a word of %q", tt.what, err, tt.want)
		}
	}
}

// Moving and turning a part as a whole changes nothing, whatever is measured.
func TestMovingThePartIsNoDrift(t *testing.T) {
	m := wedge()
	s := mark.NewSurface(m)
	shift, spin := r3.Vec{X: 0.3, Y: -0.2, Z: 0.1}, r3.Vec{X: 0.004, Y: -0.003, Z: 0.002}
	moved := func(p r3.Vec) r3.Vec { return r3.Add(shift, r3.Cross(spin, p)) }
	for _, d := range []mark.Dimension{
		found(t, s, mark.Distance, top, bottom), found(t, s, mark.Distance, end, slopeOn), found(t, s, mark.Diameter, pin12), found(t, s, mark.BoreToBore, pin12, pin8),
		found(t, s, mark.BoreToFace, pin8, side), found(t, s, mark.Flatness, top), found(t, s, mark.Parallelism, top, bottom), found(t, s, mark.Angle, slope, slopeOn),
	} {
		if got := d.Drift(m, moved); math.Abs(got.Change) > 1e-9 || got.OvalMM > 1e-9 {
			t.Errorf("%s drifts by %g, oval %g", d.What, got.Change, got.OvalMM)
		}
	}
}

// Known displacements against what they do, by hand.
func TestDrift(t *testing.T) {
	m := wedge()
	s := mark.NewSurface(m)
	const k = 1e-3
	bow := func(p r3.Vec) r3.Vec { return r3.Vec{Z: k * (p.X - 20) * (p.X - 20)} }
	for _, tt := range []struct {
		name         string
		d            mark.Dimension
		moved        func(p r3.Vec) r3.Vec
		change, oval float64
	}{
		{"a bow leaves a thickness", found(t, s, mark.Distance, top, bottom), bow, 0, 0},
		{"a bow over 40 mm", found(t, s, mark.Flatness, top), bow, k * 400, 0},
		{"a bow against a true face", found(t, s, mark.Parallelism, top, bottom), func(p r3.Vec) r3.Vec {
			if p.Z < 5 {
				return r3.Vec{}
			}
			return bow(p)
		}, k * 400, 0},
		{"a face that tips against another", found(t, s, mark.Parallelism, top, bottom), func(p r3.Vec) r3.Vec {
			return r3.Vec{Z: k * p.X * p.Z / 10}
		}, k * 40, 0},
		{"a face that tips is flat", found(t, s, mark.Flatness, top), func(p r3.Vec) r3.Vec { return r3.Vec{Z: k * p.X} }, 0, 0},
		{"a face that comes down", found(t, s, mark.Distance, bottom, top), func(p r3.Vec) r3.Vec { return r3.Vec{Z: -k * p.Z} }, -10 * k, 0},
		{"a sheared corner", found(t, s, mark.Angle, top, end), func(p r3.Vec) r3.Vec { return r3.Vec{Z: k * p.X} }, -k * 180 / math.Pi, 0},
		{"a bore that widens", found(t, s, mark.Diameter, pin12), func(p r3.Vec) r3.Vec {
			return r3.Scale(k, r3.Vec{X: p.X + 20, Y: p.Y - 40})
		}, 12 * k, 0},
		{"a bore that goes oval", found(t, s, mark.Diameter, pin12), func(p r3.Vec) r3.Vec {
			return r3.Scale(k, r3.Vec{X: p.X + 20, Y: -(p.Y - 40)})
		}, 0, 2 * 12 * k},
		{"bores that part", found(t, s, mark.BoreToBore, pin12, pin8), func(p r3.Vec) r3.Vec { return r3.Vec{X: k * p.X} }, 30 * k, 0},
		{"a bore nearer to its face", found(t, s, mark.BoreToFace, pin8, side), func(p r3.Vec) r3.Vec { return r3.Vec{Y: -k * p.Y} }, -20 * k, 0},
	} {
		got := tt.d.Drift(m, tt.moved)
		// A flat whose corners and points lie unevenly tells its tilt a little off.
		if math.Abs(got.Change-tt.change) > 1e-9+0.01*math.Abs(tt.change) || math.Abs(got.OvalMM-tt.oval) > 1e-9+0.01*tt.oval {
			t.Errorf("%s: %g, oval %g; want %g and %g", tt.name, got.Change, got.OvalMM, tt.change, tt.oval)
		}
	}
}
