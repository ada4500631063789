package orient

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
)

// ownBox is the smallest box around a part that has one side on a resting face:
// the box that a person would measure the part by, however the file is turned.
type ownBox struct {
	// axes are the directions of the sides in the part frame, as rows; sides
	// their lengths, mm, the longest first.
	axes  mesh.Matrix
	sides [3]float64
}

// boxFaces bounds how many resting faces are tried; the smallest box nearly
// always has a side on one of the largest.
const boxFaces = 60

func smallestBox(hull []r3.Vec, faces []restingFace) ownBox {
	var best ownBox
	least := math.Inf(1)
	for _, f := range faces[:min(len(faces), boxFaces)] {
		b := boxOn(hull, f.up)
		// Boxes of equal size do not take turns by rounding.
		if v := b.sides[0] * b.sides[1] * b.sides[2]; v < least*(1-1e-6) {
			best, least = b, v
		}
	}
	return best
}

// fileBox is the box along the axes of the file.
func fileBox(m *mesh.Mesh) ownBox {
	size := m.Bounds().Size()
	return sorted([3]r3.Vec{{X: 1}, {Y: 1}, {Z: 1}}, [3]float64{size.X, size.Y, size.Z})
}

// boxOn gives the smallest box with one side across up.
func boxOn(hull []r3.Vec, up r3.Vec) ownBox {
	stand := mesh.RotationBetween(up, r3.Vec{Z: 1})
	shadow := make([]r2.Vec, len(hull))
	low, high := math.Inf(1), math.Inf(-1)
	for i, v := range hull {
		p := stand.MulVec(v)
		shadow[i] = r2.Vec{X: p.X, Y: p.Y}
		low, high = min(low, p.Z), max(high, p.Z)
	}
	rect := mesh.SmallestRectangle(mesh.Outline(shadow))
	sin, cos := math.Sincos(rect.Angle)
	back := stand.Transpose()
	return sorted(
		[3]r3.Vec{back.MulVec(r3.Vec{X: cos, Y: sin}), back.MulVec(r3.Vec{X: -sin, Y: cos}), up},
		[3]float64{rect.Long, rect.Short, high - low},
	)
}

// sorted puts the longest side first.
func sorted(axes [3]r3.Vec, sides [3]float64) ownBox {
	for range 2 {
		for i := range 2 {
			if sides[i] < sides[i+1] {
				sides[i], sides[i+1] = sides[i+1], sides[i]
				axes[i], axes[i+1] = axes[i+1], axes[i]
			}
		}
	}
	b := ownBox{sides: sides}
	for i, a := range axes {
		b.axes[i] = [3]float64{a.X, a.Y, a.Z}
	}
	return b
}

// diagonal gives the space diagonal, mm.
func (b ownBox) diagonal() float64 {
	return math.Hypot(b.sides[0], math.Hypot(b.sides[1], b.sides[2]))
}
