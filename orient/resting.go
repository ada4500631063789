package orient

import (
	"context"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
	"kilnpoise/orient/furnace"
)

// Resting is how a candidate is laid down in the furnace.
type Resting struct {
	// Poses are those looked at, as printed first.
	Poses []furnace.Pose
	// Chosen is the one to take, Reason why, in a sentence.
	Chosen int
	Reason string

	print furnace.Print
}

// Pose gives the pose to take.
func (r *Resting) Pose() *furnace.Pose { return &r.Poses[r.Chosen] }

// Mesh gives the part at finished size as it lies in the pose to take, furnace
// frame.
func (r *Resting) Mesh() *mesh.Mesh { return r.print.Place(*r.Pose(), 0) }

const (
	// restedCandidates is how many candidates, from the first, are also tried
	// lying on other faces; otherPoses how many faces are tried for each.
	restedCandidates = 3
	otherPoses       = 3
	// restingElements is the grid for trying them: fine enough to tell a clear
	// winner.
	restingElements = 12_000
)

// rest tries the candidate on other faces of its hull, supports taken off in the
// green state, shrinkage still that of the print.
func (a *Advice) rest(ctx context.Context, c *Candidate, friction float64, tell func(string, float64)) (*Resting, error) {
	s := a.Brief.Material.Shrinkage
	p := furnace.Print{Part: a.Part.Mesh, Rotation: c.Pose.Rotation, Shrinkage: r3.Vec{X: s[0], Y: s[1], Z: s[2]}}
	var faces []r3.Vec
	for _, f := range a.study.faces {
		faces = append(faces, r3.Scale(-1, f.up))
	}
	poses := p.RestingPoses(a.Brief.creep(), faces[:min(len(faces), mostRestingFaces)], otherPoses)
	o := furnace.Options{Elements: restingElements, Friction: friction, NoCheck: true, Progress: tell}
	if err := p.SolvePoses(ctx, poses, a.Brief.creep(), o); err != nil {
		return nil, err
	}
	if c.Solved != nil { // as printed it was solved more finely already
		poses[0].Sag, poses[0].Trouble = c.Solved, nil
	}
	choice := furnace.Choose(poses, a.Brief.standLimits())
	return &Resting{Poses: poses, Chosen: choice.Pose, Reason: choice.Reason, print: p}, nil
}

// mostRestingFaces bounds the faces of round parts that are looked at.
const mostRestingFaces = 40

// standLimits gives the limits of the records for how a part stands.
func (b Brief) standLimits() furnace.StandLimits {
	l := furnace.DefaultStandLimits()
	l.SmallestTipDeg = b.Material.SmallestTipDeg
	l.LeanGrowth = 1 + b.Material.AllowedLeanGrowth
	return l
}

// RestingReport is how a candidate is laid down, as written to JSON.
type RestingReport struct {
	AsPrinted bool `json:"as_printed"`
	// Turn maps the print frame to the furnace frame.
	Turn           mesh.Matrix `json:"turn"`
	TipAngleDeg    float64     `json:"tip_angle_deg"`
	SetterTravelMM float64     `json:"setter_travel_mm"`
	SagMM          float64     `json:"sag_mm"`
	SagLowMM       float64     `json:"sag_low_mm"`
	SagHighMM      float64     `json:"sag_high_mm"`
	// Tried is how many poses were compared, as printed among them; Reason why
	// this one.
	Tried  int    `json:"tried"`
	Reason string `json:"reason"`
}

func restingReport(c *Candidate) RestingReport {
	m := &c.Measures
	if c.Resting == nil || c.Resting.Chosen == 0 {
		r := RestingReport{
			AsPrinted: true, Turn: mesh.Identity(), TipAngleDeg: m.TipAngleDeg, SetterTravelMM: m.SetterTravelMM,
			SagMM: m.SagMM, SagLowMM: m.SagLowMM, SagHighMM: m.SagHighMM, Tried: 1,
		}
		if c.Resting != nil {
			r.Tried, r.Reason = len(c.Resting.Poses), c.Resting.Reason
		}
		return r
	}
	p := c.Resting.Pose()
	return RestingReport{
		Turn: p.Turn, TipAngleDeg: min(p.GreenTipDeg, p.SinteredTipDeg), SetterTravelMM: p.Stand.TravelMM,
		SagMM: p.Sag.MM, SagLowMM: p.Sag.LowMM, SagHighMM: p.Sag.HighMM,
		Tried: len(c.Resting.Poses), Reason: c.Resting.Reason,
	}
}
