package mark

import (
	"math"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
)

// Drift is how a dimension changes when the part gives way. All of it is of first
// order, so that it grows with the displacement, and moving or turning the part as
// a whole changes nothing.
type Drift struct {
	// Change is that of the dimension: mm, degrees for an angle. Of a form it is the
	// width of the zone that a true face comes to need.
	Change float64
	// OvalMM is, for a diameter, the largest less the smallest one that come of it.
	OvalMM float64
}

// Drift gives what a displacement of the points of the part m, mm, does to d.
func (d *Dimension) Drift(m *mesh.Mesh, moved func(p r3.Vec) r3.Vec) Drift {
	if len(d.On) == 0 { // a length told without its faces
		return Drift{}
	}
	points := make([][]r3.Vec, len(d.On))
	for i := range d.On {
		points[i] = spots(m, d.On[i].Facets)
	}
	if d.What == Distance {
		points[0], points[1] = opposite(points[0], points[1], d.Along), opposite(points[1], points[0], d.Along)
	}
	var on []motion
	for i := range d.On {
		on = append(on, d.On[i].motion(points[i], moved))
	}
	switch d.What {
	case Diameter:
		return Drift{Change: 2 * on[0].grown, OvalMM: on[0].ovalMM}
	case Flatness:
		return Drift{Change: width(on[0].left)}
	case Parallelism:
		return Drift{Change: d.outOfParallel(&on[0], &on[1])}
	case Angle:
		return Drift{Change: d.opened(on[0].tilt, on[1].tilt)}
	default:
		return Drift{Change: d.parted(&on[0], &on[1])}
	}
}

// parted gives by how much the second feature moves away from the first. Their
// middles need not lie opposite: what turning both does between them is taken out.
func (d *Dimension) parted(a, b *motion) float64 {
	apart := r3.Dot(d.Along, r3.Sub(b.shift, a.shift))
	offset := r3.Sub(b.middle, a.middle)
	offset = r3.Sub(offset, r3.Scale(r3.Dot(offset, d.Along), d.Along))
	turned := b.turning(d.Along, offset)
	if d.What != BoreToFace { // a bore does not tell all of its turning
		turned = (turned + a.turning(d.Along, offset)) / 2
	}
	return apart - turned
}

// motion is what a displacement does to one feature.
type motion struct {
	// shift is how its middle moves: of a flat along its normal, of a bore across
	// its axis.
	shift r3.Vec
	// tilt is by what the normal of a flat changes.
	tilt, normal r3.Vec
	// lean is by how much a bore moves across, for each mm along its axis.
	lean, axis r3.Vec
	// middle is that of the points looked at. spots are those, from the middle; rise is by how much each
	// moves along the normal, left what of it is more than moving and tilting.
	middle r3.Vec
	spots  []r3.Vec
	rise   []float64
	left   []float64
	// grown is by how much the radius grows, ovalMM by how much the largest
	// diameter then exceeds the smallest.
	grown, ovalMM float64
}

// motion looks at the displacement at points of the feature.
func (f *Feature) motion(points []r3.Vec, moved func(p r3.Vec) r3.Vec) motion {
	out := motion{middle: f.At()}
	if !f.Round {
		out.middle = middleOf(points)
	}
	for _, p := range points {
		out.spots = append(out.spots, r3.Sub(p, out.middle))
	}
	if f.Round {
		out.round(f.Bore, moved)
	} else {
		out.flat(f.Plane, moved)
	}
	return out
}

func middleOf(points []r3.Vec) r3.Vec {
	var sum r3.Vec
	for _, p := range points {
		sum = r3.Add(sum, p)
	}
	return r3.Scale(1/float64(max(len(points), 1)), sum)
}

// opposite gives the points that lie over the outline of the others, seen along a
// direction: there a caliper takes the distance. Where too few do, all.
func opposite(points, others []r3.Vec, along r3.Vec) []r3.Vec {
	const few = 4
	if out := over(points, others, along); len(out) >= few {
		return out
	}
	return points
}

// over gives the points that lie over the outline of the others.
func over(points, others []r3.Vec, along r3.Vec) []r3.Vec {
	u := mesh.Across(along)
	v := r3.Cross(along, u)
	seen := func(p r3.Vec) r2.Vec { return r2.Vec{X: r3.Dot(u, p), Y: r3.Dot(v, p)} }
	shadow := make([]r2.Vec, len(others))
	for i, p := range others {
		shadow[i] = seen(p)
	}
	outline := mesh.Outline(shadow)
	var out []r3.Vec
	for _, p := range points {
		if inside(seen(p), outline) {
			out = append(out, p)
		}
	}
	return out
}

// inside reports whether a point lies in a convex outline, or on its rim.
func inside(p r2.Vec, outline []r2.Vec) bool {
	const rim = 1e-6 // mm2
	for i, a := range outline {
		b := outline[(i+1)%len(outline)]
		if r2.Cross(r2.Sub(b, a), r2.Sub(p, a)) < -rim {
			return false
		}
	}
	return true
}

// turning gives how far the turning of the feature moves what lies at the offset.
func (o *motion) turning(along, offset r3.Vec) float64 {
	if o.axis != (r3.Vec{}) {
		return r3.Dot(o.lean, along) * r3.Dot(o.axis, offset)
	}
	return -r3.Dot(o.normal, along) * r3.Dot(o.tilt, offset)
}

