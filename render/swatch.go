package render

import (
	"fmt"
	"image"
	"image/color"
	"math"
)

// sizes of a drawn legend, window units.
const (
	swatchWide, swatchHigh = 26, 13
	smallWide              = 13 // of a mark
	scaleWide              = 108
	legendGap              = 18 // between entries
	legendLine             = 22 // from line to line
	legendPad              = 8
)

// DrawLegend draws a legend alone, for a window or file that shows it beside the
// picture. Width in device pixels; as high as it needs, nothing for no entries.
func DrawLegend(entries []LegendEntry, width int, density float64, p Palette) *image.RGBA {
	if !(density > 0) {
		density = 1
	}
	if p.Ramp == nil {
		p = LightPalette()
	}
	t, err := newLettering(textPx*density, false)
	if err != nil || len(entries) == 0 || width <= 0 {
		return image.NewRGBA(image.Rectangle{})
	}
	places, high := placeEntries(entries, width, density, t)
	img := image.NewRGBA(image.Rect(0, 0, width, high))
	pour(img, p.Background)
	for i, e := range entries {
		at := places[i]
		w := drawSwatch(img, e, at, density, t, p)
		text := t.cut(e.Text, float64(width)-at.x-w-(6+legendPad)*density)
		t.write(img, at.x+w+6*density, at.y+swatchHigh*density/2+t.height()/2, text, p.Ink)
	}
	return img
}

// placeEntries sets the entries in lines like words and gives the upper left
// corner of each, and the height of all.
func placeEntries(entries []LegendEntry, width int, u float64, t *lettering) ([]spot, int) {
	x, y := legendPad*u, legendPad*u
	places := make([]spot, len(entries))
	for i, e := range entries {
		w := entryWidth(e, u, t)
		if i > 0 && x+w > float64(width)-legendPad*u {
			x, y = legendPad*u, y+legendLine*u
		}
		places[i] = spot{x: x, y: y}
		x += w + legendGap*u
	}
	return places, int(math.Ceil(y + (swatchHigh+legendPad)*u))
}

func entryWidth(e LegendEntry, u float64, t *lettering) float64 {
	w := swatchWide * u
	switch e.Pattern {
	case Scale:
		w = scaleWide*u + scaleEnds(e, t, u)
	case Unmarked:
		w = 0
	case RingMark, SquareMark, DiscMark:
		w = smallWide * u
	}
	return w + 6*u + t.width(e.Text)
}

// scaleEnds is the room that the values at the ends of a scale take.
func scaleEnds(e LegendEntry, t *lettering, u float64) float64 {
	low, high := e.ends()
	return t.width(low) + t.width(high) + 8*u
}

// mmText gives millimetres with enough digits to tell small ones apart.
func mmText(v float64) string {
	if v == 0 {
		return "0"
	}
	return fmt.Sprintf("%.*f", decimals(v), v)
}

// decimals gives how many to show of a length in mm.
func decimals(v float64) int {
	switch v = math.Abs(v); {
	case v >= 10:
		return 1
	case v >= 0.1:
		return 2
	}
	return 3
}

// drawSwatch draws the sample of an entry and gives its width.
func drawSwatch(img *image.RGBA, e LegendEntry, at spot, u float64, t *lettering, p Palette) float64 {
	switch e.Pattern {
	case Scale:
		return drawScale(img, e, at, scaleWide*u, u, t, p)
	case Unmarked:
		return 0
	case RingMark, SquareMark, DiscMark:
		return drawMark(img, e, at, u, p)
	}
	d := &pen{img: img}
	w, h := swatchWide*u, swatchHigh*u
	mid := spot{x: at.x + w/2, y: at.y + h/2}
	switch e.Pattern {
	case Outline:
		d.line(spot{x: at.x, y: mid.y}, spot{x: at.x + w, y: mid.y}, 2.2*u, e.Color, dash{})
	case Cross:
		d.ring(mid, 5*u, 1.4*u, e.Color)
		d.line(spot{x: mid.x - 5*u, y: mid.y}, spot{x: mid.x + 5*u, y: mid.y}, 1.2*u, e.Color, dash{})
		d.line(spot{x: mid.x, y: mid.y - 5*u}, spot{x: mid.x, y: mid.y + 5*u}, 1.2*u, e.Color, dash{})
	case Ringed:
		d.ring(mid, 5.2*u, 1.6*u, e.Color)
		d.ring(mid, 1.8*u, 0, e.Color)
	default:
		d.fill(at, w, h, func(x, y float64) color.RGBA { return patterned(e, x, y, u) })
		d.frame(at, w, h, u, p.Quiet)
	}
	return w
}

