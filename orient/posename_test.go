package orient

import (
	"context"
	"math"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"kilnpoise/mesh"
	"kilnpoise/mesh/meshtest"
)

func studyOf(t *testing.T, m *mesh.Mesh) *Study {
	t.Helper()
	s, err := NewStudy(context.Background(), &mesh.Part{Name: "part", Mesh: m, Health: mesh.Health{Watertight: true}})
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// Poses are named as a person would who sees the part.
func TestPosesAreNamedByWhatIsSeen(t *testing.T) {
	x, y, z := r3.Vec{X: 1}, r3.Vec{Y: 1}, r3.Vec{Z: 1}
	neg := func(v r3.Vec) r3.Vec { return r3.Scale(-1, v) }
	plate, block := meshtest.Block(60, 40, 5), meshtest.Block(40, 30, 20)
	bar, square := meshtest.Cylinder(5, 60, 96), meshtest.Block(60, 10, 10)
	for _, c := range []struct {
		what string
		m    *mesh.Mesh
		up   r3.Vec
		want string
	}{
		{"plate", plate, z, "flat, +Z up"},
		{"plate", plate, neg(z), "flat, -Z up"},
		{"plate on its long edge", plate, y, "on edge, +Y up"},
		{"plate on end", plate, x, "upright, +X up"},
		{"block on its middle face", block, y, "on its side, +Y up"},
		{"block on end", block, x, "upright, +X up"},
		{"round bar", bar, z, "upright, +Z up"},
		{"round bar lying", bar, x, "on its side, +X up"},
		{"round bar rolled", bar, r3.Vec{X: math.Cos(0.5), Y: math.Sin(0.5)}, "on its side, A +29 B -57"},
		{"square bar lying", square, z, "on its side, +Z up"},
		{"square bar lying", square, y, "on its side, +Y up"},
		{"square bar rolled", square, r3.Vec{Y: math.Sin(0.5), Z: math.Cos(0.5)}, "leaning 29 deg, A +29 deg"},
		{"cube", meshtest.Block(10, 10, 10), y, "standing, +Y up"},
		{"plate leaning", plate, r3.Vec{Y: math.Sin(0.6), Z: math.Cos(0.6)}, "leaning 34 deg, A +34 deg"},
	} {
		s := studyOf(t, c.m)
		pose, _ := poseFor(c.up, s.full.hull, r3.Vec{X: 1, Y: 1, Z: 1})
		one := []Candidate{{Pose: pose}}
		s.namePoses(one)
		if got := one[0].Name; !strings.HasPrefix(got, strings.Split(c.want, " A +")[0]) && got != c.want {
			t.Errorf("%s: %q, want %q", c.what, got, c.want)
		}
	}
}

// However a part stands, the same turned over has another name, and no two names
// of different ways are the same.
func TestNoTwoWaysHaveOneName(t *testing.T) {
	parts := []*mesh.Mesh{meshtest.Block(60, 40, 5), meshtest.Cylinder(5, 60, 48), meshtest.Block(10, 10, 10), meshtest.Sphere(10, 24)}
	var studies []*Study
	for _, m := range parts {
		studies = append(studies, studyOf(t, m))
	}
	rapid.Check(t, func(t *rapid.T) {
		s := studies[rapid.IntRange(0, len(studies)-1).Draw(t, "part")]
		up := r3.Vec{X: rapid.Float64Range(-1, 1).Draw(t, "x"), Y: rapid.Float64Range(-1, 1).Draw(t, "y"), Z: rapid.Float64Range(-1, 1).Draw(t, "z")}
		if r3.Norm(up) < 0.1 {
			up = r3.Vec{Z: 1}
		}
		up = r3.Unit(up)
		var all []Candidate
		for _, u := range []r3.Vec{up, r3.Scale(-1, up), {X: up.Y, Y: up.Z, Z: up.X}, {X: 1}, {X: -1}, {Y: 1}, {Y: -1}, {Z: 1}, {Z: -1}} {
			pose, _ := poseFor(u, s.full.hull, r3.Vec{X: 1, Y: 1, Z: 1})
			all = append(all, Candidate{Pose: pose})
		}
		s.namePoses(all)
		for i := range all {
			for k := range i {
				if all[i].Name == all[k].Name && all[i].Pose.Up() != all[k].Pose.Up() {
					t.Fatalf("%v and %v are both %q", all[i].Pose.Up(), all[k].Pose.Up(), all[i].Name)
				}
			}
		}
	})
}

// What tells a way from the same turned over is true: the broad face, or the heavy
// end, is where the name says.
func TestEndsAreWhereTheNameSays(t *testing.T) {
	cone := meshtest.Cone(10, 30, 64)
	for _, c := range []struct {
		up   r3.Vec
		want string
	}{{r3.Vec{Z: 1}, "flat end down"}, {r3.Vec{Z: -1}, "flat end up"}} {
		s := studyOf(t, cone)
		pose, _ := poseFor(c.up, s.full.hull, r3.Vec{X: 1, Y: 1, Z: 1})
		if got := s.nameOf(pose).String(); got != "upright, "+c.want {
			t.Errorf("cone with %v up: %q, want %q", c.up, got, c.want)
		}
	}
}
