package handover

import (
	"context"
	"image"
	"image/png"
	"io"

	"kilnpoise/orient"
	"kilnpoise/render"
)

// legibleWidth is the width of a picture, in units of text size, at which its
// legend reads well on a page.
const legibleWidth = 700

// Drawing is a picture that can be written as PNG.
type Drawing struct{ image image.Image }

// Write writes d as PNG.
func (d Drawing) Write(w io.Writer) error { return png.Encode(w, d.image) }

// Picture draws a candidate on the printer's plate with overhang, support and
// legend, in pixels.
func Picture(ctx context.Context, d *orient.Detail, b *orient.Brief, width, height int) (Drawing, error) {
	scene := render.NewScene(d, render.StageOf(b, render.OnPlate))
	img := scene.Picture(ctx, render.Shot{
		Camera: render.DefaultCamera(), Width: width, Height: height, Samples: 2, Density: float64(width) / legibleWidth,
		Overlays: render.Overlays{Overhang: true, Supports: true, Footprint: true}, Palette: render.LightPalette(),
	})
	if img == nil {
		return Drawing{}, ctx.Err()
	}
	return Drawing{img}, nil
}
