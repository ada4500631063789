package mesh

import (
	"context"
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// ErrFlat is returned for points that all lie in one plane or on one line.
var ErrFlat = errors.New("its points span no volume")

const (
	// hullExact is how far beyond a facet of the hull a vertex may lie, in the
	// largest coordinate: what 32-bit files round by.
	hullExact = 1e-7
	// Of more vertices than fewPoints those may lie beyond a small facet by
	// hullRough of the part's diagonal: of a round part thousands would be corners
	// that turn the facets by less than can be told. Facets of a share of
	// largeShare of the part's largest section are not small, so flats stay exact.
	fewPoints  = 60_000
	hullRough  = 1e-4
	largeShare = 1.0 / 400
)

// Hull gives the convex hull of the vertices that facets use, facing outward. No
// vertex lies beyond a facet of it by more than hullExact, or, where there are very
// many and the facet is small, hullRough. It returns an error that wraps ErrFlat
// where there is no volume to enclose, and the error of ctx.
func (m *Mesh) Hull(ctx context.Context) (*Mesh, error) {
	points := m.hullPoints()
	if len(points) < 4 {
		return nil, ErrFlat
	}
	first, ok := farApart(points)
	if !ok {
		return nil, ErrFlat
	}
	h := newHullBuilder(points, first)
	if err := h.run(ctx, first); err != nil {
		if ctx.Err() != nil {
			return nil, ctx.Err()
		}
		return nil, fmt.Errorf("convex hull of %d points: %w", len(points), err)
	}
	hull := h.mesh(points)
	if diagonal := hull.Bounds().Diagonal(); hull.Volume() < 1e-9*diagonal*diagonal*diagonal {
		return nil, ErrFlat
	}
	return hull, nil
}

// hullPoints gives the vertices that facets use, each once.
func (m *Mesh) hullPoints() []r3.Vec {
	used := make([]bool, len(m.Vertices))
	for _, f := range m.Facets {
		used[f[0]], used[f[1]], used[f[2]] = true, true, true
	}
	points := make([]r3.Vec, 0, len(m.Vertices))
	for i, v := range m.Vertices {
		if used[i] {
			points = append(points, v)
		}
	}
	return points
}

func newHullBuilder(points []r3.Vec, first [4]int32) *hullBuilder {
	box := emptyBox()
	var largest float64
	for i := range points {
		v := &points[i]
		box.take(v)
		largest = max(largest, math.Abs(v.X), math.Abs(v.Y), math.Abs(v.Z))
	}
	grid := newSnapGrid(box)
	h := &hullBuilder{at: make([]gridPoint, len(points)), rim: make([]int32, len(points))}
	for i, v := range points {
		h.at[i] = grid.snap(v)
	}
	h.tight = hullExact * largest / grid.step
	h.loose = h.tight
	if len(points) > fewPoints {
		h.loose = max(h.tight, hullRough*box.Diagonal()/grid.step)
		a, b, c := h.at[first[0]], h.at[first[1]], h.at[first[2]]
		h.large = largeShare * r3.Norm(b.sub(a).cross(c.sub(a)).vec()) / 2
	}
	return h
}

// farApart gives four points that span the others well: of those farthest out along
// the axes the two farthest apart, that farthest from their line, and that farthest
// from the plane of the three.
func farApart(points []r3.Vec) (first [4]int32, ok bool) {
	var ends [6]int32
	for i := range points {
		for a := range 3 {
			if v := component(points[i], a); v > component(points[ends[2*a]], a) {
				ends[2*a] = int32(i)
			} else if v < component(points[ends[2*a+1]], a) {
				ends[2*a+1] = int32(i)
			}
		}
	}
	var span float64
	for n, i := range ends {
		for _, j := range ends[n+1:] {
			if d := r3.Norm2(r3.Sub(points[i], points[j])); d > span {
				span, first[0], first[1] = d, i, j
			}
		}
	}
	a, b := points[first[0]], points[first[1]]
	farthest := func(k int, measure func(v r3.Vec) float64) bool {
		var most float64
		for i := range points {
			if d := measure(points[i]); d > most {
				most, first[k] = d, int32(i)
			}
		}
		return most > 0
	}
	if span == 0 || !farthest(2, func(v r3.Vec) float64 { return r3.Norm2(r3.Cross(r3.Sub(v, a), r3.Sub(b, a))) }) {
		return first, false
	}
	normal := r3.Cross(r3.Sub(b, a), r3.Sub(points[first[2]], a))
	ok = farthest(3, func(v r3.Vec) float64 { return math.Abs(r3.Dot(normal, r3.Sub(v, a))) })
	return first, ok
}

// mesh gives the faces that are left, with the points as they were.
func (h *hullBuilder) mesh(points []r3.Vec) *Mesh {
	hull := &Mesh{}
	number := make([]int32, len(points)) // in the hull, plus one
	for i := range h.faces {
		f := &h.faces[i]
		if f.gone {
			continue
		}
		var facet [3]int32
		for k, c := range f.corner {
			if number[c] == 0 {
				hull.Vertices = append(hull.Vertices, points[c])
				number[c] = int32(len(hull.Vertices))
			}
			facet[k] = number[c] - 1
		}
		hull.Facets = append(hull.Facets, facet)
	}
	return hull
}
