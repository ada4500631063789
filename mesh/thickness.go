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
	// Thin are the thinnest walls and pins, thinnest first: those that may be the
	// thinnest once the part is stretched along some axes. A wall has two faces that
	// look away from each other over a millimetre or more both ways; a sharp edge,
	// a rounding or raised lettering is none. Where nothing faces anything it is the
	// thickest place.
	Thin []Wall
	// ThinFiftiethMM is the thickness that a fiftieth of the surface does not
	// reach, measured between faces that look away from each other.
	ThinFiftiethMM float64
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
	// ways being of no account. There is at least one. Each bounds it by itself, but
	// where Shares are given, three faces or more hold the ball between them: then
	// these are their shares in that, one in all.
	Normals []r3.Vec
	Shares  []float64
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
	var longest, mean float64
	for i, n := range w.Normals {
		l := r3.Norm(inverseTranspose.MulVec(n))
		longest = max(longest, l)
		if w.Shares != nil {
			mean += w.Shares[i] * l
		}
	}
	if w.Shares != nil {
		return w.MM / mean
	}
	return w.MM / longest
}

const (
	// wallBricks bounds the lattice on which the thickest place is sought.
	wallBricks = 500_000
	// wallSamples is the number of places on the surface where the wall is
	// measured; thinShare the share of them that may be thinner than ThinFiftiethMM
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
	// barelyMore is the rounding that a wall may be thicker than the thickest place.
	barelyMore = 1.05
)

// ErrNoSolid is returned where the surface encloses nothing.
var ErrNoSolid = errors.New("the surface encloses no solid")

// Walls measures the thickest and the thinnest wall. cavity marks the facets that
// bound closed cavities and may be nil. The thickest places are found by a distance
// transform on a lattice of bounded size and by chords across the walls, then
// moved to the true centre of the largest ball among the facets, so they are good
// to about a thousandth; those on the surface of a cavity are taken from a sample
// of it. Thin walls are measured along chords and followed sideways. It returns
// ErrNoSolid for a surface without inside, and the error of ctx.
func (m *Mesh) Walls(ctx context.Context, cavity []bool) (Walls, error) {
	box := m.Bounds()
	size := box.Size()
	if bad := size.X * size.Y * size.Z * m.Area(); !(bad > 0) || math.IsInf(bad, 0) { // not a number is neither
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
	if s.chords, err = s.caliper.chords(ctx, spreadOver(m, wallSamples), math.Inf(1)); err != nil {
		return Walls{}, err
	}
	s.voxels = voxels
	w := Walls{OpenShare: voxels.OpenShare}
	if w.Thick, err = s.thickest(ctx); err != nil {
		return Walls{}, err
	}
	if w.Thin, err = s.thinnest(ctx, w.Thick[0]); err != nil {
		return Walls{}, err
	}
	w.ThinFiftiethMM = thinFiftieth(s.chords, w.Thick[0].MM)
	return w, nil
}

// thinFiftieth takes the low percentile of the walls between facing sides.
func thinFiftieth(chords []chord, thickest float64) float64 {
	var walls []float64
	for _, c := range chords {
		if c.facing >= facing && c.length > 0 {
			walls = append(walls, c.length)
		}
	}
	at := int(thinShare * float64(len(chords)))
	if at >= len(walls) {
		return thickest
	}
	slices.Sort(walls)
	if walls[at] > barelyMore*thickest {
		return thickest
	}
	return walls[at]
}
