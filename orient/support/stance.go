// Package support measures what one build direction needs in support: the
// overhanging faces, the columns under them and what these touch. It knows
// nothing of materials or machines; lengths are millimetres in the print frame.
package support

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
)

// BaseTolerance is how far above the lowest point a facet may lie, with all its
// corners, and still rest on the plate, mm. By definition of the measures.
const BaseTolerance = 0.05

// angleSlack keeps a face at the limit angle itself from turning into an
// overhang by the rounding of float32 files, degrees.
const angleSlack = 1e-5

// Kind says what a facet is to the printer.
type Kind uint8

// The kinds of facet.
const (
	Plain    Kind = iota // upward, vertical, or steep enough to print
	Base                 // rests on the plate
	Overhang             // downskin below the limit angle
)

// Stance is a green part standing on the plate in one build direction, read
// once. It is filled by Set, again and again with the same memory; it is not
// safe for concurrent use.
type Stance struct {
	// BaseTolerance is set by the caller for a coarsened mesh; 0 means the
	// constant of that name.
	BaseTolerance float64
	// KeepClean and Smooth mark facets that the user has marked; each may be nil.
	KeepClean, Smooth []bool
	// Vertices are in the print frame, lowest z 0; Facets and Kinds go together.
	Vertices []r3.Vec
	Facets   [][3]int32
	Kinds    []Kind
	// Lo and Hi are the corners of the bounding box, mm; Lo.Z is 0.
	Lo, Hi r3.Vec
	// Shift is what was added to the turned part to stand it at z = 0.
	Shift r3.Vec
	// OverhangArea and BaseArea are true areas, mm2.
	OverhangArea, BaseArea float64
	// OverhangShadow is the overhang projected on the plate, mm2, and Prisms the
	// volume under it down to the plate, the part itself ignored, mm3: exact.
	OverhangShadow, Prisms float64
	// MeanSlope is the mean over all faces of |cos| of their angle to the plate,
	// weighted by area, faces parallel to the plate counting 0.
	MeanSlope float64
	// Area is the whole surface, mm2.
	Area float64
	// SmoothSlope is MeanSlope over the faces marked smooth, SmoothArea their
	// area; CleanOverhang the overhang on faces marked to keep clean, mm2.
	SmoothSlope, SmoothArea, CleanOverhang float64
}

// Set stands m on the plate by the linear map (rotation, then oversizing). Faces
// whose downskin angle from the plate is under limitDeg are overhangs.
func (s *Stance) Set(m *mesh.Mesh, linear mesh.Matrix, limitDeg float64) {
	s.place(m, linear)
	s.Facets = m.Facets
	if cap(s.Kinds) < len(m.Facets) {
		s.Kinds = make([]Kind, len(m.Facets))
	}
	s.Kinds = s.Kinds[:len(m.Facets)]
	s.OverhangArea, s.BaseArea, s.OverhangShadow, s.Prisms, s.Area, s.MeanSlope = 0, 0, 0, 0, 0, 0
	s.SmoothSlope, s.SmoothArea, s.CleanOverhang = 0, 0, 0
	base := s.BaseTolerance
	if base == 0 {
		base = BaseTolerance
	}
	limit := math.Cos((limitDeg - angleSlack) * math.Pi / 180)
	for i := range m.Facets {
		s.Kinds[i] = s.classify(i, limit, base)
	}
	if s.Area > 0 {
		s.MeanSlope /= s.Area
	}
	if s.SmoothArea > 0 {
		s.SmoothSlope /= s.SmoothArea
	}
}

// place turns the vertices and finds the box.
func (s *Stance) place(m *mesh.Mesh, linear mesh.Matrix) {
	if cap(s.Vertices) < len(m.Vertices) {
		s.Vertices = make([]r3.Vec, len(m.Vertices))
	}
	s.Vertices = s.Vertices[:len(m.Vertices)]
	inf := math.Inf(1)
	lo, hi := r3.Vec{X: inf, Y: inf, Z: inf}, r3.Vec{X: -inf, Y: -inf, Z: -inf}
	for i, v := range m.Vertices {
		p := linear.MulVec(v)
		s.Vertices[i] = p
		lo = r3.Vec{X: min(lo.X, p.X), Y: min(lo.Y, p.Y), Z: min(lo.Z, p.Z)}
		hi = r3.Vec{X: max(hi.X, p.X), Y: max(hi.Y, p.Y), Z: max(hi.Z, p.Z)}
	}
	for i := range s.Vertices {
		s.Vertices[i].Z -= lo.Z
	}
	s.Shift = r3.Vec{Z: -lo.Z}
	hi.Z -= lo.Z
	lo.Z = 0
	s.Lo, s.Hi = lo, hi
}

// classify adds facet i to the sums and gives its kind. An overhang's normal
// points down more steeply than limit, the cosine of the limit angle.
func (s *Stance) classify(i int, limit, base float64) Kind {
	f := &s.Facets[i]
	a, b, c := &s.Vertices[f[0]], &s.Vertices[f[1]], &s.Vertices[f[2]]
	n := r3.Cross(r3.Sub(*b, *a), r3.Sub(*c, *a))
	length := math.Sqrt(n.X*n.X + n.Y*n.Y + n.Z*n.Z)
	if length == 0 {
		return Plain
	}
	area := length / 2
	s.Area += area
	steps := math.Abs(n.Z) / 2 // area times |cos|
	if steps >= flatCos*area {
		steps = 0
	}
	s.MeanSlope += steps
	if s.Smooth != nil && s.Smooth[i] {
		s.SmoothSlope += steps
		s.SmoothArea += area
	}
	if n.Z < 0 && max(a.Z, b.Z, c.Z) <= base {
		s.BaseArea += area
		return Base
	}
	if n.Z >= -limit*length {
		return Plain
	}
	s.OverhangArea += area
	if s.KeepClean != nil && s.KeepClean[i] {
		s.CleanOverhang += area
	}
	shadow := -n.Z / 2
	s.OverhangShadow += shadow
	s.Prisms += shadow * (a.Z + b.Z + c.Z) / 3
	return Overhang
}

// flatCos is the cosine of 0.1 degrees: a face closer to the plate's plane than
// that prints as one layer and shows no steps.
const flatCos = 0.9999985