// drawMark draws the sample of a small mark and gives its width.
func drawMark(img *image.RGBA, e LegendEntry, at spot, u float64, p Palette) float64 {
	d, w := &pen{img: img}, smallWide*u
	mid := spot{x: at.x + w/2, y: at.y + swatchHigh*u/2}
	switch e.Pattern {
	case SquareMark:
		d.frame(spot{x: mid.x - 4.6*u, y: mid.y - 4.6*u}, 9.2*u, 9.2*u, 1.4*u, e.Color)
	case RingMark:
		d.ring(mid, 5*u, 1.4*u, e.Color)
	default:
		d.ring(mid, 5.7*u, 0, p.Ink)
		d.ring(mid, 4.4*u, 0, e.Color)
	}
	return w
}

// patterned gives the colour of a swatch at a point of the picture.
func patterned(e LegendEntry, x, y, u float64) color.RGBA {
	switch e.Pattern {
	case Hatched:
		h := hatching{period: 5 * u, line: 1.3 * u}
		return dim(e.Color, 1-hatchDark*h.at(x, y))
	case Ribbed:
		if math.Mod(x, 5*u) < 1*u {
			return dim(e.Color, 0.7)
		}
	case FallingLines, LevelLines, UprightLines:
		return linedSwatch(e, x, y, u)
	}
	return e.Color
}

// linedSwatch gives the colour of the sample of a mark at a point.
func linedSwatch(e LegendEntry, x, y, u float64) color.RGBA {
	sin, cos := math.Sincos(markAngles()[e.Pattern-FallingLines] * math.Pi / 180)
	l := lines{x: sin, y: cos, period: markPeriod * u, half: 0.75 * u}
	c := mixTones(tone(washed(e.Color)), tone(dim(e.Color, 0.72)), l.at(x, y)).NRGBA()
	return color.RGBA{c.R, c.G, c.B, 255}
}

// washed is a colour as a wash on the part shows it.
func washed(c color.RGBA) color.RGBA {
	light := func(v uint8) uint8 { return uint8((int(v) + 0xD0) / 2) }
	return color.RGBA{light(c.R), light(c.G), light(c.B), 255}
}

// drawScale draws the ramp, wide pixels, between its two values, and gives the
// width of all.
func drawScale(img *image.RGBA, e LegendEntry, at spot, wide, u float64, t *lettering, p Palette) float64 {
	low, high := e.ends()
	base := at.y + swatchHigh*u/2 + t.height()/2
	t.write(img, at.x, base, low, p.Ink)
	x0 := at.x + t.width(low) + 4*u
	d := &pen{img: img}
	if e.Ramp != nil {
		d.fill(spot{x: x0, y: at.y}, wide, swatchHigh*u, func(x, _ float64) color.RGBA {
			return e.Ramp.At((x - x0) / wide)
		})
	}
	d.frame(spot{x: x0, y: at.y}, wide, swatchHigh*u, u, p.Quiet)
	t.write(img, x0+wide+4*u, base, high, p.Ink)
	return wide + scaleEnds(e, t, u)
}

// fill colours an upright rectangle, point by point.
func (p *pen) fill(at spot, w, h float64, c func(x, y float64) color.RGBA) {
	for y := floor(at.y + 0.5); y < floor(at.y+h+0.5); y++ {
		for x := floor(at.x + 0.5); x < floor(at.x+w+0.5); x++ {
			p.dot(x, y, c(float64(x)+0.5, float64(y)+0.5), 1)
		}
	}
}

// frame draws the rim of an upright rectangle.
func (p *pen) frame(at spot, w, h, width float64, c color.RGBA) {
	x0, y0, x1, y1 := at.x, at.y, at.x+w, at.y+h
	for _, s := range [4][4]float64{{x0, y0, x1, y0}, {x1, y0, x1, y1}, {x1, y1, x0, y1}, {x0, y1, x0, y0}} {
		p.line(spot{x: s[0], y: s[1]}, spot{x: s[2], y: s[3]}, width, c, dash{})
	}
}

// pour fills the whole picture.
func pour(img *image.RGBA, c color.RGBA) {
	for i := 0; i < len(img.Pix); i += 4 {
		img.Pix[i], img.Pix[i+1], img.Pix[i+2], img.Pix[i+3] = c.R, c.G, c.B, 255
	}
}
