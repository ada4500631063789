package orient

import (
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
	"kilnpoise/orient/mark"
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
	// when only the beam estimate is known. SagAt is the worst place, SagMM the
	// sag there as the measures have it (0: take the largest of Sag), which lies
	// past small displacements where SagCollapses is true.
	Sag          []float64
	SagAt        r3.Vec
	SagMM        float64
	SagCollapses bool
	// Displacement is the whole way of each vertex of Sintered, mm, of which Sag
	// is the downward part; nil when only that is known.
	Displacement []r3.Vec
	// Marked gives what each facet of Green is marked as; nil when nothing is
	// marked.
	Marked []MarkSet
	// RegionOf gives the number of the overhang region of the support plan that
	// each facet of Green belongs to, from 1, and 0 for none; nil when no supports
	// are planned.
	RegionOf []int32
}

// MarkSet is what one facet is marked as: any of the kinds together. The zero
// value marks nothing.
type MarkSet uint8

// With gives s with the kind k added.
func (s MarkSet) With(k mark.Kind) MarkSet { return s | 1<<k }

// pick is the bit of a facet that is being picked, beside those of the kinds.
const pick = 1 << 7

// WithPick gives s picked as well: on its way to be marked.
func (s MarkSet) WithPick() MarkSet { return s | pick }

// Picked tells whether s is picked.
func (s MarkSet) Picked() bool { return s&pick != 0 }

// Has tells whether the kind k is in s.
func (s MarkSet) Has(k mark.Kind) bool { return s&(1<<k) != 0 }

// Post is one square column of support envelope: axis at X, Y, side Width, from
// Bottom to Top, mm, print frame.
type Post struct{ X, Y, Width, Bottom, Top float64 }
