package render

import (
	"math"
	"testing"

	"gonum.org/v1/plot/plotter"
)

// samplePoints are one of each kind.
func samplePoints() []Point {
	return []Point{
		{X: 1200, Y: 0.12, Label: "1", OnFront: true, Chosen: true},
		{X: 400, Y: 0.50, Label: "2", OnFront: true},
		{X: 410, Y: 0.505, Label: "3", OnFront: true},
		{X: 3000, Y: 0.40, Label: "4", AsLoaded: true},
		{X: 100, Y: 0.90, Label: "5", Fails: true},
		{X: 2100, Y: 0.05, Label: "6", OnFront: true},
		{X: 2600, Y: 50, Label: "7", OffScale: true},
	}
}

func TestLowerLeftIsTheParetoSet(t *testing.T) {
	got := lowerLeft(samplePoints())
	want := plotter.XYs{{X: 400, Y: 0.50}, {X: 1200, Y: 0.12}, {X: 2100, Y: 0.05}}
	if len(got) != len(want) {
		t.Fatalf("joined %v, want %v", got, want)
	}
	for i := range want {
		if got[i] != want[i] {
			t.Errorf("point %d = %v, want %v", i, got[i], want[i])
		}
	}
}

func TestTradeOffTakesAnything(t *testing.T) {
	for name, points := range map[string][]Point{
		"none": nil, "one": {{X: 1, Y: 1, Label: "1"}}, "all alike": {{Label: "1"}, {Label: "2"}},
		"not numbers":       {{X: math.NaN(), Label: "1"}, {Y: math.Inf(1), Label: "2"}, {X: 1, Y: 2, Label: "3"}},
		"all off the scale": {{X: 1, OffScale: true, Chosen: true}, {X: 2, Y: math.Inf(1), OffScale: true, AsLoaded: true}},
		"all fail":          {{X: 1, Y: 2, Fails: true}, {X: 2, Y: 1, Fails: true}},
	} {
		img, err := TradeOff(points, Axes{X: "a, mm", Y: "b, mm"}, 120, 90, 2, LightPalette())
		if err != nil || img.Rect.Dx() != 120 || img.Rect.Dy() != 90 {
			t.Errorf("%s: %v, %v", name, img.Rect, err)
		}
	}
}
