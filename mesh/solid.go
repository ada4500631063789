package mesh

import (
	"math"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r3"
)

// Solid is what the enclosed volume weighs and how it is spread.
type Solid struct {
	// Volume is mm3; negative when the mesh is turned inside out.
	Volume float64
	// Centroid is the centre of mass of the filled shape, mm. A mesh that
	// encloses nothing gives the mean of its facets instead.
	Centroid r3.Vec
	// Covariance is the integral of (p-c)(p-c)^T over the volume, mm5.
	Covariance Matrix
}

// Solid integrates volume, centroid and second moments over the enclosed
// volume, tetrahedron by tetrahedron from the middle of the bounding box, which
// keeps the sums small. For polyhedral mass properties see Mirtich, "Fast and Accurate Computation of Polyhedral Mass Properties",
// J. Graphics Tools 1 (1996).
func (m *Mesh) Solid() Solid {
	box := m.Bounds()
	origin := box.Center()
	var six float64 // 6 x volume
	var first r3.Vec
	var second Matrix
	for i := range m.Facets {
		a, b, c := m.Corners(i)
		a, b, c = r3.Sub(a, origin), r3.Sub(b, origin), r3.Sub(c, origin)
		d := r3.Dot(a, r3.Cross(b, c))
		six += d
		s := r3.Add(a, r3.Add(b, c))
		first = r3.Add(first, r3.Scale(d, s))
		addOuter(&second, d, s)
		addOuter(&second, d, a)
		addOuter(&second, d, b)
		addOuter(&second, d, c)
	}
	volume := six / 6
	if scale := math.Pow(box.Diagonal(), 3); math.Abs(volume) <= 1e-12*scale {
		return Solid{Volume: volume, Centroid: m.surfaceCentroid()}
	}
	mean := r3.Scale(1/(24*volume), first)
	cov := second
	for i := range 3 {
		for j := range 3 {
			cov[i][j] = second[i][j]/120 - volume*component(mean, i)*component(mean, j)
		}
	}
	return Solid{Volume: volume, Centroid: r3.Add(origin, mean), Covariance: cov}
}

// PrincipalAxes gives a right-handed rotation whose rows are the principal axes
// of the shape, the most spread axis first. Signs follow the third moment of the
// surface, so that a turned copy of a part without symmetry gets the same axes.
func (m *Mesh) PrincipalAxes() Matrix {
	s := m.Solid()
	cov := s.Covariance
	if s.Volume < 0 {
		for i := range cov {
			for j := range cov[i] {
				cov[i][j] = -cov[i][j]
			}
		}
	}
	if cov == (Matrix{}) {
		return Identity()
	}
	sym := mat.NewSymDense(3, []float64{
		cov[0][0], cov[0][1], cov[0][2],
		cov[0][1], cov[1][1], cov[1][2],
		cov[0][2], cov[1][2], cov[2][2],
	})
	var eig mat.EigenSym
	if !eig.Factorize(sym, true) {
		return Identity()
	}
	var vectors mat.Dense
	eig.VectorsTo(&vectors)
	axis := func(k int) r3.Vec {
		v := r3.Vec{X: vectors.At(0, k), Y: vectors.At(1, k), Z: vectors.At(2, k)}
		return r3.Scale(m.skewSign(v, s.Centroid), r3.Unit(v))
	}
	long, middle := axis(2), axis(1) // EigenSym sorts ascending
	short := r3.Cross(long, middle)
	return Matrix{{long.X, long.Y, long.Z}, {middle.X, middle.Y, middle.Z}, {short.X, short.Y, short.Z}}
}

// skewSign is -1 where the surface reaches further against d than along it.
func (m *Mesh) skewSign(d, center r3.Vec) float64 {
	var skew float64
	for i := range m.Facets {
		a, b, c := m.Corners(i)
		z := r3.Dot(d, r3.Sub(r3.Scale(1.0/3, r3.Add(a, r3.Add(b, c))), center))
		skew += z * z * z * r3.Norm(m.AreaVector(i))
	}
	if skew < 0 {
		return -1
	}
	return 1
}

// surfaceCentroid is the area-weighted mean of the facets, mm.
func (m *Mesh) surfaceCentroid() r3.Vec {
	var sum r3.Vec
	var area float64
	for i := range m.Facets {
		a, b, c := m.Corners(i)
		w := r3.Norm(m.AreaVector(i))
		sum = r3.Add(sum, r3.Scale(w/3, r3.Add(a, r3.Add(b, c))))
		area += w
	}
	if area == 0 {
		return m.Bounds().Center()
	}
	return r3.Scale(1/area, sum)
}

func addOuter(m *Matrix, w float64, v r3.Vec) {
	for i := range 3 {
		for j := range 3 {
			m[i][j] += w * component(v, i) * component(v, j)
		}
	}
}

func component(v r3.Vec, i int) float64 {
	switch i {
	case 0:
		return v.X
	case 1:
		return v.Y
	default:
		return v.Z
	}
}
