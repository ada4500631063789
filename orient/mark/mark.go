// Package mark is what matters on a part: faces that must stay clean or smooth,
// a preferred foot, bores and critical dimensions, and where the load pulls. Marks
// live in the part frame, mm; what they cost in an orientation is orient's to say.
package mark

import "gonum.org/v1/gonum/spatial/r3"

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
	Stock      []Stock
}

// Empty reports whether nothing is marked.
func (m *Marks) Empty() bool {
	return len(m.Faces) == 0 && len(m.Dimensions) == 0 && len(m.Loads) == 0 && len(m.Stock) == 0
}
