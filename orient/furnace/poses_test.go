package furnace

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
)

// A block printed as it is, on edge or leaning lies on the same face with the same
// stability when sintered; green it is larger, by the factors of the print.
func TestOnAFace(t *testing.T) {
	block := boxes([6]float64{0, 0, 0, 30, 20, 8})
	corners := []r3.Vec{{}, {X: 30}, {X: 30, Y: 20}, {Y: 20}}
	centroid := r3.Vec{X: 15, Y: 10, Z: 4}
	c := DefaultCreep()
	for _, tt := range []struct {
		name     string
		rotation mesh.Matrix
		green    float64 // tip angle
	}{
		{"as it is", mesh.Identity(), math.Atan2(10/0.84, 4/0.80)},
		{"on edge", mesh.RotationBetween(r3.Vec{Y: 1}, r3.Vec{Z: 1}), math.Atan2(10/0.80, 4/0.84)},
		// Sheared by unlike factors: the face has grown by its own direction, and the
		// height above it by that across it.
		{"leaning", mesh.RotationAbout(r3.Vec{X: 1}, math.Pi/4), -1},
	} {
		p := Print{Part: block, Rotation: tt.rotation, Shrinkage: r3.Vec{X: 0.16, Y: 0.16, Z: 0.20}}
		f := Face{Down: r3.Vec{Z: -1}, Corners: corners, Lain: mesh.Identity(), Stand: Standing(block, c, mesh.Matrix{}, 0.5)}
		pose := p.On(&f, centroid)
		box := p.Place(pose).Bounds()
		if math.Abs(box.Min.Z) > 1e-9 || math.Abs(box.Max.Z-8) > 1e-9 || math.Abs(box.Center().X) > 1e-9 {
			t.Errorf("%s: it lies at %v", tt.name, box)
		}
		about(t, tt.name+", sintered", pose.SinteredTipDeg, math.Atan2(10, 4)*180/math.Pi, 1e-9)
		if tt.green > 0 {
			about(t, tt.name+", green", pose.GreenTipDeg, tt.green*180/math.Pi, 1e-9)
		} else if math.Abs(pose.GreenTipDeg-pose.SinteredTipDeg) > 4 {
			t.Errorf("%s: green it tips at %g, sintered at %g", tt.name, pose.GreenTipDeg, pose.SinteredTipDeg)
		}
	}
	flat := Print{Part: block, Rotation: mesh.Identity(), Shrinkage: r3.Vec{X: 0.16, Y: 0.16, Z: 0.20}}
	pose := flat.On(&Face{Down: r3.Vec{Z: -1}, Corners: corners, Lain: mesh.Identity()}, centroid)
	about(t, "travel", pose.Stand.TravelMM, 0.16*math.Hypot(15/0.84, 10/0.84), 1e-9)
}
