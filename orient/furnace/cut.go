package furnace

import "math"

// Bricks that the surface cuts
//
// A brick that is half full weighs half, and stretched it carries half; but in a
// wall it sits at the rim, and the half that is there is the inner one, nearer
// the middle than the brick's own middle. Taken at half stiffness a wall two to
// four bricks thick, lying anyhow across the grid, comes out 50 to 12 % too
// stiff in bending (mean over all positions of a level wall, see cut_test.go).
// Stiffness therefore goes with the height of the solid in the brick to the
// power 1 + 1.5 h/t, with h the brick's edge and t the thinnest wall: that makes
// the mean right to a few per cent, and as bricks become small against the wall
// the power becomes 1. The part of the brick's plan that is covered counts as it
// is: beside an upright face width counts for weight and stiffness alike.

// cutPower is the 1.5 above; mostPower bounds the excess over 1 for walls
// thinner than two bricks, where nothing helps.
const (
	cutPower  = 1.5
	mostPower = 0.75
)

// soften sets the stiffness of the cut bricks. cover is the share of their plan
// that has solid, wall the thinnest wall, mm.
func (md *model) soften(cover []float32, wall float64) {
	power := 1 + min(cutPower*math.Cbrt(md.lattice.BrickVolume())/wall, mostPower)
	if !(power > 1) {
		return
	}
	md.solid = make([]float32, len(md.part))
	for i, f := range md.part {
		if f > 0 && f < 1 && cover[i] > 0 {
			md.solid[i] = float32(float64(cover[i]) * math.Pow(min(float64(f/cover[i]), 1), power))
		} else {
			md.solid[i] = f
		}
	}
}
