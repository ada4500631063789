package render

import (
	"image"
	"math"
	"math/rand/v2"
	"testing"
)

// inkOn sums the strength of what was drawn in black on white.
func inkOn(img *image.RGBA) float64 {
	var sum float64
	for i := 0; i < len(img.Pix); i += 4 {
		sum += float64(255-img.Pix[i]) / 255
	}
	return sum
}

func white(w, h int) *image.RGBA {
	img := image.NewRGBA(image.Rect(0, 0, w, h))
	pour(img, rgb(0xFFFFFF))
	return img
}

// A line covers its length times its width, whatever its slope.
func TestLineCoversItsArea(t *testing.T) {
	for _, c := range []struct {
		name string
		b    spot
	}{{"level", spot{x: 90, y: 20}}, {"upright", spot{x: 20, y: 90}}, {"diagonal", spot{x: 80, y: 80}}, {"shallow", spot{x: 90, y: 31}}} {
		for _, width := range []float64{1, 2.5, 6} {
			img := white(100, 100)
			a := spot{x: 20, y: 20}
			(&pen{img: img}).line(a, c.b, width, rgb(0), dash{})
			want := (math.Hypot(c.b.x-a.x, c.b.y-a.y) + width) * width // ends stand out by half the width
			// The profile across is a straight ramp: thin diagonals come out
			// up to an eighth too strong.
			if got := inkOn(img); math.Abs(got-want) > 0.13*want {
				t.Errorf("%s, %g wide: covers %.1f pixels, want %.1f", c.name, width, got, want)
			}
		}
	}
}

func TestDashedLineIsBroken(t *testing.T) {
	whole, dashed := white(100, 20), white(100, 20)
	a, b := spot{x: 10, y: 10}, spot{x: 90, y: 10}
	(&pen{img: whole}).line(a, b, 2, rgb(0), dash{})
	(&pen{img: dashed}).line(a, b, 2, rgb(0), dash{on: 6, off: 4})
	if share := inkOn(dashed) / inkOn(whole); math.Abs(share-0.6) > 0.08 {
		t.Errorf("a line with dashes of 6 and gaps of 4 covers %.2f of it, want 0.6", share)
	}
}

// Drawing by bands must give what drawing line by line gives.
func TestLinesByBandsAreTheSame(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 4))
	var segments []segment
	for range 60 {
		at := func() spot { return spot{x: 240*random.Float64() - 20, y: 180*random.Float64() - 20} }
		segments = append(segments, segment{at(), at(), 0.8 + 2*random.Float64(), rgb(uint32(random.IntN(1 << 24)))})
	}
	one, many := white(200, 140), white(200, 140)
	for _, s := range segments {
		(&pen{img: one}).line(s.a, s.b, s.width, s.color, dash{})
	}
	(&pen{img: many}).lines(segments)
	for i, v := range one.Pix {
		if d := int(v) - int(many.Pix[i]); d > 1 || d < -1 {
			t.Fatalf("value %d is %d, want %d", i, many.Pix[i], v)
		}
	}
}

func TestRingAndPolygonCoverTheirArea(t *testing.T) {
	img := white(60, 60)
	(&pen{img: img}).ring(spot{x: 30, y: 30}, 12, 0, rgb(0))
	if got, want := inkOn(img), math.Pi*12*12; math.Abs(got-want) > 0.02*want {
		t.Errorf("a disc covers %.1f pixels, want %.1f", got, want)
	}
	img = white(60, 60)
	(&pen{img: img}).ring(spot{x: 30, y: 30}, 12, 3, rgb(0))
	if got, want := inkOn(img), 2*math.Pi*12*3; math.Abs(got-want) > 0.03*want {
		t.Errorf("a ring covers %.1f pixels, want %.1f", got, want)
	}
	img = white(60, 60)
	(&pen{img: img}).polygon([]spot{{x: 10, y: 10}, {x: 50, y: 15}, {x: 20, y: 50}}, rgb(0))
	if got, want := inkOn(img), 0.5*(40*40-5*10.0); math.Abs(got-want) > 0.03*want {
		t.Errorf("a triangle covers %.1f pixels, want %.1f", got, want)
	}
}
