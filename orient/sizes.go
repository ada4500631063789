package orient

import (
	"cmp"
	"context"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
	"kilnpoise/orient/mark"
)

// CheckSize is a size of the part that a caliper can take, in the green and in the
// sintered state: between two parallel flats that look away from each other, or the
// diameter of a bore or pin.
type CheckSize struct {
	// Name is that of the marked dimension, "" where the size was found on the part.
	Name string `json:"name"`
	// Diameter is true for one, Inside for that of a bore.
	Diameter bool `json:"diameter"`
	Inside   bool `json:"inside"`
	// Along is the direction it is taken in, of a diameter the axis: print frame,
	// sintered.
	Along Triple `json:"along"`
	// GreenMM and SinteredMM are the sizes to find. A round wall that does not stand
	// upright is an oval while green: then GreenHighMM is its largest diameter and
	// GreenMM the smallest; else they are equal.
	GreenMM     float64 `json:"green_mm"`
	GreenHighMM float64 `json:"green_high_mm"`
	SinteredMM  float64 `json:"sintered_mm"`
	// AtMM is the middle of the size on the green part, print frame.
	AtMM Triple `json:"at_mm"`
	// Facets are those of the part that it is taken on.
	Facets []int32 `json:"-"`
}

// caliperSize is such a size on the part itself, whichever way up.
type caliperSize struct {
	name             string
	diameter, inside bool
	along, at        r3.Vec // part frame
	sintered         float64
	facets           []int32
	pair             [2]*mark.Feature // of flats
	score            float64
}

// Which sizes are worth taking (judgement).
const (
	leastSizeMM   = 2
	mostSizeMM    = 300 // a caliper of the usual length, green
	jawMM         = 4   // free room that a jaw needs outside a face
	leastShare    = 0.2 // of a face that has to lie opposite the other
	mostFlatSizes = 3
	mostRoundOnes = 3
	anotherWayDeg = 25 // by how much the direction of another size differs
)

// CheckSizes gives the sizes to check on a candidate: those marked first, then what
// the part offers, flats before diameters.
func (a *Advice) CheckSizes(c *Candidate) []CheckSize {
	out := []CheckSize{}
	if a.study == nil { // an advice that was only read
		return out
	}
	sizes := a.markedSizes()
	if !a.Brief.isCoupon() { // its arms are measured, and nothing across them
		sizes = append(sizes, a.study.caliperSizes(context.Background())...)
	}
	for _, s := range sizes {
		if slices.ContainsFunc(out, func(o CheckSize) bool { return sameFacets(o.Facets, s.facets) }) {
			continue
		}
		out = append(out, s.in(c.Pose, a.study.full.hull))
	}
	return out
}

func sameFacets(a, b []int32) bool {
	a, b = slices.Clone(a), slices.Clone(b)
	slices.Sort(a)
	slices.Sort(b)
	return slices.Equal(a, b)
}

// markedSizes gives the marked distances and diameters.
func (a *Advice) markedSizes() []caliperSize {
	var out []caliperSize
	for i := range a.Brief.Marks.Dimensions {
		d := &a.Brief.Marks.Dimensions[i]
		if len(d.On) == 0 || d.What != mark.Distance && d.What != mark.Diameter {
			continue
		}
		s := caliperSize{name: d.Name, along: d.Along, sintered: d.NominalMM}
		for k := range d.On {
			s.facets = append(s.facets, d.On[k].Facets...)
			s.at = r3.Add(s.at, r3.Scale(1/float64(len(d.On)), d.On[k].At()))
		}
		if d.What == mark.Diameter {
			s.diameter, s.inside = true, d.On[0].Bore.Inside
		}
		out = append(out, s)
	}
	return out
}

// in gives the size as the candidate stands.
func (s *caliperSize) in(p Pose, hull []r3.Vec) CheckSize {
	n := p.Rotation.MulVec(s.along)
	out := CheckSize{
		Name: s.name, Diameter: s.diameter, Inside: s.inside, Along: triple(n), SinteredMM: s.sintered, Facets: s.facets,
		AtMM: triple(r3.Add(p.linear().MulVec(s.at), standingShift(p, hull))),
	}
	if s.diameter {
		low, high := ovalOf(n, p.Oversize)
		out.GreenMM, out.GreenHighMM = low*s.sintered, high*s.sintered
		return out
	}
	// Planes n.x = c become (F^-1 n).y = c, and so stand 1/|F^-1 n| times as far apart.
	o := p.Oversize
	out.GreenMM = s.sintered / r3.Norm(r3.Vec{X: n.X / o.X, Y: n.Y / o.Y, Z: n.Z / o.Z})
	out.GreenHighMM = out.GreenMM
	return out
}

// ovalOf gives smallest and largest diameter, across its own axis, of what a round
// wall of diameter 1 with the axis n becomes when it is oversized.
func ovalOf(n, oversize r3.Vec) (low, high float64) {
	grow := mesh.Diagonal(oversize)
	u := mesh.Across(n)
	v := r3.Cross(n, u)
	axis := r3.Unit(grow.MulVec(n))
	across := func(d r3.Vec) r3.Vec {
		d = grow.MulVec(d)
		return r3.Sub(d, r3.Scale(r3.Dot(d, axis), axis))
	}
	a, b := across(u), across(v)
	var svd mat.SVD
	if !svd.Factorize(mat.NewDense(3, 2, []float64{a.X, b.X, a.Y, b.Y, a.Z, b.Z}), mat.SVDNone) {
		return math.NaN(), math.NaN()
	}
	s := svd.Values(nil)
	return s[1], s[0]
}

