package process

import (
	"strings"
	"testing"
)

func TestWarnings(t *testing.T) {
	tests := []struct {
		name   string
		change func(*Material)
		want   string // in one of the warnings; "" for none at all
	}{
		{"calibrated", func(m *Material) {}, ""},
		{"uncalibrated", func(m *Material) { m.Creep.Calibrated = "" }, "uncalibrated"},
		{"growth entered as shrinkage", func(m *Material) { m.Shrinkage = [3]float64{0.190476, 0.190476, 0.25} }, "enter 0.160, 0.160, 0.200"},
		{"too little shrinkage", func(m *Material) { m.Shrinkage = [3]float64{0.12, 0.12, 0.14} }, "of full density"},
		{"too heavy a filament", func(m *Material) { m.GreenDensityGCM3 = 6 }, "check green_density_g_cm3"},
		{"no spread", func(m *Material) { m.ShrinkageSpread = [3]float64{} }, "shrinkage_spread is 0"},
		{"no shrinkage and no spread", func(m *Material) { m.Shrinkage, m.ShrinkageSpread = [3]float64{}, [3]float64{} }, "55 % of full density"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			m := steel(t)
			m.Creep.Calibrated = "coupon 3"
			tt.change(&m)
			got := m.Warnings()
			if tt.want == "" {
				if len(got) > 0 {
					t.Errorf("Warnings() = %q, want none", got)
				}
				return
			}
			if len(got) != 1 || !strings.Contains(got[0], tt.want) {
				t.Errorf("Warnings() = %q, want one with %q", got, tt.want)
			}
		})
	}
}

// The guard is 0.90 to 1.00, ends included.
func TestDensityGuardAtItsEnds(t *testing.T) {
	for _, tt := range []struct {
		relative float64
		warns    bool
	}{{0.8999, true}, {0.9001, false}, {0.9999, false}, {1.0001, true}} {
		m := steel(t)
		// choose the green density that gives the relative density
		m.GreenDensityGCM3 = m.BinderDensityGCM3 + tt.relative*m.VolumeRatio()*(m.MetalDensityGCM3-m.BinderDensityGCM3)
		near(t, "relative density", m.RelativeSinteredDensity(), tt.relative, 1e-12)
		if got := m.densityWarning() != ""; got != tt.warns {
			t.Errorf("at %g a warning: %t, want %t", tt.relative, got, tt.warns)
		}
	}
}
