// Package mark is what matters on a part: faces that must stay clean or smooth,
// a preferred foot, bores and critical dimensions, and where the load pulls. Marks
// live in the part frame, mm; what they cost in an orientation is orient's to say.
package mark

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Kind is what a marked face is to the user.
type Kind int

// The kinds of marked faces.
const (
	KeepClean Kind = iota // no support may touch it
	Smooth                // its layer steps count
	Foot                  // the part should rest on it
	kindCount
)

// Kinds lists the kinds in the order in which they are shown.
func Kinds() []Kind {
	all := make([]Kind, kindCount)
	for i := range all {
		all[i] = Kind(i)
	}
	return all
}

// String gives the kind in words for the screen and the sheet.
func (k Kind) String() string { return [...]string{"keep clean", "smooth", "rests well"}[k] }

// Key gives the name of k in files.
func (k Kind) Key() string { return [...]string{"keep_clean", "smooth", "rests_well"}[k] }

// KindOf gives the kind of that key.
func KindOf(key string) (Kind, bool) {
	for _, k := range Kinds() {
		if k.Key() == key {
			return k, true
		}
	}
	return 0, false
}

// Face is a marked face of the part.
type Face struct {
	Kind Kind
	Name string
	// Facets are indices into the part's mesh, ascending.
	Facets []int32
}

// Dimension is a length that has to be true: the distance between two faces, or
// the diameter of a bore.
type Dimension struct {
	Name string
	// Along is the direction it is measured in, a unit vector; for a bore its axis.
	Along r3.Vec
	// Bore is true for a diameter across Along.
	Bore bool
	// NominalMM is the length, ToleranceMM the deviation allowed either way; 0
	// takes ISO 2768-1 medium.
	NominalMM, ToleranceMM float64
}

// Tolerance gives the deviation allowed either way, mm.
func (d Dimension) Tolerance() float64 {
	if d.ToleranceMM > 0 {
		return d.ToleranceMM
	}
	return MediumTolerance(d.NominalMM)
}

// Load is a direction in which the part is pulled or pushed in use.
type Load struct {
	Name string
	// Along is a unit vector; its sign does not matter.
	Along r3.Vec
}

// Marks is all that is marked on a part. The zero value marks nothing.
type Marks struct {
	Faces      []Face
	Dimensions []Dimension
	Loads      []Load
}

// Empty reports whether nothing is marked.
func (m *Marks) Empty() bool {
	return len(m.Faces) == 0 && len(m.Dimensions) == 0 && len(m.Loads) == 0
}

// MediumTolerance gives the permissible deviation of a linear dimension, either
// way, mm, for tolerance class m of ISO 2768-1, table 1. The values for 25, 50
// and 150 mm were seen in an excerpt of the standard; the rest of the table is
// from memory. Lengths out of its range (0.5 to 4000 mm) take its ends. The row is
// taken for the length rounded to 0.001 mm: a mesh measures 6.0000001 mm where the
// drawing says 6.
func MediumTolerance(mm float64) float64 {
	mm = math.Round(mm*1000) / 1000
	for _, row := range [...]struct{ upTo, deviation float64 }{
		{6, 0.1}, {30, 0.2}, {120, 0.3}, {400, 0.5}, {1000, 0.8}, {2000, 1.2},
	} {
		if mm <= row.upTo {
			return row.deviation
		}
	}
	return 2
}
