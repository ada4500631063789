package mark

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
)

// Surface is a part's mesh made ready for picking faces. It is never changed and
// may be used by several goroutines at once.
type Surface struct {
	mesh    *mesh.Mesh
	edges   *mesh.Topology
	normals []r3.Vec // unit; zero for a facet without area
}

// NewSurface makes m ready. Equal vertices must have been welded.
func NewSurface(m *mesh.Mesh) *Surface {
	s := &Surface{mesh: m, edges: mesh.NewTopology(m), normals: make([]r3.Vec, len(m.Facets))}
	for i := range m.Facets {
		if n := m.AreaVector(i); n != (r3.Vec{}) {
			s.normals[i] = r3.Unit(n)
		}
	}
	return s
}

// Region gives the facets around seed that are reached over edges at which the
// surface bends by at most angleDeg: a flat for a small angle, a whole smooth
// face, fillets included, for a larger one. The result is ascending.
func (s *Surface) Region(seed int, angleDeg float64) []int32 {
	if seed < 0 || seed >= len(s.mesh.Facets) {
		return nil
	}
	cos := math.Cos(angleDeg * math.Pi / 180)
	seen := map[int32]bool{int32(seed): true}
	queue := []int32{int32(seed)}
	for len(queue) > 0 {
		at := queue[0]
		queue = queue[1:]
		s.beside(at, func(next int32) {
			if !seen[next] && s.smooth(at, next, cos) {
				seen[next] = true
				queue = append(queue, next)
			}
		})
	}
	return ascending(seen)
}

// smooth reports whether the surface bends by no more than the angle of cos
// between two facets. A facet without area bends nowhere.
func (s *Surface) smooth(a, b int32, cos float64) bool {
	na, nb := s.normals[a], s.normals[b]
	return na == (r3.Vec{}) || nb == (r3.Vec{}) || r3.Dot(na, nb) >= cos-1e-9
}

// beside calls visit for the facets across the edges of facet f.
func (s *Surface) beside(f int32, visit func(next int32)) {
	for k := range int32(3) {
		s.edges.Around(int(3*f+k), func(side int) {
			if next := int32(side / 3); next != f {
				visit(next)
			}
		})
	}
}

// Grow adds the facets beside the region.
func (s *Surface) Grow(region []int32) []int32 {
	in := set(region)
	for _, f := range region {
		s.beside(f, func(next int32) { in[next] = true })
	}
	return ascending(in)
}

// Shrink takes away the facets of the region that have one outside beside them.
func (s *Surface) Shrink(region []int32) []int32 {
	in := set(region)
	return slices.DeleteFunc(slices.Clone(region), func(f int32) bool {
		rim := false
		s.beside(f, func(next int32) { rim = rim || !in[next] })
		return rim
	})
}

// Without gives the facets of a that are not in b.
func Without(a, b []int32) []int32 {
	out := set(b)
	return slices.DeleteFunc(slices.Clone(a), func(f int32) bool { return out[f] })
}

// Nearest gives the facet whose middle is nearest to p among those facing within
// 60 degrees of normal (all, where normal is zero); -1 for an empty mesh.
func (s *Surface) Nearest(p, normal r3.Vec) int {
	best, least := -1, math.Inf(1)
	for i := range s.mesh.Facets {
		if normal != (r3.Vec{}) && r3.Dot(s.normals[i], normal) < 0.5 {
			continue
		}
		a, b, c := s.mesh.Corners(i)
		if d := distanceToTriangle(p, a, b, c); d < least {
			best, least = i, d
		}
	}
	return best
}

// distanceToTriangle is the squared distance from p to a triangle (Ericson,
// Real-Time Collision Detection, 5.1.5).
func distanceToTriangle(p, a, b, c r3.Vec) float64 {
	ab, ac, ap := r3.Sub(b, a), r3.Sub(c, a), r3.Sub(p, a)
	n := r3.Cross(ab, ac)
	if n2 := r3.Norm2(n); n2 > 0 {
		v := r3.Dot(r3.Cross(ap, ac), n) / n2
		w := r3.Dot(r3.Cross(ab, ap), n) / n2
		if v >= 0 && w >= 0 && v+w <= 1 {
			d := r3.Dot(ap, n)
			return d * d / n2
		}
	}
	return min(distanceToSegment(p, a, b), distanceToSegment(p, b, c), distanceToSegment(p, c, a))
}

func distanceToSegment(p, a, b r3.Vec) float64 {
	ab := r3.Sub(b, a)
	t := 0.0
	if l := r3.Norm2(ab); l > 0 {
		t = min(max(r3.Dot(r3.Sub(p, a), ab)/l, 0), 1)
	}
	return r3.Norm2(r3.Sub(p, r3.Add(a, r3.Scale(t, ab))))
}

func set(list []int32) map[int32]bool {
	in := make(map[int32]bool, len(list))
	for _, f := range list {
		in[f] = true
	}
	return in
}

func ascending(in map[int32]bool) []int32 {
	out := make([]int32, 0, len(in))
	for f := range in {
		out = append(out, f)
	}
	slices.Sort(out)
	return out
}
