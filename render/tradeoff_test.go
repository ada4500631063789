package render

import (
	"math"
	"slices"
	"testing"

	"gonum.org/v1/plot/plotter"
	"pgregory.net/rapid"

	"kilnpoise/orient"
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

func TestUnbeatenIsTheParetoSet(t *testing.T) {
	for _, tt := range []struct {
		name string
		axes Axes
		want plotter.XYs
	}{
		{"less of both", Axes{}, plotter.XYs{{X: 400, Y: 0.50}, {X: 1200, Y: 0.12}, {X: 2100, Y: 0.05}}},
		{"more of X", Axes{MoreX: true}, plotter.XYs{{X: 3000, Y: 0.40}, {X: 2100, Y: 0.05}}},
		{"more of Y", Axes{MoreY: true}, plotter.XYs{{X: 400, Y: 0.50}, {X: 410, Y: 0.505}}},
		{"more of both", Axes{MoreX: true, MoreY: true}, plotter.XYs{{X: 3000, Y: 0.40}, {X: 410, Y: 0.505}}},
	} {
		if got := unbeaten(samplePoints(), tt.axes); !slices.Equal(got, tt.want) {
			t.Errorf("%s: joined %v, want %v", tt.name, got, tt.want)
		}
	}
}

// By brute force: a point is joined exactly when it passes and no other that
// passes is as good in both and better in one, one of each place.
func TestUnbeatenAgainstTheDefinition(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		axes := Axes{MoreX: rapid.Bool().Draw(t, "more X"), MoreY: rapid.Bool().Draw(t, "more Y")}
		var points []Point
		for range rapid.IntRange(0, 12).Draw(t, "points") {
			points = append(points, Point{
				X: float64(rapid.IntRange(0, 5).Draw(t, "x")), Y: float64(rapid.IntRange(0, 5).Draw(t, "y")), Fails: rapid.Bool().Draw(t, "fails"),
			})
		}
		better := func(a, b float64, more bool) bool { return a != b && a > b == more }
		want := map[plotter.XY]bool{}
		for _, p := range points {
			beaten := p.Fails
			for _, q := range points {
				worse := better(p.X, q.X, axes.MoreX) || better(p.Y, q.Y, axes.MoreY)
				beaten = beaten || !q.Fails && !worse && (p.X != q.X || p.Y != q.Y)
			}
			if !beaten {
				want[plotter.XY{X: p.X, Y: p.Y}] = true
			}
		}
		got := unbeaten(points, axes)
		for _, p := range got {
			if !want[p] {
				t.Fatalf("%v is joined and beaten", p)
			}
		}
		if len(got) != len(want) {
			t.Fatalf("joined %v, want %v", got, want)
		}
	})
}

// A click on a dot names its point: the dots are where ink of their colour is.
func TestPointAtFindsTheDots(t *testing.T) {
	points := samplePoints()
	points = append(points, Point{X: math.NaN(), Label: "8"}, Point{OffScaleX: true, X: math.Inf(1), Y: 0.3, Label: "9"})
	for _, density := range []float64{1, 1.7, 2} {
		p := LightPalette()
		c, err := DrawTradeOff(points, Axes{X: "a, mm", Y: "b, mm"}, int(260*density), int(180*density), density, p)
		if err != nil {
			t.Fatal(err)
		}
		if len(c.dots) != 8 {
			t.Fatalf("%d dots, want those of 8 points", len(c.dots))
		}
		for _, d := range c.dots {
			if points[d.of].Label == "3" {
				continue // covered by no. 2
			}
			if got, ok := c.PointAt(d.x-2, d.y+1); !ok || got != d.of {
				t.Errorf("density %g: beside no. %s no. %d is found (%v)", density, points[d.of].Label, got+1, ok)
			}
			at := c.Image.RGBAAt(int(d.x), int(d.y))
			if !points[d.of].AsLoaded && shade(at) > 0.5*shade(p.Background) { // that one is an open square
				t.Errorf("density %g: where no. %s should be the chart is %v", density, points[d.of].Label, at)
			}
		}
		if i, ok := c.PointAt(float64(c.Image.Rect.Dx())/2, 1); ok && !points[i].OffScale {
			t.Errorf("density %g: at the rim no. %s is found", density, points[i].Label)
		}
	}
	c, err := DrawTradeOff(nil, Axes{}, 100, 80, 1, Palette{})
	if err != nil {
		t.Fatal(err)
	}
	if _, ok := c.PointAt(50, 40); ok {
		t.Error("a chart of nothing has a point")
	}
}

// Two at one place: the one that is not chosen yet is given.
func TestPointAtTakesTheNext(t *testing.T) {
	for _, chosen := range []int{0, 1} {
		points := []Point{{X: 1, Y: 1, Label: "1"}, {X: 1, Y: 1, Label: "2"}, {X: 3, Y: 2, Label: "3"}}
		points[chosen].Chosen = true
		c, err := DrawTradeOff(points, Axes{}, 200, 150, 1, LightPalette())
		if err != nil {
			t.Fatal(err)
		}
		if got, ok := c.PointAt(c.dots[0].x, c.dots[0].y); !ok || got != 1-chosen {
			t.Errorf("with no. %d chosen no. %d is found (%v), want the other", chosen+1, got+1, ok)
		}
	}
}

func TestTradeOffOfAnyTwoMeasures(t *testing.T) {
	all := []orient.Candidate{sampleCandidate(1, orient.FromSearch, "Z"), sampleCandidate(2, orient.AsLoaded, "X")}
	all[1].Measures.SagCollapses = true
	points, axes := TradeOffOf(all, 2, measureOf(t, "sag"), measureOf(t, "tip_angle"))
	if !points[1].OffScaleX || points[1].OffScale || !points[1].Chosen || !points[1].AsLoaded || !points[1].Fails || points[0].OffScaleX {
		t.Errorf("points %+v", points)
	}
	if points[0].X != 0.36 || points[0].Y != 30.4 || points[0].Label != "1" {
		t.Errorf("no. 1 is at %g, %g", points[0].X, points[0].Y)
	}
	if !axes.MoreY || axes.MoreX || axes.X != "sag (estimate), mm" || axes.Y != "tip angle on the plate, ° (more is better)" {
		t.Errorf("axes %+v", axes)
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
