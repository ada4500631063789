package mark

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
)

// Plane is a flat face.
type Plane struct {
	Normal r3.Vec // outward, unit
	At     r3.Vec // its middle, mm
	// OffMM is the largest distance of a corner from the plane.
	OffMM float64
}

// FitPlane gives the plane through the facets: their mean normal and middle,
// weighted by area.
func FitPlane(m *mesh.Mesh, facets []int32) (Plane, error) {
	var sum, middle r3.Vec
	var area float64
	for _, f := range facets {
		n := m.AreaVector(int(f))
		a, b, c := m.Corners(int(f))
		w := r3.Norm(n)
		sum, area = r3.Add(sum, n), area+w
		middle = r3.Add(middle, r3.Scale(w/3, r3.Add(a, r3.Add(b, c))))
	}
	if area == 0 || r3.Norm(sum) < 0.5*area {
		return Plane{}, errors.New("the face faces no one way: pick a flatter one")
	}
	p := Plane{Normal: r3.Unit(sum), At: r3.Scale(1/area, middle)}
	for _, f := range facets {
		for _, v := range m.Facets[f] {
			p.OffMM = max(p.OffMM, math.Abs(r3.Dot(p.Normal, r3.Sub(m.Vertices[v], p.At))))
		}
	}
	return p, nil
}

// Bore is a round hole, or a pin where Inside is false.
type Bore struct {
	Axis       r3.Vec // unit
	At         r3.Vec // a point on the axis, in the middle of the length, mm
	DiameterMM float64
	LengthMM   float64
	// OffMM is the root mean square distance of the corners from the cylinder.
	OffMM  float64
	Inside bool
}

// FitBore fits a cylinder to the facets by least squares: the axis is the
// direction to which their normals are most nearly at right angles (smallest
// eigenvector of the normals' second moments), then axis and radius are improved
// together by Gauss-Newton steps on the distances of the corners.
func FitBore(m *mesh.Mesh, facets []int32) (Bore, error) {
	points, axis, err := boreStart(m, facets)
	if err != nil {
		return Bore{}, err
	}
	b := startCircle(points, axis)
	for range 20 {
		if b.improve(points) < 1e-12*b.DiameterMM {
			break
		}
	}
	b.finish(points)
	radial := b.radial(m, facets)
	b.Inside = radial < 0
	if !(b.DiameterMM > 0) || b.OffMM > roundLimit*b.DiameterMM || math.Abs(radial) < radialLimit {
		return Bore{}, errors.New("the face is not round: pick the wall of one bore or pin")
	}
	return b, nil
}

// roundLimit is the misfit, as a share of the diameter, beyond which a face is no
// cylinder.
const roundLimit = 0.02

// radialLimit is the least mean cosine between the facets' normals and the radius
// through their middle: the walls of a box have their corners on a circle too.
const radialLimit = 0.97

// boreStart gathers the corners and the axis to begin with.
func boreStart(m *mesh.Mesh, facets []int32) (points []r3.Vec, axis r3.Vec, err error) {
	var moments mesh.Matrix
	seen := map[int32]bool{}
	for _, f := range facets {
		n := m.AreaVector(int(f))
		if area := r3.Norm(n); area > 0 {
			addOuter(&moments, 1/area, n)
		}
		for _, v := range m.Facets[f] {
			if !seen[v] {
				seen[v] = true
				points = append(points, m.Vertices[v])
			}
		}
	}
	if len(points) < 6 {
		return nil, axis, errors.New("the face has too few corners to fit a bore to")
	}
	var eig mat.EigenSym
	if !eig.Factorize(symmetric(moments), true) {
		return nil, axis, errors.New("the face has no axis")
	}
	values := eig.Values(nil)
	if values[1] < 0.02*values[2] {
		return nil, axis, errors.New("the face is flat: pick the wall of a bore or pin")
	}
	var vectors mat.Dense
	eig.VectorsTo(&vectors)
	return points, r3.Unit(r3.Vec{X: vectors.At(0, 0), Y: vectors.At(1, 0), Z: vectors.At(2, 0)}), nil
}

