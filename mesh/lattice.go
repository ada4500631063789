package mesh

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Lattice is a block of equal bricks with faces along the axes.
type Lattice struct {
	// Origin is the low corner of brick (0, 0, 0), mm.
	Origin r3.Vec
	// Pitch is the brick's edge along each axis, mm.
	Pitch r3.Vec
	// N counts the bricks along x, y and z.
	N [3]int
}

// LatticeOver gives the lattice that fills box with whole bricks of about the
// given pitch: along each axis the pitch is drawn in, never out, so that the
// box ends where a brick ends. A side without length gets one brick.
func LatticeOver(box Box, pitch float64) Lattice {
	size := box.Size()
	side := func(length float64) (int, float64) {
		n := int(max(1, math.Ceil(length/pitch-1e-6)))
		if length <= 0 {
			return 1, pitch
		}
		return n, length / float64(n)
	}
	l := Lattice{Origin: box.Min}
	l.N[0], l.Pitch.X = side(size.X)
	l.N[1], l.Pitch.Y = side(size.Y)
	l.N[2], l.Pitch.Z = side(size.Z)
	return l
}

// Bricks gives the number of bricks.
func (l Lattice) Bricks() int { return l.N[0] * l.N[1] * l.N[2] }

// BrickVolume gives the volume of one brick, mm3.
func (l Lattice) BrickVolume() float64 { return l.Pitch.X * l.Pitch.Y * l.Pitch.Z }

// Index gives the place of brick (i, j, k) in slices over the lattice: x runs
// fastest, then y, then z.
func (l Lattice) Index(i, j, k int) int { return (k*l.N[1]+j)*l.N[0] + i }

// brickAt gives the index of the brick that holds p, drawn into the lattice.
func (l Lattice) brickAt(p r3.Vec) int {
	var c [3]int
	for a := range c {
		c[a] = int(min(max((component(p, a)-component(l.Origin, a))/component(l.Pitch, a), 0), float64(l.N[a]-1)))
	}
	return l.Index(c[0], c[1], c[2])
}

// Center gives the middle of brick (i, j, k), mm.
func (l Lattice) Center(i, j, k int) r3.Vec {
	return r3.Vec{
		X: l.Origin.X + (float64(i)+0.5)*l.Pitch.X,
		Y: l.Origin.Y + (float64(j)+0.5)*l.Pitch.Y,
		Z: l.Origin.Z + (float64(k)+0.5)*l.Pitch.Z,
	}
}

// MostBricks is the largest lattice that Voxels takes on.
const MostBricks = 1 << 26

// ErrTooFine is returned for a lattice of more than MostBricks bricks.
var ErrTooFine = errors.New("the grid is too fine for this part")

// check reports a lattice that cannot be filled.
func (l Lattice) check() error {
	bricks := 1.0
	for _, n := range l.N {
		if n < 1 {
			return fmt.Errorf("mesh: lattice of %v bricks has none", l.N)
		}
		bricks *= float64(n)
	}
	if !(l.Pitch.X > 0 && l.Pitch.Y > 0 && l.Pitch.Z > 0) || math.IsInf(l.BrickVolume(), 0) {
		return fmt.Errorf("mesh: lattice pitch %v must be positive", l.Pitch)
	}
	if bricks > MostBricks {
		return fmt.Errorf("%.3g bricks, at most %d: %w", bricks, MostBricks, ErrTooFine)
	}
	return nil
}
