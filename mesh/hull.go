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
var ErrFlat = errors.New("its points span no volume")

// Hull gives the convex hull of the vertices that facets use, facing outward. Of
// many points only those that lie farthest out in about every direction are
// taken: flats stay exact, round parts lose up to about 1e-4 of their size.
// It returns an error that wraps ErrFlat where there is no volume to enclose.
func (m *Mesh) Hull() (hull *Mesh, err error) {
	points := farthest(m.hullPoints())
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

// fewPoints are hulled as they are. More are thinned on a cube map whose faces
// have mapSide x mapSide cells.
const (
	fewPoints = 60_000
	mapSide   = 96
)

// farthest thins many points to the farthest from their middle in each cell of
// direction.
func farthest(points []georay.Vector) []georay.Vector {
	if len(points) <= fewPoints {
		return points
	}
	var sum georay.Vector
	for _, p := range points {
		sum = sum.Add(p)
	}
	middle := sum.Mul(1 / float64(len(points)))
	best := make([]int32, 6*mapSide*mapSide)
	radius := make([]float64, len(best))
	for i, p := range points {
		d := p.Sub(middle)
		if r, cell := d.Norm2(), directionCell(d); r > radius[cell] {
			best[cell], radius[cell] = int32(i), r
		}
	}
	var out []georay.Vector
	for cell, r := range radius {
		if r > 0 {
			out = append(out, points[best[cell]])
		}
	}
	return out
}

// directionCell gives the cell of the cube map that d points into.
func directionCell(d georay.Vector) int {
	c := [3]float64{d.X, d.Y, d.Z}
	face := 0
	for a := range c {
		if math.Abs(c[a]) > math.Abs(c[face]) {
			face = a
		}
	}
	size := math.Abs(c[face])
	if size == 0 {
		return 0
	}
	index := func(v float64) int {
		return min(int((v/size+1)/2*mapSide), mapSide-1)
	}
	side := 2 * face
	if c[face] < 0 {
		side++
	}
	return (side*mapSide+index(c[(face+1)%3]))*mapSide + index(c[(face+2)%3])
}
