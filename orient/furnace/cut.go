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
// that has solid.
func (md *model) soften(cover []float32) {
	power := md.power()
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

// power is that to which the fill of a cut brick is raised.
func (md *model) power() float64 {
	return 1 + min(cutPower*md.pitch()/md.wall, mostPower)
}

// softAcross gives the model as stiff as it is against bending across upright faces
// too, which is how walls lean, and for which the same holds there as for level ones;
// md itself where the surface cuts no brick. What stretches or presses such a wall
// within its plane finds it too soft then, by a seventh with two bricks through the
// wall: on the safe side.
func (md *model) softAcross() *model {
	power, sheet := md.power(), md.lattice.N[0]*md.lattice.N[1]
	soft := *md
	soft.solid = nil
	for i, f := range md.part {
		if f > 0 && f < 1 && md.solid[i] > 0 && i >= sheet { // what stands on the setter is held
			if soft.solid == nil {
				soft.solid = append([]float32(nil), md.solid...)
			}
			soft.solid[i] = min(md.solid[i], float32(math.Pow(float64(f), power)))
		}
	}
	if soft.solid == nil || !(power > 1) {
		return md
	}
	return &soft
}

// tooStiff gives by what factor the thinnest wall may still be too stiff against bending
// where fewer than two bricks go through it, lying anyhow across the grid: 1.2 for one
// and a half, 1.6 for one, 2.3 for 0.7, on the mean over all positions.
func (md *model) tooStiff() float64 {
	through := md.wall / md.pitch()
	if !(through > 0 && through < 2) {
		return 1
	}
	return max(wallStiffness(through, md.power()), 1)
}

// wallStiffness gives the bending stiffness of a wall of the given thickness, in
// bricks, over its true one, on the mean over all positions between the layers, when a
// cut brick counts with its fill to a power.
func wallStiffness(thickness, power float64) float64 {
	const positions = 500
	var sum float64
	for i := range positions {
		low := (float64(i) + 0.5) / positions
		high := low + thickness
		var area, first, second float64
		for k := 0.0; k < high; k++ {
			if fill := min(k+1, high) - max(k, low); fill > 0 {
				a, z := math.Pow(min(fill, 1), power), k+0.5
				area, first, second = area+a, first+a*z, second+a*(z*z+1.0/12)
			}
		}
		sum += second - first*first/area
	}
	return sum / positions / (thickness * thickness * thickness / 12)
}
