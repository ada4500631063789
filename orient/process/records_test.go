package process

import (
	"errors"
	"io/fs"
	"os"
	"reflect"
	"testing"
)

// builtinRecords is the folder that the program embeds.
func builtinRecords() fs.FS { return os.DirFS("../../assets/records") }

// steel gives the built-in record of 316L.
func steel(t testing.TB) Material {
	t.Helper()
	m, err := OpenLibrary(builtinRecords(), "").Materials.Get("316l")
	if err != nil {
		t.Fatal(err)
	}
	return m
}

// The built-in records load, warn of nothing but the missing calibration, and
// carry a source with a tag for every figure.
func TestBuiltinRecords(t *testing.T) {
	lib := OpenLibrary(builtinRecords(), "")
	if err := lib.Problems(); err != nil {
		t.Fatal(err)
	}
	if n := len(lib.Materials.List()); n < 2 {
		t.Errorf("%d materials, want some", n)
	}
	for _, m := range lib.Materials.List() {
		checkSourced(t, m.ID, m.Figures())
		if w := m.Warnings(); len(w) != 1 || m.Creep.Calibrated != "" {
			t.Errorf("%s: warnings %q, want only that sag is uncalibrated", m.ID, w)
		}
		for _, s := range m.Settings {
			if s.Tag == "" {
				t.Errorf("%s: setting %q has no tag", m.ID, s.Item)
			}
		}
	}
	if n := len(lib.Printers.List()); n != 3 {
		t.Errorf("%d printers, want 3", n)
	}
	for _, p := range lib.Printers.List() {
		checkSourced(t, p.ID, p.Figures())
	}
	if n := len(lib.Furnaces.List()); n != 3 {
		t.Errorf("%d furnaces, want 3", n)
	}
	for _, f := range lib.Furnaces.List() {
		checkSourced(t, f.ID, f.Figures())
	}
}

func checkSourced(t *testing.T, id string, figures []Figure) {
	t.Helper()
	for _, f := range figures {
		if f.Source.Tag == "" || f.Source.Text == "" {
			t.Errorf("%s: %s has no source", id, f.Key)
		}
	}
}

// The starting values of the trade, with the tags they have to carry: common
// practice (C), from memory (M), published (P), derived (D), judgement (J).
func TestSteelHoldsTheStartingValues(t *testing.T) {
	want := map[string]struct {
		value float64
		tag   Tag
	}{
		"shrinkageX":                      {0.16, Common},
		"shrinkageY":                      {0.16, Common},
		"shrinkageZ":                      {0.20, Common},
		"shrinkage_spreadX":               {0.004, Judgement},
		"shrinkage_spreadZ":               {0.008, Judgement},
		"overhang_limit_deg":              {45, Common},
		"layer_height_mm":                 {0.15, Common},
		"green_density_g_cm3":             {5.0, Memory},
		"binder_density_g_cm3":            {1.41, Memory},
		"metal_density_g_cm3":             {7.95, Memory},
		"layer_bond":                      {0.8, Judgement},
		"layer_bond_low":                  {0.75, Judgement},
		"layer_bond_high":                 {0.95, Judgement},
		"tolerance_low_percent":           {0.3, Published},
		"creep.compliance_per_pa":         {1.5e-6, "D + J"},
		"creep.compliance_low_per_pa":     {0.5e-6, "D + J"},
		"creep.compliance_high_per_pa":    {6e-6, "D + J"},
		"debinding.front_speed_low_mm_h":  {1, Published},
		"debinding.front_speed_high_mm_h": {2, Published},
		"debinding.largest_wall_mm":       {12.5, Published},
		"easy_height_to_base":             {3, Memory},
		"largest_height_to_base":          {8, Memory},
	}
	found := 0
	for _, f := range steel(t).Figures() {
		w, ok := want[f.Key+f.Axis]
		if !ok {
			continue
		}
		found++
		if f.Value != w.value || f.Source.Tag != w.tag {
			t.Errorf("%s %s = %g (%s), want %g (%s)", f.Key, f.Axis, f.Value, f.Source.Tag, w.value, w.tag)
		}
	}
	if found != len(want) {
		t.Errorf("found %d of %d figures", found, len(want))
	}
}

// keyErrors lists the keys that err complains of, in order.
func keyErrors(err error) []string {
	var out []string
	var walk func(error)
	walk = func(err error) {
		if many, ok := err.(interface{ Unwrap() []error }); ok {
			for _, e := range many.Unwrap() {
				walk(e)
			}
			return
		}
		if key, ok := err.(*KeyError); ok {
			out = append(out, key.Key)
			return
		}
		if inner := errors.Unwrap(err); inner != nil {
			walk(inner)
		}
	}
	walk(err)
	return out
}

// countNumbers counts the float64 fields of a record, arrays and nested tables
// included.
func countNumbers(t *testing.T, record any) int {
	t.Helper()
	var count func(v reflect.Value) int
	count = func(v reflect.Value) int {
		n := 0
		switch v.Kind() {
		case reflect.Float64:
			return 1
		case reflect.Array:
			for i := range v.Len() {
				n += count(v.Index(i))
			}
		case reflect.Struct:
			for i := range v.NumField() {
				n += count(v.Field(i))
			}
		}
		return n
	}
	return count(reflect.ValueOf(record))
}
