package render

import (
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/orient"
)

func TestLegendTellsWhatIsDrawn(t *testing.T) {
	d := detailOf(table())
	bare := detailOf(box(5, 5, 5))
	bare.Overhang, bare.Supports = nil, nil
	beam := detailOf(box(5, 5, 5))
	beam.Sag, beam.SagAt = nil, r3.Vec{X: 1, Z: 5}
	fallen := detailOf(table())
	fallen.SagCollapses, fallen.Displacement = true, make([]r3.Vec, len(fallen.Sag))
	all := Overlays{Overhang: true, Supports: true, Footprint: true, Sag: true, SagExaggeration: 10}
	for _, c := range []struct {
		name  string
		scene *Scene
		o     Overlays
		want  []string
	}{
		{"plate", NewScene(d, plateStage()), Overlays{Overhang: true, Supports: true}, []string{"overhang, under 45° from the plate", "support"}},
		{"nothing asked for", NewScene(d, plateStage()), Overlays{}, nil},
		{"nothing to show", NewScene(bare, plateStage()), Overlays{Overhang: true, Supports: true, Sag: true}, nil},
		{"setter", NewScene(d, setterStage()), all, []string{
			"gravity sag, mm (solved; uncalibrated estimate)", "place of most sag", "shape drawn with 10 × the sag", "footprint", "centre of mass"}},
		{"collapse", NewScene(fallen, setterStage()), all, []string{
			"gravity sag (solved; uncalibrated estimate)", "place of most sag, collapses", "shape drawn with 10 × the movement", "footprint", "centre of mass"}},
		{"beam estimate", NewScene(beam, setterStage()), Overlays{Sag: true}, []string{"place of most sag (uncalibrated estimate)"}},
	} {
		got := c.scene.Legend(c.o, LightPalette())
		if len(got) != len(c.want) {
			t.Errorf("%s: %d entries %v, want %d", c.name, len(got), got, len(c.want))
			continue
		}
		for i, e := range got {
			if !strings.Contains(e.Text, c.want[i]) {
				t.Errorf("%s: entry %d is %q, want it to say %q", c.name, i, e.Text, c.want[i])
			}
		}
	}
}

func TestDrawLegendKeepsToItsWidth(t *testing.T) {
	e := NewScene(detailOf(table()), setterStage()).Legend(Overlays{Sag: true, Footprint: true}, LightPalette())
	wide, narrow := DrawLegend(e, 900, 1, Palette{}), DrawLegend(e, 200, 1, Palette{})
	if wide.Rect.Dx() != 900 || narrow.Rect.Dx() != 200 || narrow.Rect.Dy() <= wide.Rect.Dy() {
		t.Errorf("legends of %v and %v: want 900 and 200 wide, the narrow one higher", wide.Rect, narrow.Rect)
	}
	if got := DrawLegend(nil, 200, 1, Palette{}); !got.Rect.Empty() {
		t.Errorf("a legend of nothing is %v, want nothing", got.Rect)
	}
}

func TestStageOfSaysHowFarSagIsKnown(t *testing.T) {
	var b orient.Brief
	if s := StageOf(&b, OnSetter); !strings.Contains(s.SagBasis, "uncalibrated") {
		t.Errorf("basis = %q, want it to say uncalibrated", s.SagBasis)
	}
	b.Material.Creep.Calibrated = "2026-03-01, three bars"
	if s := StageOf(&b, OnSetter); strings.Contains(s.SagBasis, "uncalibrated") || !strings.Contains(s.SagBasis, "estimate") {
		t.Errorf("basis = %q, want a calibrated estimate", s.SagBasis)
	}
}
