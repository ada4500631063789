package support

import (
	"math"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
)

// bore is the hollow cylinder that a region is the roof of, at finished size.
type bore struct {
	axis     r3.Vec // a unit vector
	radiusMM float64
	// leanDeg is the angle of the axis to the plate.
	leanDeg float64
}

const (
	// boreStray is how far, in radii, the corners of a bore's roof may lie off the
	// circle: a hundredth, what the export of a round with few facets leaves.
	boreStray = 0.01
	// boreSag is how far, in radii, the middles of its facets may: rounds of some
	// twelve sides and more pass, the two slopes of a gable do not.
	boreSag = 0.04
	// boreAlong is how much of the normals may point along the axis, and boreBend
	// how much they must spread across it, as mean squares (judgement; a roof
	// between walls at 45 degrees has 0 and 0.18).
	boreAlong = 1e-3
	boreBend  = 0.03
)

// findBore fits a cylinder to the region: the axis is the direction in which its
// normals do not point, the circle the algebraic least-squares one through its
// corners (Kasa, IEEE Trans. Instrum. Meas. 25 (1976) 8). Both are taken at
// finished size, where bores are round. It reports false where the region is not
// the inside of a cylinder.
func (s *Site) findBore(r *Region, l *Limits) (bore, bool) {
	normals := mat.NewSymDense(3, nil)
	var area float64
	for _, f := range r.Facets {
		a, b, c := s.Stance.corners(f)
		n := r3.Cross(r3.Sub(l.finished(b), l.finished(a)), r3.Sub(l.finished(c), l.finished(a)))
		w := r3.Norm(n)
		if w == 0 {
			continue
		}
		area += w
		normals.SymRankOne(normals, 1/w, mat.NewVecDense(3, []float64{n.X, n.Y, n.Z}))
	}
	var eig mat.EigenSym
	if area == 0 || !eig.Factorize(normals, true) {
		return bore{}, false
	}
	spread := eig.Values(nil) // ascending
	if spread[0] > boreAlong*area || spread[1] < boreBend*area {
		return bore{}, false
	}
	var vectors mat.Dense
	eig.VectorsTo(&vectors)
	axis := r3.Unit(r3.Vec{X: vectors.At(0, 0), Y: vectors.At(1, 0), Z: vectors.At(2, 0)})
	b := bore{axis: axis, leanDeg: math.Asin(min(math.Abs(axis.Z), 1)) * 180 / math.Pi}
	ok := s.fitCircle(r, l, &b)
	return b, ok
}

// fitCircle fits the circle across the axis and says whether the region is the
// roof of it.
func (s *Site) fitCircle(r *Region, l *Limits, b *bore) bool {
	u := mesh.Across(b.axis)
	v := r3.Cross(b.axis, u)
	var flat [][2]float64
	for _, f := range r.Facets {
		for _, c := range s.Stance.Facets[f] {
			p := l.finished(s.Stance.Vertices[c])
			flat = append(flat, [2]float64{r3.Dot(p, u), r3.Dot(p, v)})
		}
	}
	// x^2 + y^2 = 2 a x + 2 b y + c, taken from the first corner.
	o := flat[0]
	left, right := mat.NewDense(len(flat), 3, nil), mat.NewVecDense(len(flat), nil)
	for i, p := range flat {
		x, y := p[0]-o[0], p[1]-o[1]
		left.SetRow(i, []float64{2 * x, 2 * y, 1})
		right.SetVec(i, x*x+y*y)
	}
	var c mat.VecDense
	if err := c.SolveVec(left, right); err != nil {
		return false
	}
	x, y := c.AtVec(0), c.AtVec(1)
	b.radiusMM = math.Sqrt(max(c.AtVec(2)+x*x+y*y, 0))
	stray := func(p [2]float64) float64 {
		return math.Abs(math.Hypot(p[0]-o[0]-x, p[1]-o[1]-y) - b.radiusMM)
	}
	for i, p := range flat {
		if stray(p) > boreStray*b.radiusMM {
			return false
		}
		if i%3 == 2 { // the corners of a facet follow one another
			q, r := flat[i-1], flat[i-2]
			if stray([2]float64{(p[0] + q[0] + r[0]) / 3, (p[1] + q[1] + r[1]) / 3}) > boreSag*b.radiusMM {
				return false
			}
		}
	}
	// The axis is below its roof, and above the underside of a round bar.
	axis := r3.Add(r3.Scale(x+o[0], u), r3.Scale(y+o[1], v))
	middle := l.finished(r.Centroid)
	across := r3.Sub(middle, r3.Scale(r3.Dot(middle, b.axis), b.axis))
	return r3.Sub(axis, across).Z < 0
}