// startCircle fits a circle across the axis (Kasa, IEEE Trans. Instrum. Meas. 25
// (1976) 8: linear least squares on x^2 + y^2).
func startCircle(points []r3.Vec, axis r3.Vec) Bore {
	u := mesh.Across(axis)
	v := r3.Cross(axis, u)
	a := mat.NewDense(len(points), 3, nil)
	rhs := mat.NewVecDense(len(points), nil)
	origin := points[0]
	for i, p := range points {
		d := r3.Sub(p, origin)
		x, y := r3.Dot(u, d), r3.Dot(v, d)
		a.SetRow(i, []float64{2 * x, 2 * y, 1})
		rhs.SetVec(i, x*x+y*y)
	}
	var c mat.VecDense
	if err := c.SolveVec(a, rhs); err != nil {
		return Bore{}
	}
	x, y := c.AtVec(0), c.AtVec(1)
	return Bore{
		Axis: axis, At: r3.Add(origin, r3.Add(r3.Scale(x, u), r3.Scale(y, v))),
		DiameterMM: 2 * math.Sqrt(max(c.AtVec(2)+x*x+y*y, 0)),
	}
}

// improve makes one Gauss-Newton step on axis, place and radius, and gives its
// length, mm.
func (b *Bore) improve(points []r3.Vec) float64 {
	u := mesh.Across(b.Axis)
	v := r3.Cross(b.Axis, u)
	a := mat.NewDense(len(points), 5, nil)
	rhs := mat.NewVecDense(len(points), nil)
	for i, p := range points {
		d := r3.Sub(p, b.At)
		along := r3.Dot(b.Axis, d)
		x, y := r3.Dot(u, d), r3.Dot(v, d)
		r := max(math.Hypot(x, y), 1e-12)
		// Moving the axis by (du, dv) and tilting it by (tu, tv) changes the radius by -(x du + y dv)/r ...
		a.SetRow(i, []float64{-x / r, -y / r, -x / r * along, -y / r * along, -1})
		rhs.SetVec(i, b.DiameterMM/2-r)
	}
	var step mat.VecDense
	if err := step.SolveVec(a, rhs); err != nil {
		return 0
	}
	b.At = r3.Add(b.At, r3.Add(r3.Scale(step.AtVec(0), u), r3.Scale(step.AtVec(1), v)))
	b.Axis = r3.Unit(r3.Add(b.Axis, r3.Add(r3.Scale(step.AtVec(2), u), r3.Scale(step.AtVec(3), v))))
	b.DiameterMM += 2 * step.AtVec(4)
	return math.Sqrt(mat.Dot(&step, &step))
}

// finish fills in length and misfit.
func (b *Bore) finish(points []r3.Vec) {
	low, high := math.Inf(1), math.Inf(-1)
	var square float64
	for _, p := range points {
		d := r3.Sub(p, b.At)
		along := r3.Dot(b.Axis, d)
		low, high = min(low, along), max(high, along)
		off := r3.Norm(r3.Sub(d, r3.Scale(along, b.Axis))) - b.DiameterMM/2
		square += off * off
	}
	b.OffMM = math.Sqrt(square / float64(len(points)))
	b.LengthMM = high - low
	b.At = r3.Add(b.At, r3.Scale((low+high)/2, b.Axis))
}

// radial gives the mean cosine between the facets' normals and the radius,
// weighted by area: near 1 for a pin, near -1 for a bore.
func (b *Bore) radial(m *mesh.Mesh, facets []int32) float64 {
	var sum, area float64
	for _, f := range facets {
		p, q, r := m.Corners(int(f))
		d := r3.Sub(r3.Scale(1.0/3, r3.Add(p, r3.Add(q, r))), b.At)
		d = r3.Sub(d, r3.Scale(r3.Dot(b.Axis, d), b.Axis))
		n := m.AreaVector(int(f))
		if length := r3.Norm(d); length > 0 {
			sum += r3.Dot(n, d) / length
		}
		area += r3.Norm(n)
	}
	if area == 0 {
		return 0
	}
	return sum / area
}

func addOuter(m *mesh.Matrix, w float64, v r3.Vec) {
	c := [3]float64{v.X, v.Y, v.Z}
	for i := range 3 {
		for j := range 3 {
			m[i][j] += w * c[i] * c[j]
		}
	}
}

func symmetric(m mesh.Matrix) *mat.SymDense {
	return mat.NewSymDense(3, []float64{
		m[0][0], m[0][1], m[0][2], m[0][1], m[1][1], m[1][2], m[0][2], m[1][2], m[2][2],
	})
}
