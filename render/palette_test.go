package render

import (
	"image/color"
	"math"
	"testing"
)

// linear undoes the sRGB curve (IEC 61966-2-1).
func linear(v uint8) float64 {
	x := float64(v) / 255
	if x <= 0.04045 {
		return x / 12.92
	}
	return math.Pow((x+0.055)/1.055, 2.4)
}

// contrast is the contrast ratio of WCAG 2.1.
func contrast(a, b color.RGBA) float64 {
	x, y := shade(a), shade(b)
	return (max(x, y) + 0.05) / (min(x, y) + 0.05)
}

func palettes() map[string]Palette {
	return map[string]Palette{"light": LightPalette(), "dark": DarkPalette(), "paper": PaperPalette()}
}

func TestTextStandsOut(t *testing.T) {
	for name, p := range palettes() {
		for _, c := range []struct {
			what  string
			c     color.RGBA
			least float64 // WCAG 2.1: 4.5 for text, 3 for marks
		}{{"ink", p.Ink, 7}, {"quiet text", p.Quiet, 4.5}, {"accent", p.Accent, 3}} {
			if got := contrast(c.c, p.Background); got < c.least {
				t.Errorf("%s: contrast of %s to the ground = %.2f, want %.1f or more", name, c.what, got, c.least)
			}
		}
	}
}

// The ramp must be readable by those who see no hue at all: each step darker.
func TestRampDarkensStepByStep(t *testing.T) {
	r := LightPalette().Ramp
	for i := 1; i < len(r); i++ {
		if a, b := shade(r[i-1]), shade(r[i]); b >= a {
			t.Errorf("step %d has luminance %.3f after %.3f, want it darker", i, b, a)
		}
	}
	if k := contrast(r[0], r[len(r)-1]); k < 7 {
		t.Errorf("contrast between the ends = %.1f, want 7 or more", k)
	}
}

// Overhang, support and part must differ by lightness or by hue under the usual
// kinds of colour blindness (matrices of Viénot, Brettel and Mollon, Color Res.
// Appl. 24 (1999), from memory).
func TestMarksDifferForColourBlind(t *testing.T) {
	protan := [3][3]float64{{0.11238, 0.88762, 0}, {0.11238, 0.88762, 0}, {0.00401, -0.00401, 1}}
	deutan := [3][3]float64{{0.29275, 0.70725, 0}, {0.29275, 0.70725, 0}, {-0.02234, 0.02234, 1}}
	seen := func(m [3][3]float64, c color.RGBA) [3]float64 {
		in := [3]float64{linear(c.R), linear(c.G), linear(c.B)}
		var out [3]float64
		for i := range m {
			for j := range in {
				out[i] += m[i][j] * in[j]
			}
		}
		return out
	}
	for name, p := range palettes() {
		pairs := [][2]color.RGBA{{p.Overhang, p.Support}, {p.Overhang, p.Green}, {p.Support, p.Green}, {p.Footprint, p.Overhang}}
		for i, pair := range pairs {
			for _, m := range [][3][3]float64{protan, deutan} {
				a, b := seen(m, pair[0]), seen(m, pair[1])
				d := math.Sqrt((a[0]-b[0])*(a[0]-b[0]) + (a[1]-b[1])*(a[1]-b[1]) + (a[2]-b[2])*(a[2]-b[2]))
				if d < 0.12 {
					t.Errorf("%s: pair %d looks alike, distance %.3f", name, i, d)
				}
			}
		}
	}
}

func TestRampAt(t *testing.T) {
	r := LightPalette().Ramp
	for _, c := range []struct {
		t    float64
		want int
	}{{-1, 0}, {0, 0}, {0.5, len(r) / 2}, {1, len(r) - 1}, {7, len(r) - 1}, {math.NaN(), 0}} {
		if got := r.At(c.t); got != r[c.want] {
			t.Errorf("At(%g) = %v, want step %d", c.t, got, c.want)
		}
	}
}
