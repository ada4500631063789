package render

import (
	"context"
	"image"
	"image/draw"
	"math"

	"kilnpoise/mesh"
	"kilnpoise/orient"
)

// Thumbnail draws the candidate on the plate, filling the picture, with its
// overhang: to tell candidates apart at a glance. Size in device pixels. Nil
// when ctx ends.
func Thumbnail(ctx context.Context, d *orient.Detail, width, height int, p Palette) *image.RGBA {
	s := NewScene(d, Stage{Machine: OnPlate})
	shot := Shot{
		Camera: DefaultCamera(), Width: width, Height: height, Palette: p, Samples: 2, Bare: true,
		Overlays: Overlays{Overhang: true, Supports: true},
	}
	shot.Camera, shot.MMPerPixel = s.tight(shot)
	return s.Frame(ctx, shot)
}

// tight gives camera and scale at which the part just fills the shot as it is
// turned, and stands in its middle.
func (s *Scene) tight(shot Shot) (Camera, float64) {
	c := shot.Camera
	right, up, _ := c.axes()
	l := lens{right: right, up: up, pxPerMM: 1, center: s.box.Center(), reachMM: 1}
	x0, y0, x1, y1 := math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)
	for _, v := range s.mesh.Vertices {
		p := l.at(v)
		x0, x1 = min(x0, p.x), max(x1, p.x)
		y0, y1 = min(y0, p.y), max(y1, p.y)
	}
	if x0 > x1 {
		return c, 0
	}
	c.PanXMM, c.PanYMM = -(x0+x1)/2, (y0+y1)/2
	return c, fit(x1-x0, y1-y0, shot)
}

// Picture draws the scene as Frame does, with its legend in a strip below; the
// whole is the size of the shot. Nil when ctx ends.
func (s *Scene) Picture(ctx context.Context, shot Shot) *image.RGBA {
	shot = shot.complete()
	legend := DrawLegend(s.Legend(shot.Overlays, shot.Palette), shot.Width, shot.Density, shot.Palette)
	high := shot.Height
	strip := min(legend.Rect.Dy(), high/2)
	shot.Height -= strip
	frame := s.Frame(ctx, shot)
	if frame == nil || strip == 0 {
		return frame
	}
	out := image.NewRGBA(image.Rect(0, 0, shot.Width, high))
	draw.Draw(out, frame.Rect, frame, image.Point{}, draw.Src)
	draw.Draw(out, image.Rect(0, shot.Height, shot.Width, high), legend, image.Point{}, draw.Src)
	return out
}

// meshOf gives the mesh of d on the machine.
func meshOf(d *orient.Detail, m Machine) *mesh.Mesh {
	out := d.Green
	if m == OnSetter {
		out = d.Sintered
	}
	if out == nil {
		out = &mesh.Mesh{}
	}
	return out
}
