package furnace

import (
	"math"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
)

func TestStandingBlock(t *testing.T) {
	c := checkCreep(0.45)
	shrink := mesh.Diagonal(r3.Vec{X: 0.16, Y: 0.1, Z: 0.2})
	s := Standing(boxes([6]float64{-5, -5, 0, 5, 5, 30}), c, shrink, 0.5)
	about(t, "tip angle", s.TipAngleDeg, 18.435, 1e-4) // check value, derived
	about(t, "footprint", s.FootprintMM2, 100, 1e-9)
	about(t, "travel", s.TravelMM, math.Hypot(0.8, 0.5), 1e-9)
	about(t, "drag", s.DragStrain, DragStrain(c, 0.5, 10), 1e-9)
	about(t, "foot strain", s.FootStrain, FootStrain(c, 30), 1e-9)
	about(t, "elephant foot", s.ElephantFootMM, ElephantFootMM(c, 30, 10), 1e-9)
	limit := ColumnLimitMM(c, 10/math.Sqrt(12))
	about(t, "times its weight", s.Lean.WeightFactor, math.Pow(limit/30, 3), 1e-6)
	about(t, "lean growth", s.Lean.Growth, LeanGrowth(30, limit), 1e-9)
	if s.Feet != 1 || len(s.Footprint) != 4 || s.HeightMM != 30 {
		t.Errorf("%+v", s)
	}
}

// TestStandingRod: the check value of a round rod of 5 mm, limit 49.18 mm and
// 10 % growth at 22.46 mm (derived from Greenhill 1881).
func TestStandingRod(t *testing.T) {
	c := checkCreep(0.5)
	rod := disc(2.5, 22.46, 360)
	s := Standing(rod, c, mesh.Matrix{}, 0.5)
	about(t, "times its weight", s.Lean.WeightFactor, math.Pow(49.18/22.46, 3), 6e-3)
	about(t, "growth", s.Lean.Growth, 1.1, 2e-3)
	if insideOut := Standing(insideOut(rod), c, mesh.Matrix{}, 0.5); math.Abs(insideOut.Lean.Growth-s.Lean.Growth) > 1e-9 {
		t.Errorf("inside out: growth %v, want %v", insideOut.Lean.Growth, s.Lean.Growth)
	}
}

func TestStandingFeet(t *testing.T) {
	s := Standing(tablePart(), DefaultCreep(), mesh.Diagonal(r3.Vec{X: 0.16, Y: 0.16, Z: 0.2}), DefaultFriction)
	if s.Feet != 2 {
		t.Errorf("%d feet, want 2", s.Feet)
	}
	about(t, "footprint", s.FootprintMM2, 72, 1e-9)
	if s := Standing(&mesh.Mesh{}, DefaultCreep(), mesh.Matrix{}, 0.5); s.TipAngleDeg != 0 || s.Footprint != nil {
		t.Errorf("empty mesh: %+v", s)
	}
}

// TestTurned: shrinkage stays with the print when the part is laid down.
func TestTurned(t *testing.T) {
	quarter := mesh.RotationAbout(r3.Vec{Y: 1}, math.Pi/2) // Z of the print to X of the furnace
	s := Turned(r3.Vec{X: 0.1, Y: 0.15, Z: 0.2}, quarter)
	want := mesh.Diagonal(r3.Vec{X: 0.2, Y: 0.15, Z: 0.1})
	for i := range 3 {
		for j := range 3 {
			if math.Abs(s[i][j]-want[i][j]) > 1e-12 {
				t.Fatalf("turned shrinkage %v, want %v", s, want)
			}
		}
	}
}

func TestAdvice(t *testing.T) {
	l := DefaultStandLimits()
	shrink := mesh.Diagonal(r3.Vec{X: 0.16, Y: 0.16, Z: 0.2})
	tests := []struct {
		name string
		mesh *mesh.Mesh
		want []string // words that must be in the advice; none: no advice
	}{
		{"small cube", boxes([6]float64{0, 0, 0, 8, 8, 8}), nil},
		{"two feet far apart", tablePart(), []string{"shrink plate", "2 feet"}},
		{"wide plate", boxes([6]float64{0, 0, 0, 80, 60, 5}), []string{"alumina sand"}},
		{"tall rod", disc(2.5, 40, 90), []string{"slender", "tips at"}},
		{"lying bar", disc(5, 40, 720).Transform(mesh.RotationAbout(r3.Vec{X: 1}, math.Pi/2), r3.Vec{Z: 5}), []string{"line or a point", "setter strips"}},
		{"tower", boxes([6]float64{0, 0, 0, 30, 30, 70}), []string{"widen"}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			s := Standing(tt.mesh, DefaultCreep(), shrink, DefaultFriction)
			all := strings.Join(s.Advice(l), "\n")
			if tt.want == nil && all != "" {
				t.Errorf("advice %q for %+v", all, s)
			}
			for _, w := range tt.want {
				if !strings.Contains(all, w) {
					t.Errorf("advice %q lacks %q", all, w)
				}
			}
		})
	}
}

// A flat that is a little off the direction it lies in is no line; the strip of facets
// under a lying bar is one.
func TestRoundFoot(t *testing.T) {
	slab := boxes([6]float64{-3, -50, 0, 3, 50, 20})
	tilted := slab.Transform(mesh.RotationAbout(r3.Vec{Y: 1}, 0.4*math.Pi/180), r3.Vec{})
	tilted = tilted.Transform(mesh.Identity(), r3.Vec{Z: -tilted.Bounds().Min.Z})
	bar := disc(8, 50, 180).Transform(mesh.RotationAbout(r3.Vec{X: 1}, math.Pi/2), r3.Vec{Z: 8})
	for _, tt := range []struct {
		name string
		m    *mesh.Mesh
		want bool
	}{{"flat", slab, false}, {"a little off", tilted, false}, {"lying bar", bar, true}} {
		s := Standing(tt.m, DefaultCreep(), mesh.Matrix{}, 0.5)
		if s.RoundFoot != tt.want || s.FootprintMM2 <= 0 {
			t.Errorf("%s: round foot %v on %.1f mm2", tt.name, s.RoundFoot, s.FootprintMM2)
		}
	}
}
