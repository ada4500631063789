package orient

import (
	"math"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
	"kilnpoise/orient/mark"
	"kilnpoise/orient/process"
	"kilnpoise/orient/support"
)

// marked gives for each facet whether it is marked as k; nil where none is.
func (s *subject) marked(m *mark.Marks, k mark.Kind) []bool {
	var of []bool
	for _, f := range m.Faces {
		if f.Kind != k || len(f.Facets) == 0 {
			continue
		}
		if of == nil {
			of = make([]bool, s.partFacets)
		}
		for _, i := range f.Facets {
			if int(i) < len(of) {
				of[i] = true
			}
		}
	}
	if of == nil || s.from == nil {
		return of
	}
	coarse := make([]bool, len(s.from))
	for i, k := range s.from {
		coarse[i] = of[k]
	}
	return coarse
}

// marks fills in what the marks on the part come to in this pose.
func (g *gauge) marks(r *reading) {
	m := &r.measures
	m.MarkedStepMM = g.brief.Material.LayerHeightMM * g.stance.SmoothSlope
	m.FootShare = g.footShare()
	m.LoadStrength = 1
	for _, l := range g.brief.Marks.Loads {
		m.LoadStrength = min(m.LoadStrength, strengthAlong(r.pose.Rotation.MulVec(l.Along), g.brief.Material.LayerBond))
	}
}

// footShare is the share of the preferred foot's area that lies on the plate.
func (g *gauge) footShare() float64 {
	if g.foot == nil {
		return 1
	}
	var all, resting float64
	for i, in := range g.foot {
		if !in {
			continue
		}
		f := g.stance.Facets[i]
		a, b, c := g.stance.Vertices[f[0]], g.stance.Vertices[f[1]], g.stance.Vertices[f[2]]
		area := r3.Norm(r3.Cross(r3.Sub(b, a), r3.Sub(c, a))) / 2
		all += area
		if g.stance.Kinds[i] == support.Base {
			resting += area
		}
	}
	if all == 0 {
		return 0
	}
	return resting / all
}

// strengthAlong gives the strength along the unit vector d of the print frame
// against that along the layers, bond being the one across them: Hankinson's
// formula (1921, made for timber, used for layered materials since).
func strengthAlong(d r3.Vec, bond float64) float64 {
	across := d.Z * d.Z
	return bond / (bond*(1-across) + across)
}

// relative gives one standard deviation of the stretch of the finished part along
// each print axis: ds / (1 - s), since the oversize takes out the mean.
func relative(m *process.Material) [3]float64 {
	var out [3]float64
	for i := range out {
		out[i] = m.ShrinkageSpread[i] / (1 - m.Shrinkage[i])
	}
	return out
}

// squares gives the squared components of n.
func squares(n r3.Vec) [3]float64 { return [3]float64{n.X * n.X, n.Y * n.Y, n.Z * n.Z} }

// lengthSpread is one standard deviation of a length along n: to first order the
// length changes by L sum n_i^2 e_i, the stretches e_i varying independently.
func lengthSpread(length float64, n r3.Vec, m *process.Material) float64 {
	e, q := relative(m), squares(n)
	return length * math.Sqrt(sumSquares(q[0]*e[0], q[1]*e[1], q[2]*e[2]))
}

// diameterSpread is that of the mean diameter across the axis n: over all
// directions across n, the mean of u_i^2 is (1 - n_i^2)/2.
func diameterSpread(diameter float64, n r3.Vec, m *process.Material) float64 {
	e, q := relative(m), squares(n)
	return diameter / 2 * math.Sqrt(sumSquares((1-q[0])*e[0], (1-q[1])*e[1], (1-q[2])*e[2]))
}

// ovalSpread is the root mean square of largest less smallest diameter across the
// axis n. The two are the eigenvalues of the stretch in the plane across n, whose
// squared difference averages sum e_i^2 (1 - n_i^2)^2.
func ovalSpread(diameter float64, n r3.Vec, m *process.Material) float64 {
	e, q := relative(m), squares(n)
	return diameter * math.Sqrt(sumSquares((1-q[0])*e[0], (1-q[1])*e[1], (1-q[2])*e[2]))
}

// angleSpread is one standard deviation of the angle between faces with the normals
// a and b, degrees. A stretch turns a normal by -E n + n (n.E n), so that the angle
// changes by sum e_i (2 a_i b_i - (a.b)(a_i^2 + b_i^2)) over its sine.
func angleSpread(a, b r3.Vec, m *process.Material) float64 {
	e, qa, qb := relative(m), squares(a), squares(b)
	product := [3]float64{a.X * b.X, a.Y * b.Y, a.Z * b.Z}
	cos, sin := r3.Dot(a, b), r3.Norm(r3.Cross(a, b))
	var terms [3]float64
	for i := range terms {
		terms[i] = (2*product[i] - cos*(qa[i]+qb[i])) / sin * e[i]
	}
	return math.Sqrt(sumSquares(terms[:]...)) * 180 / math.Pi
}

// ovalOfOneFactor is largest less smallest diameter, exactly, of a bore with the
// axis n when the green part was scaled by 1/(1 - s_x) on all axes: the image of a
// circle under the map that is left, an ellipse with the singular values as axes.
func ovalOfOneFactor(diameter float64, n r3.Vec, m *process.Material) float64 {
	left := mesh.Diagonal(r3.Vec{X: 1, Y: (1 - m.Shrinkage[1]) / (1 - m.Shrinkage[0]), Z: (1 - m.Shrinkage[2]) / (1 - m.Shrinkage[0])})
	u := mesh.Across(n)
	v := r3.Cross(n, u)
	a, b := left.MulVec(u), left.MulVec(v)
	var svd mat.SVD
	if !svd.Factorize(mat.NewDense(3, 2, []float64{a.X, b.X, a.Y, b.Y, a.Z, b.Z}), mat.SVDNone) {
		return math.NaN()
	}
	s := svd.Values(nil)
	return diameter * (s[0] - s[1])
}

func sumSquares(values ...float64) float64 {
	var sum float64
	for _, v := range values {
		sum += v * v
	}
	return sum
}