// standingShift moves the green part onto the plate, as Pose.Green does.
func standingShift(p Pose, hull []r3.Vec) r3.Vec {
	linear := p.linear()
	low, high := boundsOf(hull, linear)
	return r3.Vec{X: -(low.X + high.X) / 2, Y: -(low.Y + high.Y) / 2, Z: -low.Z}
}

// boundsOf gives the box around turned points.
func boundsOf(points []r3.Vec, turn mesh.Matrix) (low, high r3.Vec) {
	low, high = r3.Vec{X: math.Inf(1), Y: math.Inf(1), Z: math.Inf(1)}, r3.Vec{X: math.Inf(-1), Y: math.Inf(-1), Z: math.Inf(-1)}
	for _, v := range points {
		v = turn.MulVec(v)
		low = r3.Vec{X: min(low.X, v.X), Y: min(low.Y, v.Y), Z: min(low.Z, v.Z)}
		high = r3.Vec{X: max(high.X, v.X), Y: max(high.Y, v.Y), Z: max(high.Z, v.Z)}
	}
	return low, high
}

// caliperSizes finds, once, the sizes that the part offers; none where ctx ends before.
func (s *Study) caliperSizes(ctx context.Context) []caliperSize {
	s.sizesLock.Lock()
	defer s.sizesLock.Unlock()
	if s.sizesKnown {
		return s.sizes
	}
	surface := mark.NewSurface(s.part.Mesh)
	flats, rounds, err := surface.Faces(ctx)
	if err != nil {
		return nil
	}
	s.sizes, s.sizesKnown = append(flatSizes(surface, flats), roundSizes(rounds)...), true
	return s.sizes
}

// flatSizes pairs parallel flats that look away from each other and that jaws get
// at, and takes the best few of different directions.
func flatSizes(surface *mark.Surface, flats []mark.Feature) []caliperSize {
	const parallel, tries = 1 - 1e-6, 60
	var all []caliperSize
	for i := range flats {
		for k := i + 1; k < len(flats); k++ {
			a, b := &flats[i], &flats[k]
			n := a.Plane.Normal
			apart := r3.Dot(n, r3.Sub(a.Plane.At, b.Plane.At))
			if -r3.Dot(n, b.Plane.Normal) < parallel || apart < leastSizeMM || apart > mostSizeMM {
				continue
			}
			area := min(surface.Area(a.Facets), surface.Area(b.Facets))
			all = append(all, caliperSize{
				along: n, at: r3.Scale(0.5, r3.Add(a.Plane.At, b.Plane.At)), sintered: apart,
				facets: slices.Concat(a.Facets, b.Facets), score: apart * math.Sqrt(area),
			})
			last := &all[len(all)-1]
			last.pair = [2]*mark.Feature{a, b}
		}
	}
	slices.SortStableFunc(all, func(a, b caliperSize) int { return cmp.Compare(b.score, a.score) })
	var out []caliperSize
	for _, s := range all[:min(len(all), tries)] {
		if len(out) == mostFlatSizes {
			break
		}
		if !anotherWay(out, s.along) || !s.within(surface) {
			continue
		}
		out = append(out, s)
	}
	return out
}

// anotherWay reports whether a direction differs from those of all sizes taken.
func anotherWay(taken []caliperSize, along r3.Vec) bool {
	cos := math.Cos(anotherWayDeg * math.Pi / 180)
	return !slices.ContainsFunc(taken, func(o caliperSize) bool { return math.Abs(r3.Dot(o.along, along)) > cos })
}

// within reports whether jaws hold the pair: enough of both faces lies opposite, and
// there is room outside. It moves the middle to where they do.
func (s *caliperSize) within(surface *mark.Surface) bool {
	a, b := s.pair[0], s.pair[1]
	at, share := mark.Opposite(surface, a, b)
	back, shareBack := mark.Opposite(surface, b, a)
	if max(share, shareBack) < leastShare || share == 0 || shareBack == 0 {
		return false
	}
	s.at = r3.Scale(0.5, r3.Add(at, back))
	return surface.Free(at, a.Plane.Normal, jawMM) && surface.Free(back, b.Plane.Normal, jawMM)
}

// roundSizes takes the largest few diameters that differ.
func roundSizes(rounds []mark.Feature) []caliperSize {
	const alike = 0.01 // mm
	var out []caliperSize
	for i := range rounds {
		b := &rounds[i].Bore
		same := slices.ContainsFunc(out, func(o caliperSize) bool { return math.Abs(o.sintered-b.DiameterMM) < alike })
		if same || b.DiameterMM < leastSizeMM || b.DiameterMM > mostSizeMM || b.LengthMM < leastSizeMM || len(out) == mostRoundOnes {
			continue
		}
		out = append(out, caliperSize{
			diameter: true, inside: b.Inside, along: b.Axis, at: b.At, sintered: b.DiameterMM, facets: rounds[i].Facets,
		})
	}
	return out
}
