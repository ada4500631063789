package orient

import (
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
)

// Detail is what the pictures of one candidate need.
type Detail struct {
	// Green is the part in the print frame, with the facets of the part in its
	// order.
	Green *mesh.Mesh
	// Sintered is the part in the furnace frame. Where the sag is solved its
	// long edges are divided, so that the field shows inside large facets;
	// SinteredFrom then gives for each facet the facet of the part, else nil.
	Sintered     *mesh.Mesh
	SinteredFrom []int32
	// Overhang marks the facets of Green that need support.
	Overhang []bool
	// Supports are the columns under the overhangs, in the print frame.
	Supports []Post
	// Footprint is the support polygon on the plate, print frame,
	// counter-clockwise; Contact marks the facets that lie on the plate.
	Footprint []r2.Vec
	Contact   []bool
	// CenterOfMass is of the green part, print frame.
	CenterOfMass r3.Vec
	// Sag is the downward displacement of each vertex of Sintered, mm; nil
	// when only the beam estimate is known. SagAt is the worst place.
	Sag   []float64
	SagAt r3.Vec
}

// Post is one square column of support envelope: axis at X, Y, side Width, from
// Bottom to Top, mm, print frame.
type Post struct{ X, Y, Width, Bottom, Top float64 }
