package furnace

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"math"
	"slices"

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
	// Softness says at which size it is solved, between 0, sintered, and 1,
	// green: the part is soft all along the way from one to the other.
	Softness float64
}

// scale gives the factor along each print axis from finished size to the size
// at softness f.
func (p Print) scale(f float64) r3.Vec {
	at := func(s float64) float64 { return math.Pow(1-s, -f) }
	return r3.Vec{X: at(p.Shrinkage.X), Y: at(p.Shrinkage.Y), Z: at(p.Shrinkage.Z)}
}

// Pose is one way to lay the part on the setter.
type Pose struct {
	// AsPrinted is true for the pose of the print, supports and all.
	AsPrinted bool
	// Down is the direction of the part frame that points at the setter, a
	// normal at finished size.
	Down r3.Vec
	// Turn takes the print frame to the furnace frame.
	Turn mesh.Matrix
	// Stand is measured at the size of Softness; GreenTipDeg and SinteredTipDeg
	// are the tip angles at the two ends.
	Stand                       Stand
	GreenTipDeg, SinteredTipDeg float64
	// Sag is nil until solved, and where Trouble says why it cannot be.
	Sag     *Sag
	Trouble error
}

// Place gives the part in this pose at softness f (0 sintered, 1 green), in the
// furnace frame: on z = 0, its box centred in x and y.
func (p Print) Place(pose Pose, f float64) *mesh.Mesh {
	linear := pose.Turn.Mul(mesh.Diagonal(p.scale(f))).Mul(p.Rotation)
	m := p.Part.Transform(linear, r3.Vec{})
	b := m.Bounds()
	c := b.Center()
	for i, v := range m.Vertices {
		m.Vertices[i] = r3.Vec{X: v.X - c.X, Y: v.Y - c.Y, Z: v.Z - b.Min.Z}
	}
	return m
}

// RestingPoses gives the poses to choose from: as printed first, then the faces
// of the convex hull on which the part stays at rest at every size from green to
// sintered, the steadiest first, at most the given number. Directions are the
// outward normals of the hull's faces, part frame, finished size. The candidates
// are those of Zwier and Wits, Procedia CIRP 55 (2016) 128.
func (p Print) RestingPoses(c Creep, directions []r3.Vec, most int) []Pose {
	poses := []Pose{p.measure(Pose{AsPrinted: true, Down: r3.Scale(-1, p.Rotation.Row(2)), Turn: mesh.Identity()}, c)}
	var others []Pose
	for _, d := range directions {
		if r3.Norm(d) == 0 || r3.Cos(d, poses[0].Down) > sameFace {
			continue
		}
		pose := p.measure(Pose{Down: r3.Unit(d), Turn: p.layOn(d)}, c)
		if min(pose.GreenTipDeg, pose.SinteredTipDeg, pose.Stand.TipAngleDeg) >= atRest {
			others = append(others, pose)
		}
	}
	slices.SortStableFunc(others, func(a, b Pose) int { return cmp.Compare(b.Stand.TipAngleDeg, a.Stand.TipAngleDeg) })
	return append(poses, others[:min(most, len(others))]...)
}

const (
	// sameFace is the cosine from which two directions mean one face.
	sameFace = 0.9999
	// atRest is the tilt, degrees, that a pose must bear to count as resting.
	atRest = 2
)

// layOn gives the turn of the print frame that lays the face with outward normal
// d (part frame, finished size) on the setter. Scaling by unlike factors turns
// faces, so the normal is taken at the size of Softness.
func (p Print) layOn(d r3.Vec) mesh.Matrix {
	n, s := p.Rotation.MulVec(d), p.scale(p.Softness)
	n = r3.Unit(r3.Vec{X: n.X / s.X, Y: n.Y / s.Y, Z: n.Z / s.Z})
	return mesh.RotationBetween(n, r3.Vec{Z: -1})
}

// measure fills in how the pose stands.
func (p Print) measure(pose Pose, c Creep) Pose {
	toSintered := func(f float64) r3.Vec { // shrinkage still to come at softness f
		s := p.scale(f)
		return r3.Vec{X: 1 - 1/s.X, Y: 1 - 1/s.Y, Z: 1 - 1/s.Z}
	}
	green := p.Place(pose, 1)
	pose.GreenTipDeg = TipAngleDeg(mesh.Outline(footCorners(green)), green.Solid().Centroid)
	sintered := p.Place(pose, 0)
	pose.SinteredTipDeg = TipAngleDeg(mesh.Outline(footCorners(sintered)), sintered.Solid().Centroid)
	pose.Stand = Standing(p.Place(pose, p.Softness), c, Turned(toSintered(p.Softness), pose.Turn), DefaultFriction)
	pose.Stand.TravelMM = travel(mesh.Outline(footCorners(green)), Turned(toSintered(1), pose.Turn))
	return pose
}

// SolvePoses works out the sag of every pose. A pose that cannot be solved gets
// its Trouble; only the error of ctx ends the work early.
func (p Print) SolvePoses(ctx context.Context, poses []Pose, c Creep, o Options) error {
	told := o.Progress
	for i := range poses {
		if told != nil {
			o.Progress = func(stage string, fraction float64) {
				told(fmt.Sprintf("pose %d of %d: %s", i+1, len(poses), stage), (float64(i)+fraction)/float64(len(poses)))
			}
		}
		poses[i].Sag, poses[i].Trouble = Solve(ctx, p.Place(poses[i], p.Softness), c, o)
		if err := ctx.Err(); err != nil {
			return err
		}
	}
	return nil
}

// errUnsolved is what a pose without an answer is judged by.
var errUnsolved = errors.New("furnace: not solved")

// trouble says why a pose cannot be used, or nil.
func (p Pose) trouble(l StandLimits) error {
	switch {
	case p.Trouble != nil:
		return p.Trouble
	case p.Sag == nil:
		return errUnsolved
	case p.Sag.Collapses:
		return fmt.Errorf("it collapses: the sag is past a tenth of its %.0f mm span", p.Sag.SpanMM)
	case p.Stand.LeanGrowth > l.LeanGrowth:
		return fmt.Errorf("a lean would grow %s", growthWords(p.Stand.LeanGrowth))
	case min(p.GreenTipDeg, p.SinteredTipDeg) < l.SmallestTipDeg:
		return fmt.Errorf("it tips at %.1f degrees", min(p.GreenTipDeg, p.SinteredTipDeg))
	}
	return nil
}
