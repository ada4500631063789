package window

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

func swatchPixel(e render.LegendEntry, ink color.RGBA, x, y, w, h, line int) color.RGBA {
	edge := x < line || y < line || x >= w-line || y >= h-line
	switch e.Pattern {
	case render.Hatched:
		if (x+y)%(5*line) < 2*line {
			return mix(e.Color, ink, 0.45)
		}
		return e.Color
	case render.Ribbed:
		if x%(4*line) < line {
			return mix(e.Color, ink, 0.45)
		}
		return e.Color
	case render.Outline:
		if edge && (x+y)/(3*line)%2 == 0 {
			return e.Color
		}
		return color.RGBA{}
	case render.Cross:
		return ringPixel(e.Color, x, y, w, h, line, true)
	case render.Ringed:
		return ringPixel(e.Color, x, y, w, h, line, false)
	case render.Scale:
		if e.Ramp == nil {
			return e.Color
		}
		return e.Ramp.At(float64(x) / float64(max(w-1, 1)))
	default:
		return e.Color
	}
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
