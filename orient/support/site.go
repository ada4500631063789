package support

import (
	"context"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
)

// Site is a green part on the plate with all that is needed to look closely at
// its support: where it hangs over, what is below, what a cutter gets at. It is
// made for one build direction, kept for as long as that is looked at, and not
// safe for concurrent use.
type Site struct {
	// Stance holds the part in the print frame.
	Stance *Stance
	// Topology says which facets meet; Columns what lies above what.
	Topology *mesh.Topology
	Columns  *mesh.Columns
	// Closed and Cavity are as for Stance.Measure.
	Closed bool
	Cavity []bool

	limitDeg float64
	// restsAsked is how many places of the regions were looked at for bodies below.
	restsAsked int
}

// NewSite looks at the green part as it stands in the print frame, lowest point
// at z = 0, with about lines vertical lines (256 x 256 is plenty for a part as
// large as the plate). limitDeg is the downskin angle from the plate below which
// a face hangs over. closed says that the mesh is watertight, and cavity marks
// facets that bound closed cavities; it may be nil. Whatever is made from the
// site stands in the frame of green.
func NewSite(green *mesh.Mesh, limitDeg float64, lines int, closed bool, cavity []bool) *Site {
	s, _ := NewSiteUntil(context.Background(), green, limitDeg, lines, closed, cavity) // fails only when its context ends
	return s
}

// NewSiteUntil is NewSite that stops with the error of ctx.
func NewSiteUntil(ctx context.Context, green *mesh.Mesh, limitDeg float64, lines int, closed bool, cavity []bool) (*Site, error) {
	edges, err := mesh.NewTopologyUntil(ctx, green)
	if err != nil {
		return nil, err
	}
	s := &Site{
		Stance: &Stance{}, Columns: &mesh.Columns{Context: ctx}, Topology: edges,
		Closed: closed, Cavity: cavity, limitDeg: limitDeg,
	}
	s.Stance.Set(green, mesh.Identity(), limitDeg)
	s.Stance.Columns(s.Columns, lines)
	return s, ctx.Err()
}

// corners gives the corners of a facet, mm, print frame.
func (s *Stance) corners(i int32) (a, b, c r3.Vec) {
	f := s.Facets[i]
	return s.Vertices[f[0]], s.Vertices[f[1]], s.Vertices[f[2]]
}

// areaVector is the outward normal of a facet times its area, mm2.
func (s *Stance) areaVector(i int32) r3.Vec {
	a, b, c := s.corners(i)
	return r3.Scale(0.5, r3.Cross(r3.Sub(b, a), r3.Sub(c, a)))
}

// middle is the centroid of a facet, mm.
func (s *Stance) middle(i int32) r3.Vec {
	a, b, c := s.corners(i)
	return r3.Scale(1.0/3, r3.Add(a, r3.Add(b, c)))
}

// unit is v at length 1, or zero.
func unit(v r3.Vec) r3.Vec {
	if n := r3.Norm(v); n > 0 {
		return r3.Scale(1/n, v)
	}
	return r3.Vec{}
}
