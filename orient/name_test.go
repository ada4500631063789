package orient

import (
	"context"
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
	"kilnpoise/mesh/meshtest"
)

func boxOf(t *testing.T, m *mesh.Mesh) ownBox {
	t.Helper()
	hull, err := m.Hull(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	return smallestBox(hull.Vertices, restingFaces(hull))
}

// Letters of ISO/ASTM 52921, orthogonal orientation notation: the axis parallel
// to the longest side first, then the second, then the shortest.
func TestNames(t *testing.T) {
	block := meshtest.Block(20, 10, 30) // longest Z, then X, then Y as loaded
	bar := meshtest.Cylinder(5, 40, 96)
	disc := meshtest.Cylinder(20, 4, 96)
	x, y, z := r3.Vec{X: 1}, r3.Vec{Y: 1}, r3.Vec{Z: 1}
	turn := func(axis r3.Vec, deg float64) mesh.Matrix { return mesh.RotationAbout(axis, deg*math.Pi/180) }
	tests := []struct {
		name string
		m    *mesh.Mesh
		turn mesh.Matrix
		want string
	}{
		{"block as loaded", block, mesh.Identity(), "ZXY, +Z up"},
		{"block turned about X", block, turn(x, 90), "YXZ, +Y up"},
		{"block turned about Y", block, turn(y, 90), "XZY, -X up"},
		{"block on its head", block, turn(x, 180), "ZXY, -Z up"},
		{"block tilted", block, turn(x, 30), "A +30.0 deg"},
		{"block tilted twice", block, turn(z, 20).Mul(turn(y, -40)), "B -40.0, C +20.0 deg"},
		{"block spun by 25", block, turn(z, 25), "C +25.0 deg"},
		{"round bar upright", bar, mesh.Identity(), "Z, +Z up"},
		{"round bar lying", bar, turn(y, 90), "X, -X up"},
		{"disc flat", disc, turn(z, 13), "XYZ, +Z up"},
		{"cube", meshtest.Block(7, 7, 7), mesh.Identity(), "XYZ, +Z up"},
	}
	for _, tt := range tests {
		if got := notationFor(Pose{Rotation: tt.turn}, boxOf(t, tt.m), fileBox(tt.m)); got != tt.want {
			t.Errorf("%s: %q, want %q", tt.name, got, tt.want)
		}
	}
}

// The angles A, B, C rebuild the rotation.
func TestRotationsRebuildTheMatrix(t *testing.T) {
	const rad = math.Pi / 180
	for _, want := range [][3]float64{{10, 20, 30}, {-170, 45, 100}, {0, 90, 33}, {0, -90, -70}, {180, 0, 0}} {
		m := mesh.RotationAbout(r3.Vec{Z: 1}, want[2]*rad).
			Mul(mesh.RotationAbout(r3.Vec{Y: 1}, want[1]*rad)).
			Mul(mesh.RotationAbout(r3.Vec{X: 1}, want[0]*rad))
		got := rotations(m)
		for i := range got {
			if math.Abs(math.Remainder(got[i]-want[i], 360)) > 1e-6 {
				t.Errorf("rotations = %v, want %v", got, want)
				break
			}
		}
	}
}

func TestBoxOfTurnedBlock(t *testing.T) {
	turned := meshtest.Block(20, 10, 30).Transform(mesh.RotationAbout(r3.Unit(r3.Vec{X: 1, Y: 2, Z: 3}), 0.8), r3.Vec{})
	for i, want := range [3]float64{30, 20, 10} {
		if got := boxOf(t, turned).sides[i]; math.Abs(got-want) > 1e-6 {
			t.Errorf("side %d = %g, want %g", i, got, want)
		}
	}
}
