package orient

import (
	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
)

// debinding fills in the thickest and the thinnest wall as they are when green, and
// the hours that the binder needs to leave the part. Oversizing stretches walls that
// lie across the axis that shrinks most by more than others, so another one may be
// the thickest in each pose.
func (g *gauge) debinding(r *reading) {
	m := &r.measures
	across := mesh.Diagonal(inverse(r.pose.Oversize)).Mul(r.pose.Rotation)
	for _, w := range g.subject.walls.Thick {
		if green := w.Mapped(across); green > m.ThickestGreenWallMM {
			m.ThickestGreenWallMM, m.ThickestWallAtCavity = green, w.AtCavity
			m.ThickestWallAtMM = triple(g.greenPlace(r.pose, w.At))
		}
	}
	for i, w := range g.subject.walls.Thin {
		if green := w.Mapped(across); i == 0 || green < m.ThinnestGreenWallMM {
			m.ThinnestGreenWallMM = green
			m.ThinnestWallAtMM = triple(g.greenPlace(r.pose, w.At))
		}
	}
	if m.ThinnestGreenWallMM > m.ThickestGreenWallMM { // a thick bar, of which one way across is known
		m.ThinnestGreenWallMM, m.ThinnestWallAtMM = m.ThickestGreenWallMM, m.ThickestWallAtMM
	}
	m.DebindingLowH, m.DebindingHighH = g.brief.Material.DebindingHours(m.ThickestGreenWallMM)
}

// greenPlace gives where a place of the part is on the green part in the print
// frame, as Pose.Green has it.
func (g *gauge) greenPlace(p Pose, at r3.Vec) r3.Vec {
	middle := r3.Scale(0.5, r3.Add(g.stance.Lo, g.stance.Hi))
	v := r3.Add(p.linear().MulVec(at), g.stance.Shift)
	return r3.Vec{X: v.X - middle.X, Y: v.Y - middle.Y, Z: v.Z}
}

// inverse gives one over each factor.
func inverse(o r3.Vec) r3.Vec { return r3.Vec{X: 1 / o.X, Y: 1 / o.Y, Z: 1 / o.Z} }
