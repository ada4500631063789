package machines

import (
	"testing"

	"kilnpoise/app/window/kit"
	"kilnpoise/render"
)

// The words under the setter tell the ends of the scale of sag, and no millimetres
// where the part collapses.
func TestWordsOfSag(t *testing.T) {
	for want, entry := range map[string]render.LegendEntry{
		"sag 0 to 1.25" + kit.NBSP + "mm, solved; estimate": {Pattern: render.Scale, Text: "gravity sag, mm (solved; estimate)", HighMM: 1.25},
		"sag 0 to 12.5" + kit.NBSP + "mm, solved; estimate": {Pattern: render.Scale, Text: "gravity sag, mm (solved; estimate)", HighMM: 12.5},
		"sag from none to most, solved; estimate":           {Pattern: render.Scale, Text: "gravity sag (solved; estimate)", Low: "none", High: "most"},
		"most sag here, estimate":                           {Pattern: render.Ringed, Text: "place of most sag (estimate)"},
	} {
		if got := OverlaySag.info().words([]render.LegendEntry{entry}); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}
