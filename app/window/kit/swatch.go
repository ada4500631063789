package kit

import (
	"image"
	"image/color"

	"kilnpoise/render"
)

// swatch draws how one mark of the pictures is filled, w by h device pixels;
// line is the width of its strokes.
func swatch(e render.LegendEntry, ink color.Color, w, h, line int) *image.RGBA {
	img := image.NewRGBA(image.Rect(0, 0, w, h))
	stroke := color.RGBAModel.Convert(ink).(color.RGBA)
	for y := range h {
		for x := range w {
			img.SetRGBA(x, y, swatchPixel(e, stroke, x, y, w, h, line))
		}
	}
	return img
}

// swatchPixel gives one pixel of a swatch.
func swatchPixel(e render.LegendEntry, ink color.RGBA, x, y, w, h, line int) color.RGBA {
	switch e.Pattern {
	case render.Hatched:
		return striped(e.Color, ink, (x+y)%(5*line) < 2*line)
	case render.FallingLines:
		return striped(e.Color, ink, (x-y+h)%(5*line) < 2*line)
	case render.LevelLines:
		return striped(e.Color, ink, y%(4*line) < line)
	case render.Ribbed, render.UprightLines:
		return striped(e.Color, ink, x%(4*line) < line)
	case render.Outline:
		return outlinePixel(e.Color, x, y, w, h, line)
	case render.Cross, render.Ringed, render.RingMark:
		return ringPixel(e.Color, x, y, w, h, line, e.Pattern == render.Cross)
	case render.Scale:
		if e.Ramp != nil {
			return e.Ramp.At(float64(x) / float64(max(w-1, 1)))
		}
	}
	return e.Color
}

// striped darkens the pixels of a stripe.
func striped(c, ink color.RGBA, inStripe bool) color.RGBA {
	if inStripe {
		return mix(c, ink, 0.45)
	}
	return c
}

// outlinePixel draws a dashed frame.
func outlinePixel(c color.RGBA, x, y, w, h, line int) color.RGBA {
	edge := x < line || y < line || x >= w-line || y >= h-line
	if edge && (x+y)/(3*line)%2 == 0 {
		return c
	}
	return color.RGBA{}
}

// ringPixel draws a ring with a cross or a dot in it.
func ringPixel(c color.RGBA, x, y, w, h, line int, cross bool) color.RGBA {
	dx, dy := 2*x-w+1, 2*y-h+1
	d2, outer, inner := dx*dx+dy*dy, h-1, h-1-3*line
	switch {
	case d2 <= outer*outer && d2 >= inner*inner:
		return c
	case cross && d2 < outer*outer && (abs(dx) <= line || abs(dy) <= line):
		return c
	case !cross && d2 <= 9*line*line:
		return c
	default:
		return color.RGBA{}
	}
}

func abs(v int) int { return max(v, -v) }

// mix blends b into a by t.
func mix(a, b color.RGBA, t float64) color.RGBA {
	blend := func(x, y uint8) uint8 { return uint8(float64(x)*(1-t) + float64(y)*t) }
	return color.RGBA{blend(a.R, b.R), blend(a.G, b.G), blend(a.B, b.B), 0xff}
}
