package process

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s = %.8g, want %.8g within %g", what, got, want, tol)
	}
}

// The ASM Handbook's example: a green length of 13.8 mm that ends as 12.0 mm has
// shrunk by 0.1304 (published). The other values follow from the definition.
func TestOversize(t *testing.T) {
	tests := []struct {
		name      string
		shrinkage float64
		want, tol float64
	}{
		{"16 percent (derived)", 0.16, 1.190476, 5e-7},
		{"20 percent (derived)", 0.20, 1.25, 1e-15},
		{"none", 0, 1, 0},
		{"ASM example, 13.8 to 12.0 (published)", (13.8 - 12.0) / 13.8, 13.8 / 12.0, 1e-14},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			m := Material{Shrinkage: [3]float64{tt.shrinkage, 0, tt.shrinkage}}
			got := m.Oversize()
			near(t, "X", got[0], tt.want, tt.tol)
			near(t, "Y", got[1], 1, 0)
			near(t, "Z", got[2], tt.want, tt.tol)
		})
	}
	near(t, "ASM shrinkage", (13.8-12.0)/13.8, 0.1304, 5e-5)
}

func TestOversizeOfNonsenseIsNaN(t *testing.T) {
	got := Material{Shrinkage: [3]float64{1, 1.5, math.NaN()}}.Oversize()
	for i, v := range got {
		if !math.IsNaN(v) {
			t.Errorf("axis %d = %g, want NaN", i, v)
		}
	}
}

// What is made larger by the factor and then shrinks is as large as before; and
// the factor is always more than the trap 1+s.
func TestOversizeUndoesShrinkage(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var m Material
		for i := range m.Shrinkage {
			m.Shrinkage[i] = rapid.Float64Range(0, 0.4).Draw(t, "s")
		}
		length := rapid.Float64Range(1e-3, 1e4).Draw(t, "finished length")
		volume := 1.0
		for i, f := range m.Oversize() {
			green := length * f
			if back := green * (1 - m.Shrinkage[i]); math.Abs(back-length) > 1e-12*length {
				t.Fatalf("%g mm comes out as %g mm", length, back)
			}
			if s := (green - length) / green; math.Abs(s-m.Shrinkage[i]) > 1e-12 {
				t.Fatalf("shrinkage %g comes back as %g", m.Shrinkage[i], s)
			}
			if f < 1+m.Shrinkage[i] {
				t.Fatalf("factor %g is less than 1+s", f)
			}
			volume *= f
		}
		if math.Abs(volume*m.VolumeRatio()-1) > 1e-12 {
			t.Fatalf("volume ratio %g, factors %g", m.VolumeRatio(), volume)
		}
	})
}

func TestPercentages(t *testing.T) {
	got := Percentages(Material{Shrinkage: [3]float64{0.16, 0.16, 0.20}}.Oversize())
	near(t, "X", got[0], 119.0476, 5e-5)
	near(t, "Z", got[2], 125, 1e-12)
}

// Derived: (1 - 0.16)^2 (1 - 0.20) = 0.56448, and its inverse 1.77154.
func TestVolumeRatio(t *testing.T) {
	m := Material{Shrinkage: [3]float64{0.16, 0.16, 0.20}}
	near(t, "ratio", m.VolumeRatio(), 0.56448, 1e-12)
	near(t, "inverse", 1/m.VolumeRatio(), 1.77154, 5e-6)
}
