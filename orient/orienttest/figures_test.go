package orienttest_test

import (
	"slices"
	"testing"

	"kilnpoise/mesh"
	"kilnpoise/mesh/meshtest"
	"kilnpoise/orient"
	"kilnpoise/orient/orienttest"
)

// Numbers are found by value and unit, to the decimals shown, whatever the type.
func TestStrangeNumbers(t *testing.T) {
	a := &orient.Advice{Candidates: []orient.Candidate{
		{Name: "A +12.5 deg", Measures: orient.Measures{SupportVolumeMM3: 93148, TipAngleDeg: 30.43, PrintTimeS: 39.2 * 3600, GreenMassG: 1086.84, SagLowMM: 0.18, SagHighMM: 2.11}},
		{Measures: orient.Measures{SupportVolumeMM3: 46574}},
	}}
	a.Part = &mesh.Part{Mesh: meshtest.Block(1, 1, 1)}
	f, err := orienttest.FiguresOf(a)
	if err != nil {
		t.Fatal(err)
	}
	f.Allow("burns in air from 4 to 75 %")
	for _, tt := range []struct {
		text string
		want []string
	}{
		{"93 148 mm³ of support, 93.1 cm3, tips at 30.4°, 39.2 h, 1086.8 g, 1.09 kg", nil},
		{"prints for 39 h 12 min", nil},
		{"prints for 39 h 13 min", []string{"2353 min"}},
		{"93 149 mm³", []string{"93 149 mm3"}},
		{"sag 0.18 to 2.11 mm", nil},
		{"sag 0.18 to 2.12 mm", []string{"2.12 mm"}},
		{"tips at 30.5 deg", []string{"30.5 deg"}},
		{"50 % less, 100 % more, 75 % hydrogen", nil},
		{"51 % less", []string{"51 %"}},
		{"turn it A +12.5 deg, page 3 of 4, lot 77", nil},
		{"9 to 10 h, 5 x 6 x 7 mm", []string{"9 h", "10 h", "5 mm", "6 mm", "7 mm"}},
	} {
		if got := f.Strange(tt.text); !slices.Equal(got, tt.want) {
			t.Errorf("in %q strange are %q, want %q", tt.text, got, tt.want)
		}
	}
}
