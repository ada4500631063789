package furnace

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
)

// Print is a part with the way it was printed, which decides how it shrinks
// however it lies in the furnace.
type Print struct {
	// Part is in the part frame, at finished size.
	Part *mesh.Mesh
	// Rotation takes the part frame to the print frame.
	Rotation mesh.Matrix
	// Shrinkage is (green - sintered) / green along the axes of the print frame.
	Shrinkage r3.Vec
}

// Green gives the map from the part frame to the green part in the print frame.
func (p Print) Green() mesh.Matrix { return mesh.Diagonal(p.oversize()).Mul(p.Rotation) }

// oversize gives the factor along each print axis from finished size to green.
func (p Print) oversize() r3.Vec {
	return r3.Vec{X: 1 / (1 - p.Shrinkage.X), Y: 1 / (1 - p.Shrinkage.Y), Z: 1 / (1 - p.Shrinkage.Z)}
}

// FaceGrowth is by what factor the area of a flat with that normal, part frame and
// finished size, is larger on the green part.
func (p Print) FaceGrowth(normal r3.Vec) float64 {
	n, o := p.Rotation.MulVec(normal), p.oversize()
	return r3.Norm(r3.Vec{X: n.X * o.Y * o.Z, Y: n.Y * o.Z * o.X, Z: n.Z * o.X * o.Y})
}

// Pose is one way to lay the part on the setter.
type Pose struct {
	// AsPrinted is true for the pose of the print, supports and all.
	AsPrinted bool
	// Down is the direction of the part frame that points at the setter, a
	// normal at finished size.
	Down r3.Vec
	// Turn takes the print frame to the furnace frame, at finished size.
	Turn mesh.Matrix
	// Stand is measured at finished size, but for the travel, which begins green;
	// GreenTipDeg and SinteredTipDeg are the tip angles before and after the shrinkage.
	Stand                       Stand
	GreenTipDeg, SinteredTipDeg float64
	// Sag is nil until solved, and where Trouble says why it cannot be.
	Sag     *Sag
	Trouble error
}

// TipAngleDeg is the smaller of the tip angles before and after the shrinkage.
func (p *Pose) TipAngleDeg() float64 { return min(p.GreenTipDeg, p.SinteredTipDeg) }

// Place gives the part in this pose at finished size, in the furnace frame: on
// z = 0, its box centred in x and y.
func (p Print) Place(pose Pose) *mesh.Mesh {
	m := p.Part.Transform(pose.Turn.Mul(p.Rotation), r3.Vec{})
	b := m.Bounds()
	c := b.Center()
	for i, v := range m.Vertices {
		m.Vertices[i] = r3.Vec{X: v.X - c.X, Y: v.Y - c.Y, Z: v.Z - b.Min.Z}
	}
	return m
}

// Face is a flat of the part's hull to lie on, with what does not hang on how the
// part was printed: all sintered parts are alike.
type Face struct {
	// Down is the outward normal, part frame, and Corners are points around it.
	Down    r3.Vec
	Corners []r3.Vec
	// Lain takes the part frame to the furnace frame.
	Lain mesh.Matrix
	// Stand is how the part stands on it at finished size.
	Stand Stand
}

// On gives the pose of the print on a face; centroid is the centre of mass of the
// part, part frame.
func (p Print) On(f *Face, centroid r3.Vec) Pose {
	pose := Pose{Down: f.Down, Turn: f.Lain.Mul(p.Rotation.Transpose()), Stand: f.Stand, SinteredTipDeg: f.Stand.TipAngleDeg}
	// Scaling by unlike factors turns faces: the green part lies on its face too, a
	// little turned against how it lies when sintered.
	down, o := p.Rotation.MulVec(f.Down), p.oversize()
	down = r3.Unit(r3.Vec{X: down.X / o.X, Y: down.Y / o.Y, Z: down.Z / o.Z})
	green := mesh.RotationBetween(down, r3.Vec{Z: -1}).Mul(p.Green())
	foot := make([]r2.Vec, len(f.Corners))
	low := math.Inf(1)
	for i, v := range f.Corners {
		q := green.MulVec(v)
		foot[i], low = r2.Vec{X: q.X, Y: q.Y}, min(low, q.Z)
	}
	middle := green.MulVec(centroid)
	outline := mesh.Outline(foot)
	pose.GreenTipDeg = TipAngleDeg(outline, r3.Vec{X: middle.X, Y: middle.Y, Z: middle.Z - low})
	pose.Stand.TravelMM = travel(outline, Turned(p.Shrinkage, pose.Turn))
	return pose
}