// flat fits moving and tilting to the displacement along the normal.
func (o *motion) flat(p Plane, moved func(p r3.Vec) r3.Vec) {
	u := mesh.Across(p.Normal)
	v := r3.Cross(p.Normal, u)
	rows := make([][]float64, len(o.spots))
	for i, s := range o.spots {
		o.rise = append(o.rise, r3.Dot(p.Normal, moved(r3.Add(o.middle, s))))
		rows[i] = []float64{1, r3.Dot(u, s), r3.Dot(v, s)}
	}
	by, left := leastSquares(rows, o.rise)
	o.left, o.normal = left, p.Normal
	o.shift = r3.Scale(by[0], p.Normal)
	o.tilt = r3.Scale(-1, r3.Add(r3.Scale(by[1], u), r3.Scale(by[2], v)))
}

// round fits a moved, tilted and grown circle, and an oval, to the displacement
// along the radius.
func (o *motion) round(b Bore, moved func(p r3.Vec) r3.Vec) {
	u := mesh.Across(b.Axis)
	v := r3.Cross(b.Axis, u)
	rows := make([][]float64, len(o.spots))
	out := make([]float64, len(o.spots))
	for i, s := range o.spots {
		x, y, z := r3.Dot(u, s), r3.Dot(v, s), r3.Dot(b.Axis, s)
		turn := math.Atan2(y, x)
		c, t := math.Cos(turn), math.Sin(turn)
		out[i] = r3.Dot(r3.Add(r3.Scale(c, u), r3.Scale(t, v)), moved(r3.Add(o.middle, s)))
		rows[i] = []float64{1, c, t, z * c, z * t, math.Cos(2 * turn), math.Sin(2 * turn)}
	}
	by, _ := leastSquares(rows, out)
	o.grown = by[0]
	o.shift = r3.Add(r3.Scale(by[1], u), r3.Scale(by[2], v))
	o.lean, o.axis = r3.Add(r3.Scale(by[3], u), r3.Scale(by[4], v)), b.Axis
	o.ovalMM = 4 * math.Hypot(by[5], by[6])
}

// leastSquares fits the columns of rows to values, and gives what is left over.
func leastSquares(rows [][]float64, values []float64) (by, left []float64) {
	n := len(rows[0])
	by = make([]float64, n)
	a := mat.NewDense(len(rows), n, nil)
	for i, row := range rows {
		a.SetRow(i, row)
	}
	var svd mat.SVD
	const rank = 1e-9 // a face in one line does not tell its tilt: the least one is taken
	if svd.Factorize(a, mat.SVDThin) {
		var x mat.VecDense
		if r := svd.Rank(rank); r > 0 {
			svd.SolveVecTo(&x, mat.NewVecDense(len(values), values), r)
			copy(by, x.RawVector().Data)
		}
	}
	left = make([]float64, len(values))
	for i, row := range rows {
		left[i] = values[i]
		for k, v := range row {
			left[i] -= by[k] * v
		}
	}
	return by, left
}

// width gives the largest less the smallest.
func width(values []float64) float64 {
	low, high := math.Inf(1), math.Inf(-1)
	for _, v := range values {
		low, high = min(low, v), max(high, v)
	}
	return max(high-low, 0)
}

// outOfParallel gives the width of the zone, parallel to the second face, that
// holds the first.
func (d *Dimension) outOfParallel(face, datum *motion) float64 {
	tilt := datum.tilt
	if r3.Dot(d.On[0].Plane.Normal, d.On[1].Plane.Normal) < 0 {
		tilt = r3.Scale(-1, tilt)
	}
	heights := make([]float64, len(face.spots))
	for i, s := range face.spots {
		heights[i] = face.rise[i] + r3.Dot(tilt, s)
	}
	return width(heights)
}

// opened gives by how much the angle between the faces grows, degrees.
func (d *Dimension) opened(a, b r3.Vec) float64 {
	n, o := d.On[0].Plane.Normal, d.On[1].Plane.Normal
	sin := r3.Norm(r3.Cross(n, o))
	return (r3.Dot(a, o) + r3.Dot(n, b)) / sin * 180 / math.Pi
}

// mostSpots is about how many points of a face are looked at.
const mostSpots = 600

// spots gives points spread over the facets, corners among them.
func spots(m *mesh.Mesh, facets []int32) []r3.Vec {
	var area float64
	for _, f := range facets {
		area += r3.Norm(m.AreaVector(int(f)))
	}
	step := math.Sqrt(2 * area / mostSpots)
	every := 1 + 3*len(facets)/(4*mostSpots)
	var out []r3.Vec
	for i := 0; i < len(facets); i += every {
		a, b, c := m.Corners(int(facets[i]))
		longest := max(r3.Norm(r3.Sub(b, a)), r3.Norm(r3.Sub(c, b)), r3.Norm(r3.Sub(a, c)))
		n := 1
		if every == 1 && step > 0 {
			n = int(min(max(math.Ceil(longest/step), 1), 40))
		}
		for j := range n + 1 {
			for k := range n + 1 - j {
				u, v := float64(j)/float64(n), float64(k)/float64(n)
				out = append(out, r3.Add(a, r3.Add(r3.Scale(u, r3.Sub(b, a)), r3.Scale(v, r3.Sub(c, a)))))
			}
		}
	}
	return out
}

// flatten gives the corners of a flat face in its plane.
func flatten(m *mesh.Mesh, facets []int32, p Plane) []r2.Vec {
	u := mesh.Across(p.Normal)
	v := r3.Cross(p.Normal, u)
	seen := map[int32]bool{}
	var out []r2.Vec
	for _, f := range facets {
		for _, i := range m.Facets[f] {
			if !seen[i] {
				seen[i] = true
				d := r3.Sub(m.Vertices[i], p.At)
				out = append(out, r2.Vec{X: r3.Dot(u, d), Y: r3.Dot(v, d)})
			}
		}
	}
	return out
}
