package support

import (
	"fmt"

	"gonum.org/v1/gonum/spatial/r3"
)

// Cutter is what support is taken out with in the green state: a round end mill,
// rasp or burr in a holder, moved along straight lines.
type Cutter struct {
	// DiameterMM is that of the cutter and its shank, LengthMM how far they stick
	// out of the holder.
	DiameterMM, LengthMM float64
	// HolderMM is the diameter of the holder, or of the hand around it. Where it
	// is no more than that of the cutter the holder goes in as well, and the
	// length does not matter.
	HolderMM float64
}

// validate says in words what is wrong with the cutter.
func (c Cutter) validate() error {
	switch {
	case !(c.DiameterMM > 0 && c.DiameterMM < 1e4):
		return fmt.Errorf("support: a cutter of %g mm diameter cannot be used; give one above 0", c.DiameterMM)
	case !(c.LengthMM > 0 && c.LengthMM < 1e6):
		return fmt.Errorf("support: a cutter of %g mm length cannot be used; give one above 0", c.LengthMM)
	case !(c.HolderMM >= 0 && c.HolderMM < 1e4):
		return fmt.Errorf("support: a holder of %g mm diameter cannot be used; give 0 or more", c.HolderMM)
	}
	return nil
}

// stops reports whether the holder is wider than the cutter.
func (c Cutter) stops() bool { return c.HolderMM > c.DiameterMM }

// Access says whether a cutter gets at a piece of support.
type Access uint8

// The kinds of access, easiest first.
const (
	InReach  Access = iota // a straight cut from outside gets there
	TooDeep                // a longer cutter would, the holder is in the way
	Hidden                 // room enough, but round a corner
	Narrow                 // the way in is narrower than the cutter
	Enclosed               // in a closed cavity
	accesses
)

// String gives the access in words.
func (a Access) String() string {
	return [...]string{"in reach", "too deep", "hidden", "too narrow", "enclosed"}[a]
}

// Key gives the name of a in files.
func (a Access) Key() string {
	return [...]string{"in_reach", "too_deep", "hidden", "too_narrow", "enclosed"}[a]
}

// Reach says which support a cutter gets at in the green state, off the plate.
//
// A piece of support counts as in reach where the cutter, a flat-ended cylinder
// with its holder behind it, can be put to it along a straight line from outside
// without meeting the part. Support in the way does not count: it is cut first,
// by the same stroke. The directions tried are the six axes, the twenty between
// them, and some more (at most aimedStrokes) that are aimed, through the openings
// that a distance field shows, at what is left, unless that is crumbs.
//
// Whatever is said to be in reach was found so on a grid that makes the part and
// the cutter up to PixelMM larger on every side; a way in less than about 3
// PixelMM wider than the cutter may be missed. The skin of support within about 2
// PixelMM of what the cutter sweeps counts as cut: it comes off with the rest.
// Corners that the round cutter leaves for its own radius count as out of reach.
type Reach struct {
	Cutter Cutter
	// Regions go with the regions asked for.
	Regions []RegionReach
	// Points are pieces of support with their access, for a picture.
	Points []Piece
	// OutOfReachMM3 is the sum over the regions.
	OutOfReachMM3 float64
	// PixelMM is the coarsest grid used for strokes, VoxelMM the one for
	// openings; 0 where they were not needed.
	PixelMM, VoxelMM float64
	// Strokes is how many directions were tried.
	Strokes int
	// Work is what it took, in the steps of MostReachWork.
	Work int
	// Doubt says in a sentence how this was judged more coarsely than usual, since
	// it would have taken too much work; empty where it was not.
	Doubt string
}

// Piece is a small piece of support.
type Piece struct {
	At        r3.Vec // print frame, mm
	Region    int32
	Access    Access
	VolumeMM3 float64
}

// RegionReach is the reach of one region's support.
type RegionReach struct {
	// ByAccess is the volume of each kind of access, mm3; it sums to the
	// region's VolumeMM3.
	ByAccess [accesses]float64
	// Share is the part of it in reach, 0 to 1; 1 where there is no support.
	Share float64
	// OutOfReachMM3 is what is left, At a place in the midst of it, and Worst the
	// access of most of it; InReach where nothing is left.
	OutOfReachMM3 float64
	At            r3.Vec
	Worst         Access
	// From is the direction in which the cutter comes out again for most of the
	// cuts, a unit vector from the part outward, and FromShare the share of the
	// volume that it gets.
	From      r3.Vec
	FromShare float64
	// WayInMM is, for Narrow, about the widest ball that gets in from outside,
	// good to VoxelMM. NeedMM is, for TooDeep, a cutter length that would do.
	WayInMM, NeedMM float64
}
