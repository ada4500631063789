package process

import (
	"math"
	"slices"
	"strings"
	"testing"
)

func TestValidate(t *testing.T) {
	tests := []struct {
		name   string
		change func(*Material)
		keys   []string
		text   string
	}{
		{"sound", func(m *Material) {}, nil, ""},
		{"overhang of a wall", func(m *Material) { m.OverhangLimitDeg = 95 }, []string{"overhang_limit_deg"},
			"overhang_limit_deg is 95; allowed is 1 to 89 deg (overhang limit, downskin angle measured from the plate)"},
		{"percent for fraction", func(m *Material) { m.Shrinkage[2] = 20 }, []string{"shrinkage"}, "shrinkage (Z) is 20; allowed is 0 to 0.4 as a fraction (shrinkage, (green - sintered)/green); write 20 % as 0.2"},
		{"not a number", func(m *Material) { m.LayerHeightMM = math.NaN() }, []string{"layer_height_mm"}, "NaN"},
		{"infinite", func(m *Material) { m.MetalDensityGCM3 = math.Inf(1) }, []string{"metal_density_g_cm3"}, "allowed is 1 to 25 g/cm3"},
		{"range upside down", func(m *Material) { m.Creep.ComplianceLowPerPa = 2e-6 }, []string{"creep.compliance_low_per_pa"}, "more than creep.compliance_per_pa"},
		{"binder heavier than the filament", func(m *Material) { m.BinderDensityGCM3, m.GreenDensityGCM3 = 2, 1.5 }, []string{"binder_density_g_cm3"}, "more than green_density_g_cm3"},
		{"nameless", func(m *Material) { m.Name = " " }, []string{"name"}, "give the record a name"},
		{"name as long as may be", func(m *Material) { m.Name = strings.Repeat("ü", 200) }, nil, ""},
		{"name too long", func(m *Material) { m.Name = strings.Repeat("ü", 1<<19) }, []string{"name"}, "name has 524288 characters; allowed are 200"},
		{"name on two lines", func(m *Material) { m.Name = "316L\nfilament" }, []string{"name"}, "write it on one line"},
		{"two faults", func(m *Material) { m.LineWidthMM, m.SupportDensity = 30, 0 }, []string{"line_width_mm", "support_density"}, "line_width_mm is 30"},
		{"source of nothing", func(m *Material) { m.Sources[0].Item = "shrinkge" }, []string{"source"}, `"shrinkge"`},
		{"source twice", func(m *Material) { m.Sources[1] = m.Sources[0] }, []string{"source"}, "two sources"},
		{"unknown tag", func(m *Material) { m.Sources[0].Tag = "X" }, []string{"source"}, `"X"`},
		{"setting without value", func(m *Material) { m.Settings[0].Value = "" }, []string{"setting"}, "print setting 1"},
		{"no binder to speak of", func(m *Material) { m.BinderDensityGCM3, m.GreenDensityGCM3, m.MetalDensityGCM3 = 2, 2, 2 }, []string{"metal_density_g_cm3"}, "share of metal"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			m := steel(t)
			tt.change(&m)
			err := m.Validate()
			if got := keyErrors(err); !slices.Equal(got, tt.keys) {
				t.Fatalf("Validate() complains of %q, want %q (%v)", got, tt.keys, err)
			}
			if err != nil && !strings.Contains(err.Error(), tt.text) {
				t.Errorf("Validate() = %v, want it to hold %q", err, tt.text)
			}
		})
	}
}

func TestValidateMachines(t *testing.T) {
	p := Printer{Name: "x", PlateMM: [2]float64{200, 5}, HeightMM: 100, NozzleMM: 0.4, SpeedMMS: 35, TravelOverhead: 0.5}
	if got := keyErrors(p.Validate()); !slices.Equal(got, []string{"plate_mm", "travel_overhead"}) {
		t.Errorf("printer: %q", got)
	}
	f := Furnace{Name: "x", SetterMM: [2]float64{200, 200}, HeightMM: 100, Friction: 0.1, FrictionLow: 0.2, FrictionHigh: 1}
	if got := keyErrors(f.Validate()); !slices.Equal(got, []string{"friction_low"}) {
		t.Errorf("furnace: %q", got)
	}
}

func TestTags(t *testing.T) {
	for tag, want := range map[Tag]bool{"P": true, "D + J": true, "C / P": true, "": false, "+": false, " ": false, "p": false, "D + ": false, "DJ": false} {
		if got := tag.known(); got != want {
			t.Errorf("%q known: %t, want %t", tag, got, want)
		}
	}
}

// Each field reaches a number of its own, and the table covers every number of
// the records: setting all of them leaves no zero behind.
func TestFieldsCoverTheRecords(t *testing.T) {
	var m Material
	seen := map[*float64]string{}
	for _, f := range materialFields() {
		p := f.of(&m)
		if other, ok := seen[p]; ok {
			t.Errorf("%s and %s are the same number", f.key, other)
		}
		seen[p] = f.key
		if f.least > f.most || f.label == "" {
			t.Errorf("%s: range %g to %g, label %q", f.key, f.least, f.most, f.label)
		}
	}
	if want := countNumbers(t, m); len(seen) != want {
		t.Errorf("material: %d fields for %d numbers", len(seen), want)
	}
	if got, want := len(printerFields()), countNumbers(t, Printer{}); got != want {
		t.Errorf("printer: %d fields for %d numbers", got, want)
	}
	if got, want := len(furnaceFields()), countNumbers(t, Furnace{}); got != want {
		t.Errorf("furnace: %d fields for %d numbers", got, want)
	}
}
