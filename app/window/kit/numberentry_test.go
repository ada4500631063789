package kit

import (
	"testing"

	"fyne.io/fyne/v2/test"
)

func TestNumberEntry(t *testing.T) {
	test.NewTempApp(t).Settings().SetTheme(NewLook(AlwaysLight))
	var got []float64
	var faults []error
	e := NewNumberEntry(0, 40, 60)
	e.OnNumber = func(v float64) { got = append(got, v) }
	e.OnFault = func(err error) { faults = append(faults, err) }
	win := test.NewTempWindow(t, e)
	e.SetNumber(16)
	if e.Text != "16" || len(got) != 0 {
		t.Fatalf("setting a number gave %q and told %v", e.Text, got)
	}
	for _, tc := range []struct {
		typed string
		want  float64
		shown string
		fault bool
	}{
		{"17.5", 17.5, "17.5", false},
		{"18,25", 18.25, "18,25", false},
		{"50", 18.25, "18.25", true},
		{"many", 18.25, "18.25", true},
		{"40", 40, "40", false},
	} {
		faults = nil
		win.Canvas().Focus(e)
		e.SetText(tc.typed)
		win.Canvas().Unfocus()
		if last := got[len(got)-1]; last != tc.want || e.Text != tc.shown {
			t.Errorf("after %q: number %v shown as %q, want %v as %q", tc.typed, last, e.Text, tc.want, tc.shown)
		}
		if told := len(faults) > 0 && faults[0] != nil; told != tc.fault {
			t.Errorf("after %q: fault told %v, want %v", tc.typed, told, tc.fault)
		}
	}
	if len(got) != 3 {
		t.Errorf("%d numbers were handed over, want 3: %v", len(got), got)
	}
}

func TestPlainNumber(t *testing.T) {
	for v, want := range map[float64]string{16: "16", 17.5: "17.5", 0.1 + 0.2: "0.3", 1.5e-6: "1.5e-06", 0: "0"} {
		if got := PlainNumber(v); got != want {
			t.Errorf("plainNumber(%v) = %q, want %q", v, got, want)
		}
	}
}
