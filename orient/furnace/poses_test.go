package furnace

import (
	"context"
	"errors"
	"math"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
)

// standingL is a long arm printed out from the top of a post: laid on its side it
// would not sag.
func standingL() Print {
	return Print{
		Part:      boxes([6]float64{0, 0, 0, 12, 8, 20}, [6]float64{0, 0, 17, 30, 8, 20}),
		Rotation:  mesh.Identity(),
		Shrinkage: r3.Vec{X: 0.16, Y: 0.16, Z: 0.20},
		Softness:  0.5,
	}
}

// faces are the normals of the hull of standingL that matter here.
var faces = []r3.Vec{{Z: -1}, {Y: 1}, {Y: -1}, {X: -1}, {Z: 1}}

func TestRestingPoses(t *testing.T) {
	p := standingL()
	poses := p.RestingPoses(DefaultCreep(), faces, 5)
	if len(poses) < 4 || !poses[0].AsPrinted {
		t.Fatalf("%d poses", len(poses))
	}
	for i, pose := range poses {
		m := p.Place(pose, p.Softness)
		b := m.Bounds()
		if math.Abs(b.Min.Z) > 1e-9 || math.Abs(b.Center().X) > 1e-9 {
			t.Errorf("pose %d stands at %v", i, b)
		}
		// Volume follows the print's shrinkage whatever the pose.
		s := p.scale(p.Softness)
		about(t, "volume", m.Volume(), p.Part.Volume()*s.X*s.Y*s.Z, 1e-9)
		if i > 1 && pose.Stand.TipAngleDeg > poses[i-1].Stand.TipAngleDeg+1e-9 {
			t.Errorf("pose %d is steadier than the one before", i)
		}
		if d := pose.Turn.MulVec(mesh.Diagonal(r3.Vec{X: 1 / s.X, Y: 1 / s.Y, Z: 1 / s.Z}).MulVec(pose.Down)); math.Abs(r3.Unit(d).Z+1) > 1e-9 {
			t.Errorf("pose %d rests on %v", i, d)
		}
	}
	green, sintered := p.Place(poses[0], 1).Bounds().Size(), p.Place(poses[0], 0).Bounds().Size()
	about(t, "green height", green.Z, 20/0.8, 1e-9)
	about(t, "sintered height", sintered.Z, 20, 1e-9)
	// As printed: travel of the green foot's corner, 12/0.84 by 8/0.84 long.
	about(t, "travel", poses[0].Stand.TravelMM, 0.16*math.Hypot(6/0.84, 4/0.84), 1e-9)
}

// TestChooseLaysDown: on its side the arm does not sag, so that is advised; a
// part that gains nothing stays as printed.
func TestChooseLaysDown(t *testing.T) {
	ctx, c := context.Background(), DefaultCreep()
	o := Options{Elements: 2500}
	p := standingL()
	poses := p.RestingPoses(c, faces, 3)
	if err := p.SolvePoses(ctx, poses, c, o); err != nil {
		t.Fatal(err)
	}
	choice := Choose(poses, DefaultStandLimits())
	if choice.Pose == 0 || math.Abs(poses[choice.Pose].Down.Y) < 0.99 || !strings.Contains(choice.Reason, "lay it on another face") {
		t.Errorf("choice %+v", choice)
	}
	cube := p
	cube.Part = boxes([6]float64{0, 0, 0, 15, 15, 15})
	poses = cube.RestingPoses(c, faces, 3)
	if err := cube.SolvePoses(ctx, poses, c, o); err != nil {
		t.Fatal(err)
	}
	if choice := Choose(poses, DefaultStandLimits()); choice.Pose != 0 || !strings.Contains(choice.Reason, "as printed") {
		t.Errorf("choice %+v", choice)
	}
}

// TestChooseRule goes through the rule with made-up answers.
func TestChooseRule(t *testing.T) {
	steady := Pose{GreenTipDeg: 30, SinteredTipDeg: 30, Stand: Stand{LeanGrowth: 1}}
	with := func(mm, off float64) Pose {
		p := steady
		p.Sag = &Sag{MM: mm, DiscretisationMM: off, SpanMM: 100}
		return p
	}
	shaky := with(0.01, 0)
	shaky.GreenTipDeg = 3
	collapsed := with(5, 0)
	collapsed.Sag.Collapses = true
	leaning := with(0.01, 0)
	leaning.Stand.LeanGrowth = 1.5
	broken := steady
	broken.Trouble = errors.New("it hangs free")
	tests := []struct {
		name  string
		poses []Pose
		want  int
	}{
		{"none", nil, 0},
		{"only as printed", []Pose{with(1, 0)}, 0},
		{"clearly better", []Pose{with(1, 0), with(0.4, 0)}, 1},
		{"not by half", []Pose{with(1, 0), with(0.6, 0)}, 0},
		{"by half but for the grid", []Pose{with(1, 0.1), with(0.45, 0.05)}, 0},
		{"by half of next to nothing", []Pose{with(0.05, 0), with(0.01, 0)}, 0},
		{"best of two", []Pose{with(1, 0), with(0.4, 0), with(0.3, 0)}, 2},
		{"not where it tips", []Pose{with(1, 0), shaky}, 0},
		{"not where it leans", []Pose{with(1, 0), leaning}, 0},
		{"as printed collapses", []Pose{collapsed, with(4, 0)}, 1},
		{"as printed hangs free", []Pose{broken, with(4, 0)}, 1},
		{"nothing will do", []Pose{broken, collapsed}, 0},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got := Choose(tt.poses, DefaultStandLimits())
			if got.Pose != tt.want || !strings.HasSuffix(got.Reason, ".") {
				t.Errorf("chose %d: %s", got.Pose, got.Reason)
			}
		})
	}
}

func TestSolvePosesStops(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	p := standingL()
	poses := p.RestingPoses(DefaultCreep(), faces, 3)
	var last float64
	err := p.SolvePoses(ctx, poses, DefaultCreep(), Options{Elements: 2500, Progress: func(stage string, f float64) {
		if f < last || !strings.Contains(stage, "pose") {
			t.Errorf("told %q %v after %v", stage, f, last)
		}
		if last = f; f > 0.3 {
			cancel()
		}
	}})
	if !errors.Is(err, context.Canceled) {
		t.Errorf("error %v", err)
	}
}
