package furnace

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
)

// Stand is how a part stands on the setter: lean, tip and drag. It is read from
// the mesh alone, quickly and without the solver.
type Stand struct {
	// HeightMM is the height above the setter.
	HeightMM float64
	// Footprint is the contact polygon, counter-clockwise: the hull of the
	// corners of the facets that lie within 0.05 mm of the lowest point.
	// FootprintMM2 is the area of those facets, Feet how many separate patches
	// they make.
	Footprint    []r2.Vec
	FootprintMM2 float64
	Feet         int
	// RoundFoot is true where most of the footprint only comes near the setter,
	// as the underside of a lying bar does.
	RoundFoot bool
	// CenterOfMass is that of the solid.
	CenterOfMass r3.Vec
	// TipAngleDeg is the smallest tilt that tips the part over; 0 where it does
	// not stand at all.
	TipAngleDeg float64
	// Lean is how a lean would grow.
	Lean Lean
	// TravelMM is how far the farthest corner of the footprint slides on the
	// setter while the part shrinks.
	TravelMM float64
	// DragStrain is the peak strain in the foot from friction on the setter.
	DragStrain float64
	// FootStrain is the strain at the base under the part's own weight, as if
	// all of it pressed on the footprint evenly; ElephantFootMM by how much the
	// base widens, an upper estimate.
	FootStrain, ElephantFootMM float64
}

// DefaultFriction is between a foot and a ceramic setter: judgement, 0.2 to 1;
// no measured value was found.
const DefaultFriction = 0.5

// Standing measures how m stands. The mesh is in the furnace frame, lowest z at
// 0, at the size it has when soft; shrinkage is the matrix of shrinkage in the
// furnace frame, per length of the size that m has (see Turned), for the travel.
// A mesh without facets gives the zero Stand.
func Standing(m *mesh.Mesh, c Creep, shrinkage mesh.Matrix, friction float64) Stand {
	if len(m.Facets) == 0 {
		return Stand{}
	}
	solid := m.Solid()
	corners := footCorners(m)
	s := Stand{
		HeightMM:     m.Bounds().Max.Z,
		Footprint:    mesh.Outline(corners),
		CenterOfMass: solid.Centroid,
	}
	s.FootprintMM2, s.Feet = footPatches(m)
	s.RoundFoot = flatArea(m) < 0.5*s.FootprintMM2
	s.TipAngleDeg = TipAngleDeg(s.Footprint, s.CenterOfMass)
	s.Lean = LeanOf(m, r3.Vec{X: 1, Y: 1, Z: 1}, solid.Volume, solid.Centroid.Z, c)
	s.TravelMM = travel(s.Footprint, shrinkage)
	lo, hi := extent(s.Footprint)
	s.DragStrain = DragStrain(c, friction, max(hi.X-lo.X, hi.Y-lo.Y))
	if s.FootprintMM2 > 0 {
		s.FootStrain = FootStrain(c, math.Abs(solid.Volume)/s.FootprintMM2)
		s.ElephantFootMM = c.Poisson * s.FootStrain * math.Sqrt(s.FootprintMM2/float64(max(s.Feet, 1)))
	}
	return s
}

// Turned gives the matrix of shrinkage in the furnace frame of a part that was
// printed with the shrinkage along the axes of the print frame; turn takes the
// print frame to the furnace frame. Shrinkage stays tied to the print.
func Turned(shrinkage r3.Vec, turn mesh.Matrix) mesh.Matrix {
	return turn.Mul(mesh.Diagonal(shrinkage)).Mul(turn.Transpose())
}

// onFoot reports whether facet i lies within the tolerance of z = 0.
func onFoot(m *mesh.Mesh, i int) bool {
	a, b, c := m.Corners(i)
	return max(a.Z, b.Z, c.Z) <= restTolerance
}

// footCorners gives the corners of the facets on the setter.
func footCorners(m *mesh.Mesh) []r2.Vec {
	var out []r2.Vec
	for i, f := range m.Facets {
		if onFoot(m, i) {
			for _, v := range f {
				p := m.Vertices[v]
				out = append(out, r2.Vec{X: p.X, Y: p.Y})
			}
		}
	}
	return out
}

// footPatches gives the area on the setter and the number of patches that share
// no corner.
func footPatches(m *mesh.Mesh) (area float64, patches int) {
	number := map[r3.Vec]int32{}
	var facets [][3]int32
	for i, f := range m.Facets {
		if !onFoot(m, i) {
			continue
		}
		area += r3.Norm(m.AreaVector(i))
		var own [3]int32
		for k, v := range f {
			p := m.Vertices[v]
			if _, ok := number[p]; !ok {
				number[p] = int32(len(number))
			}
			own[k] = number[p]
		}
		facets = append(facets, own)
	}
	sets := newForest(len(number))
	for _, f := range facets {
		sets.join(f[0], f[1])
		sets.join(f[0], f[2])
	}
	for i := range int32(len(number)) {
		if sets.root(i) == i {
			patches++
		}
	}
	return area, patches
}

// levelDeg is how far a facet of the foot may lean and still lie flat: no more than a
// direction is off the face that it was taken from.
const levelDeg = 0.75

// flatArea gives the area of the facets of the foot that lie flat on the setter.
func flatArea(m *mesh.Mesh) (area float64) {
	level := math.Cos(levelDeg * math.Pi / 180)
	for i := range m.Facets {
		n := m.AreaVector(i)
		if size := r3.Norm(n); onFoot(m, i) && math.Abs(n.Z) >= level*size {
			area += size
		}
	}
	return area
}

// travel gives the longest way of a corner of the footprint as it shrinks
// towards the middle of its extent.
func travel(footprint []r2.Vec, shrinkage mesh.Matrix) float64 {
	lo, hi := extent(footprint)
	middle := r2.Scale(0.5, r2.Add(lo, hi))
	var most float64
	for _, p := range footprint {
		d := r2.Sub(p, middle)
		way := shrinkage.MulVec(r3.Vec{X: d.X, Y: d.Y})
		most = max(most, math.Hypot(way.X, way.Y))
	}
	return most
}

// extent gives the box around points in the plane.
func extent(points []r2.Vec) (lo, hi r2.Vec) {
	for i, p := range points {
		if i == 0 {
			lo, hi = p, p
		}
		lo = r2.Vec{X: min(lo.X, p.X), Y: min(lo.Y, p.Y)}
		hi = r2.Vec{X: max(hi.X, p.X), Y: max(hi.Y, p.Y)}
	}
	return lo, hi
}
