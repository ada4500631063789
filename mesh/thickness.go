package mesh

import (
	"cmp"
	"context"
	"errors"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh/parallel"
)

// Walls are the extremes of the wall thickness.
type Walls struct {
	// Thick are the thickest places, each at a local depth of its own, thickest
	// first: those that may be the thickest once the part is stretched along some
	// axes. There is at least one.
	Thick []Wall
	// ThinnestMM is the thickness that a fiftieth of the surface does not
	// reach, measured between faces that look away from each other; a sharp
	// edge, where the faces meet at an angle, is no wall. ThinnestAt is in the
	// middle of such a wall. Where nothing faces anything it is the thickest.
	ThinnestMM float64
	ThinnestAt r3.Vec
	// OpenShare doubts all of these: see Voxels.
	OpenShare float64
}

// Wall is one place of the solid and what bounds it.
type Wall struct {
	// MM is the thickness: the diameter of the largest ball about At that the
	// surface leaves room for.
	MM float64
	At r3.Vec
	// Normals are unit vectors across the faces that bound it, which of the two
	// ways being of no account. There is at least one.
	Normals []r3.Vec
	// AtCavity is true where a closed cavity lies within the ball. The surface of
	// the cavity then does not count: the ball ends at the surface that can be
	// reached from outside, and MM is twice the depth below that.
	AtCavity bool
}

// Mapped gives the thickness that the wall has on the part after a linear map, of
// which the inverse transpose is given: that turns the normals. Two planes with the
// unit normal n that are MM apart are MM / |inverse transpose times n| apart after
// it; of several pairs the nearest counts.
func (w Wall) Mapped(inverseTranspose Matrix) float64 {
	longest := 0.0
	for _, n := range w.Normals {
		longest = max(longest, r3.Norm2(inverseTranspose.MulVec(n)))
	}
	return w.MM / math.Sqrt(longest)
}

const (
	// wallBricks bounds the lattice on which the thickest place is sought.
	wallBricks = 500_000
	// wallSamples is the number of places on the surface where the wall is
	// measured; thinShare the share of them that may be thinner than ThinnestMM
	// (judgement: small enough to see a rib, large enough to pass over lettering).
	wallSamples = 4096
	thinShare   = 0.02
	// facing is the least cosine between the inward normal on one side of a
	// wall and the outward one on the other: walls may taper by 20 degrees.
	facing = 0.94
	// mostWalls bounds the places that are told; alsoThick is the share of the
	// thickest that a place must have to be one of them: no process stretches one
	// axis by so much more than another.
	mostWalls = 12
	alsoThick = 0.7
)

// ErrNoSolid is returned where the surface encloses nothing.
var ErrNoSolid = errors.New("the surface encloses no solid")

// Walls measures the thickest and the thinnest wall. cavity marks the facets that
// bound closed cavities and may be nil. The thickest places are found by a distance
// transform on a lattice of bounded size and by chords across the walls, then
// moved to the true centre of the largest ball among the facets, so they are good
// to about a thousandth; those on the surface of a cavity are taken from a sample
// of it. A thin wall is measured along chords. It returns ErrNoSolid for a surface
// without inside, and the error of ctx.
func (m *Mesh) Walls(ctx context.Context, cavity []bool) (Walls, error) {
	box := m.Bounds()
	size := box.Size()
	if bad := size.X * size.Y * size.Z; !(bad > 0) || math.IsInf(bad, 0) {
		return Walls{}, ErrNoSolid
	}
	lattice := LatticeOver(box, math.Cbrt(size.X*size.Y*size.Z/wallBricks))
	for lattice.Bricks() > 4*wallBricks { // a flat or needle-like box is rounded up
		lattice = LatticeOver(box, 2*max(lattice.Pitch.X, lattice.Pitch.Y, lattice.Pitch.Z))
	}
	var s wallSurvey
	var wg parallel.Group
	var openErr error
	wg.Go(func() { openErr = s.open(ctx, m, cavity) })
	outside, _ := m.apart(cavity)
	voxels, err := outside.Voxels(ctx, lattice, 1)
	wg.Wait()
	if err = cmp.Or(err, openErr); err != nil {
		return Walls{}, err
	}
	if s.chords, err = s.caliper.chords(ctx, wallSamples); err != nil {
		return Walls{}, err
	}
	s.voxels = voxels
	w := Walls{OpenShare: voxels.OpenShare}
	if w.Thick, err = s.thickest(ctx); err != nil {
		return Walls{}, err
	}
	w.findThinnest(s.chords)
	return w, nil
}

// findThinnest takes the low percentile of the walls between facing sides.
func (w *Walls) findThinnest(chords []chord) {
	walls := make([]chord, 0, len(chords))
	for _, c := range chords {
		if c.facing && c.length > 0 {
			walls = append(walls, c)
		}
	}
	thickest := w.Thick[0]
	w.ThinnestMM, w.ThinnestAt = thickest.MM, thickest.At
	at := int(thinShare * float64(len(chords)))
	if at >= len(walls) {
		return
	}
	slices.SortStableFunc(walls, func(a, b chord) int { return cmp.Compare(a.length, b.length) })
	const more = 1.05 // a wall cannot be thicker than the thickest place, but for rounding
	if c := walls[at]; c.length <= more*thickest.MM {
		w.ThinnestMM, w.ThinnestAt = c.length, c.middle
	}
}
