package window

import (
	"testing"

	"kilnpoise/assets"
	"kilnpoise/orient/process"
)

func builtinRecords(t *testing.T) *process.Library {
	t.Helper()
	l := process.OpenLibrary(assets.Records(), "")
	if err := l.Problems(); err != nil {
		t.Fatal(err)
	}
	return l
}

// checkFigures sets each figure of a record in turn and finds it, and only it,
// changed.
func checkFigures[T any](t *testing.T, all []T, figures func(T) []process.Figure) {
	t.Helper()
	for _, record := range all {
		for i, f := range figures(record) {
			changed := record
			v := (f.Least + f.Most) / 3
			if !setFigure(&changed, f.Key, f.Axis, v) {
				t.Errorf("figure %s %s cannot be set", f.Key, f.Axis)
				continue
			}
			for k, g := range figures(changed) {
				want := figures(record)[k].Value
				if k == i {
					want = v
				}
				if g.Value != want {
					t.Errorf("after setting %s %s, %s %s is %v, want %v", f.Key, f.Axis, g.Key, g.Axis, g.Value, want)
				}
			}
		}
	}
}

func TestSetFigure(t *testing.T) {
	l := builtinRecords(t)
	checkFigures(t, l.Materials.List(), process.Material.Figures)
	checkFigures(t, l.Printers.List(), process.Printer.Figures)
	checkFigures(t, l.Furnaces.List(), process.Furnace.Figures)
	var m process.Material
	for _, key := range []string{"", "name", "no.such", "creep", "shrinkage.x"} {
		if setFigure(&m, key, "", 1) {
			t.Errorf("figure %q was set", key)
		}
	}
	if setFigure(&m, "shrinkage", "W", 1) {
		t.Error("an axis that is none was set")
	}
}

func TestFigureWords(t *testing.T) {
	f := process.Figure{Key: "shrinkage", Axis: "X", Label: "shrinkage", Unit: "fraction", Value: 0.16,
		Source: process.Source{Tag: "D + J", Text: "worked out"}}
	if v, unit := figureShown(f); v != 16 || unit != "%" {
		t.Errorf("shown as %v %s", v, unit)
	}
	if got := figureSource(f); got != "derived and judgement: worked out" {
		t.Errorf("source = %q", got)
	}
	if got := figureLabel(f); got != "shrinkage, X" {
		t.Errorf("label = %q", got)
	}
}

func TestRunName(t *testing.T) {
	for run, want := range map[string]string{"41": "run 41", "run 41": "run 41", "Run 2026-014": "Run 2026-014", "2026-014": "run 2026-014"} {
		if got := runName(run); got != want {
			t.Errorf("%q is called %q, want %q", run, got, want)
		}
	}
}
