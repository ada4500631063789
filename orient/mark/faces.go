package mark

import (
	"cmp"
	"context"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
)

// Limits on the faces that are worth knowing, so that a scan does not take for ever.
const (
	leastFaceMM2 = 4   // smaller ones no jaw holds
	mostFaces    = 200 // of each kind, the largest
	flatOffMM    = 0.02
)

// Faces gives the flats and the round walls of the part, bores and pins, each the
// largest first. The error is that of ctx.
func (s *Surface) Faces(ctx context.Context) (flats, rounds []Feature, err error) {
	whole := s.pieces(BoreWithinDeg, nil)
	if err := ctx.Err(); err != nil {
		return nil, nil, err
	}
	largest(s, whole)
	var mixed [][]int32
	for _, facets := range whole[:min(len(whole), mostFaces)] {
		if err := ctx.Err(); err != nil {
			return nil, nil, err
		}
		if f, err := FitFeature(s.mesh, facets, true); err == nil && s.closesAround(&f) {
			rounds = append(rounds, f)
			continue
		}
		mixed = append(mixed, facets)
	}
	var level [][]int32
	for _, facets := range mixed {
		if err := ctx.Err(); err != nil {
			return nil, nil, err
		}
		level = append(level, s.pieces(FlatWithinDeg, facets)...)
	}
	largest(s, level)
	for _, facets := range level[:min(len(level), mostFaces)] {
		if err := ctx.Err(); err != nil {
			return nil, nil, err
		}
		if f, err := FitFeature(s.mesh, facets, false); err == nil && f.Plane.OffMM <= flatOffMM && s.Area(facets) >= leastFaceMM2 {
			flats = append(flats, f)
		}
	}
	return flats, rounds, nil
}

// pieces breaks the facets of a region, nil for all, into those that hang together
// over edges that bend by at most so much.
func (s *Surface) pieces(withinDeg float64, of []int32) [][]int32 {
	cos := math.Cos(withinDeg * math.Pi / 180)
	free := make([]bool, len(s.mesh.Facets))
	if of == nil {
		of = make([]int32, len(free))
		for i := range of {
			of[i] = int32(i)
		}
	}
	for _, f := range of {
		free[f] = true
	}
	var out [][]int32
	for _, f := range of {
		if !free[f] {
			continue
		}
		free[f] = false
		piece := []int32{f}
		for k := 0; k < len(piece); k++ {
			at := piece[k]
			s.beside(at, func(next int32) {
				if free[next] && s.smooth(at, next, cos) {
					free[next] = false
					piece = append(piece, next)
				}
			})
		}
		slices.Sort(piece)
		out = append(out, piece)
	}
	return out
}

// largest sorts regions by area, the largest first.
func largest(s *Surface, regions [][]int32) {
	area := make(map[int32]float64, len(regions))
	for _, r := range regions {
		area[r[0]] = s.Area(r)
	}
	slices.SortFunc(regions, func(a, b []int32) int {
		return cmp.Or(cmp.Compare(area[b[0]], area[a[0]]), cmp.Compare(a[0], b[0]))
	})
}

// closesAround reports whether the wall of a bore or pin goes all the way round, so
// that it has a diameter to take.
func (s *Surface) closesAround(f *Feature) bool {
	const parts = 8
	var seen [parts]bool
	u := mesh.Across(f.Bore.Axis)
	v := r3.Cross(f.Bore.Axis, u)
	for _, p := range spots(s.mesh, f.Facets) {
		d := r3.Sub(p, f.Bore.At)
		turn := math.Atan2(r3.Dot(v, d), r3.Dot(u, d))/(2*math.Pi) + 0.5
		seen[min(int(turn*parts), parts-1)] = true
	}
	return !slices.Contains(seen[:], false)
}

// Opposite gives the middle of where two parallel flats lie over each other, seen
// square on, and about what share of the first one's points do.
func Opposite(s *Surface, a, b *Feature) (at r3.Vec, share float64) {
	points, others := spots(s.mesh, a.Facets), spots(s.mesh, b.Facets)
	common := over(points, others, a.Plane.Normal)
	if len(common) == 0 {
		return r3.Vec{}, 0
	}
	return middleOf(common), float64(len(common)) / float64(len(points))
}

// Free reports whether nothing of the part is met within reach of a point, going in
// a direction from just off the surface.
func (s *Surface) Free(from, way r3.Vec, reach float64) bool {
	const off = 1e-3
	start := r3.Add(from, r3.Scale(off, way))
	for i := range s.mesh.Facets {
		if t, hit := meets(start, way, s, i); hit && t < reach {
			return false
		}
	}
	return true
}

// meets gives where a ray meets a facet (Moeller and Trumbore, J. Graphics Tools 2
// (1997) 21).
func meets(from, way r3.Vec, s *Surface, facet int) (t float64, hit bool) {
	a, b, c := s.mesh.Corners(facet)
	ab, ac := r3.Sub(b, a), r3.Sub(c, a)
	p := r3.Cross(way, ac)
	det := r3.Dot(ab, p)
	if math.Abs(det) < 1e-14 {
		return 0, false
	}
	d := r3.Sub(from, a)
	u := r3.Dot(d, p) / det
	q := r3.Cross(d, ab)
	v := r3.Dot(way, q) / det
	t = r3.Dot(ac, q) / det
	return t, u >= 0 && v >= 0 && u+v <= 1 && t > 0
}
