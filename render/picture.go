package render

import (
	"context"
	"image"

	"kilnpoise/orient"
)

// Thumbnail draws the candidate on the plate, filling the picture, with its
// overhang: to tell candidates apart at a glance. Size in device pixels.
func Thumbnail(ctx context.Context, d *orient.Detail, width, height int, p Palette) *image.RGBA {
	return nil
}

// Picture draws the scene as Frame does, with its legend in a strip below; the
// whole is the size of the shot.
func (s *Scene) Picture(ctx context.Context, shot Shot) *image.RGBA { return nil }

// DrawLegend draws a legend alone, for a window that shows it beside the view.
// Width in device pixels; as high as it needs.
func DrawLegend(entries []LegendEntry, width int, density float64, p Palette) *image.RGBA {
	return nil
}
