package mesh

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
	"pgregory.net/rapid"
)

func rectangle(x, y float64) []r2.Vec {
	return []r2.Vec{{X: -x / 2, Y: -y / 2}, {X: x / 2, Y: -y / 2}, {X: x / 2, Y: y / 2}, {X: -x / 2, Y: y / 2}}
}

func turnedBy(outline []r2.Vec, turn float64) []r2.Vec {
	out := make([]r2.Vec, len(outline))
	for i, p := range outline {
		out[i] = r2.Rotate(p, turn, r2.Vec{})
	}
	return out
}

// A long bar goes into a rectangle only on the slant; a rectangle of the same shape
// only straight; a disc however it is turned.
func TestFitInto(t *testing.T) {
	disc := make([]r2.Vec, 720)
	for i := range disc {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / 720)
		disc[i] = r2.Vec{X: 40 * cos, Y: 40 * sin}
	}
	for _, tt := range []struct {
		name      string
		outline   []r2.Vec
		x, y      float64
		fill, off float64
	}{
		{"same shape", rectangle(100, 80), 200, 160, 0.5, 1e-12},
		{"same shape, across", rectangle(80, 100), 200, 160, 0.5, 1e-12},
		{"line on the diagonal", rectangle(256, 1e-9), 200, 160, 256 / math.Hypot(200, 160), 1e-9},
		{"disc", disc, 200, 160, 0.5, 1e-4},
		{"too long", rectangle(300, 20), 200, 160, 1.22, 0.05},
	} {
		f := FitInto(tt.outline, tt.x, tt.y)
		if math.Abs(f.Fill-tt.fill) > tt.off {
			t.Errorf("%s: takes %.6f of the side, want %.6f", tt.name, f.Fill, tt.fill)
		}
	}
	if bar := FitInto(rectangle(175/0.84, 20/0.84), 200, 160); bar.Fill > 1 || math.Abs(bar.Turn) < 0.3 {
		t.Errorf("the bar of 208 x 24 takes %.3f of 200 x 160 at %.1f deg, want it to fit on the slant", bar.Fill, bar.Turn*180/math.Pi)
	}
}

// No turn found by trying all is better, and turning the outline changes nothing but
// the turn.
func TestFitIntoIsTheBest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var points []r2.Vec
		for range rapid.IntRange(3, 12).Draw(t, "points") {
			points = append(points, r2.Vec{X: rapid.Float64Range(-90, 90).Draw(t, "x"), Y: rapid.Float64Range(-30, 30).Draw(t, "y")})
		}
		outline := Outline(points)
		if len(outline) < 3 {
			t.Skip("a line")
		}
		x, y := rapid.Float64Range(50, 200).Draw(t, "wide"), rapid.Float64Range(50, 200).Draw(t, "deep")
		got := FitInto(outline, x, y)
		if f := fillAt(outline, got.Turn, x, y); math.Abs(f-got.Fill) > 1e-9 {
			t.Fatalf("turned by %g it takes %g, not %g", got.Turn, f, got.Fill)
		}
		for k := range 720 {
			if f := fillAt(outline, float64(k)*math.Pi/720, x, y); f < got.Fill-1e-9 {
				t.Fatalf("at %g deg it takes %g, less than %g", float64(k)/4, f, got.Fill)
			}
		}
		if again := FitInto(turnedBy(outline, rapid.Float64Range(0, 6).Draw(t, "turn")), x, y); math.Abs(again.Fill-got.Fill) > 1e-9 {
			t.Fatalf("turned it takes %g instead of %g", again.Fill, got.Fill)
		}
	})
}
