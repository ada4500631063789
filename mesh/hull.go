package mesh

import (
	"errors"
	"fmt"
	"math"

	georay "github.com/golang/geo/r3"
	quickhull "github.com/markus-wa/quickhull-go/v2"
	"gonum.org/v1/gonum/spatial/r3"
)

// ErrFlat is returned for points that all lie in one plane or on one line.
var ErrFlat = errors.New("mesh: the points span no volume")

// Hull gives the convex hull of the vertices that facets use, facing outward.
// It returns an error that wraps ErrFlat where there is no volume to enclose.
func (m *Mesh) Hull() (hull *Mesh, err error) {
	points := m.hullPoints()
	if len(points) < 4 {
		return nil, ErrFlat
	}
	// The library panics on degenerate input instead of returning an error.
	defer func() {
		if r := recover(); r != nil {
			hull, err = nil, fmt.Errorf("convex hull of %d points: %v: %w", len(points), r, ErrFlat)
		}
	}()
	var q quickhull.QuickHull
	h := q.ConvexHull(points, true, false, 0)
	hull = &Mesh{Vertices: make([]r3.Vec, len(h.Vertices)), Facets: make([][3]int32, len(h.Indices)/3)}
	for i, v := range h.Vertices {
		hull.Vertices[i] = r3.Vec(v)
	}
	for i := range hull.Facets {
		hull.Facets[i] = [3]int32{int32(h.Indices[3*i]), int32(h.Indices[3*i+1]), int32(h.Indices[3*i+2])}
	}
	volume := hull.Volume()
	if volume < 0 {
		for i, f := range hull.Facets {
			hull.Facets[i] = [3]int32{f[0], f[2], f[1]}
		}
	}
	if diagonal := hull.Bounds().Diagonal(); math.Abs(volume) < 1e-9*diagonal*diagonal*diagonal {
		return nil, ErrFlat
	}
	return hull, nil
}

// hullPoints gives the vertices that facets use, each once.
func (m *Mesh) hullPoints() []georay.Vector {
	used := make([]bool, len(m.Vertices))
	for _, f := range m.Facets {
		used[f[0]], used[f[1]], used[f[2]] = true, true, true
	}
	points := make([]georay.Vector, 0, len(m.Vertices))
	for i, v := range m.Vertices {
		if used[i] {
			points = append(points, georay.Vector(v))
		}
	}
	return points
}
