package orient

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
)

// poseFor turns up onto +Z and spins the part about Z so that the smallest
// rectangle around it has its long side along X. hull is the part's hull.
func poseFor(up r3.Vec, hull []r3.Vec, oversize r3.Vec) (Pose, mesh.Rectangle) {
	stand := mesh.RotationBetween(up, r3.Vec{Z: 1})
	shadow := make([]r2.Vec, len(hull))
	for i, v := range hull {
		p := stand.MulVec(v)
		shadow[i] = r2.Vec{X: p.X, Y: p.Y}
	}
	rect := mesh.SmallestRectangle(mesh.Outline(shadow))
	spin := mesh.RotationAbout(r3.Vec{Z: 1}, -rect.Angle)
	return Pose{Rotation: spin.Mul(stand), Oversize: oversize}, rect
}

// asLoadedPose leaves the part as the file has it.
func asLoadedPose(oversize r3.Vec) Pose {
	return Pose{Rotation: mesh.Identity(), Oversize: oversize}
}

// linear is the map from the part frame to the green part.
func (p Pose) linear() mesh.Matrix { return mesh.Diagonal(p.Oversize).Mul(p.Rotation) }

// oversizeOf gives the factors 1/(1-s) for the shrinkage of the brief.
func (b Brief) oversizeOf() r3.Vec {
	o := b.Material.Oversize()
	return r3.Vec{X: o[0], Y: o[1], Z: o[2]}
}

// angleBetween gives the angle between unit vectors, degrees.
func angleBetween(a, b r3.Vec) float64 {
	return math.Atan2(r3.Norm(r3.Cross(a, b)), r3.Dot(a, b)) * 180 / math.Pi
}
