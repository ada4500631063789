package support

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
)

// Edge is a side on the rim of a region, with the region to the left seen from
// outside the part.
type Edge struct {
	A, B r3.Vec // its ends, print frame, mm
	// Facet is the region's facet at the edge, Beyond the one across it; -1
	// where the mesh is open.
	Facet, Beyond int32
	// Held says that the surface goes on downward there: a wall carries the edge.
	// Otherwise it hangs free.
	Held bool
}

// LengthMM is the length of the edge in space.
func (e Edge) LengthMM() float64 { return r3.Norm(r3.Sub(e.B, e.A)) }

// findEdges fills in the rim of region q.
func (s *Site) findEdges(r *Region, of []int32, q int32) {
	t, vertices := s.Topology, s.Stance.Vertices
	for _, f := range r.Facets {
		for side := 3 * int(f); side < 3*int(f)+3; side++ {
			inner, beyond, held := false, int32(-1), false
			t.Around(side, func(other int) {
				g := int32(other / 3)
				if g == f {
					return
				}
				inner = inner || of[g] == q
				if h := s.holds(side, other); beyond < 0 || h {
					beyond, held = g, held || h
				}
			})
			if inner {
				continue
			}
			from, to := t.Ends(side)
			e := Edge{A: vertices[from], B: vertices[to], Facet: f, Beyond: beyond, Held: held}
			if e.Held {
				r.HeldMM += e.LengthMM()
			} else {
				r.FreeMM += e.LengthMM()
			}
			r.Edges = append(r.Edges, e)
		}
	}
}

// levelSine is the sine of the angle below which two faces count as one plane.
const levelSine = 1e-6

// holds reports whether the facet at side other carries the overhanging one at
// side: they meet in an inner corner, or it goes on downward in the same plane.
func (s *Site) holds(side, other int) bool {
	n := unit(s.Stance.areaVector(int32(side / 3)))
	from, to := s.Topology.Ends(side)
	a, b := s.Stance.Vertices[from], s.Stance.Vertices[to]
	way := r3.Sub(s.Stance.Vertices[s.Topology.Opposite(other)], a)
	// The part of way that leads off the edge, so that its length tells an angle.
	along := unit(r3.Sub(b, a))
	way = unit(r3.Sub(way, r3.Scale(r3.Dot(way, along), along)))
	rise := r3.Dot(n, way)
	if math.Abs(rise) <= levelSine {
		return way.Z < 0
	}
	return rise > 0
}

// manyRests bounds how many resting places are looked at.
const manyRests = 8192

// ledge gives the largest distance in plan from a place of the region to its
// nearest held edge or resting place: from the ends of free edges, exactly, and
// from the given places.
func ledge(r *Region, places, rests []r2.Vec) float64 {
	var held [][2]r2.Vec
	for i := 0; i < len(rests); i += 1 + len(rests)/manyRests {
		held = append(held, [2]r2.Vec{rests[i], rests[i]})
	}
	for _, e := range r.Edges {
		if e.Held {
			held = append(held, [2]r2.Vec{plan(e.A), plan(e.B)})
			continue
		}
		places = append(places, plan(e.A), plan(e.B))
	}
	if len(held) == 0 {
		return 0
	}
	// A place nearer to some edge than the farthest so far is done with; begun at
	// the edge that settled the place before, most are at once.
	var most float64
	last := 0
	for _, p := range places {
		least := math.Inf(1)
		for k := range held {
			n := (last + k) % len(held)
			if d := fromSegment(p, held[n][0], held[n][1]); d < least {
				least = d
				if d <= most {
					last = n
					break
				}
			}
		}
		most = max(most, least)
	}
	return most
}

// plan drops the height.
func plan(v r3.Vec) r2.Vec { return r2.Vec{X: v.X, Y: v.Y} }

// fromSegment gives the distance from p to the segment a, b.
func fromSegment(p, a, b r2.Vec) float64 {
	d := r2.Sub(b, a)
	u := 0.0
	if n := r2.Norm2(d); n > 0 {
		u = min(max(r2.Dot(r2.Sub(p, a), d)/n, 0), 1)
	}
	return r2.Norm(r2.Sub(p, r2.Add(a, r2.Scale(u, d))))
}

// extent gives the sides of the smallest rectangle around the shadow.
func (s *Site) extent(r *Region) (long, short float64) {
	points := make([]r2.Vec, 0, 3*len(r.Facets))
	for _, f := range r.Facets {
		a, b, c := s.Stance.corners(f)
		points = append(points, plan(a), plan(b), plan(c))
	}
	rect := mesh.SmallestRectangle(mesh.Outline(points))
	return rect.Long, rect.Short
}
