package render

import (
	"fmt"
	"image/color"
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// textPx is the size of text in a picture, window units.
const textPx = 11.5

// furnish draws scale bar and axes on the finished picture, and the value beside
// the worst place.
func (f *frame) furnish() {
	u := f.shot.Density
	t, err := newLettering(textPx*u, false)
	if err != nil {
		return // the fonts are embedded: cannot happen with a sound build
	}
	p := &pen{img: f.img}
	f.scaleBar(p, t, u)
	if min(f.shot.Width, f.shot.Height) > int(6*axesArm*u) {
		f.axes(p, t, u)
	}
	f.drawRegionSigns()
	if text := f.s.drawnLarger(f.shot.sink()); text != "" {
		t.haloed(f.img, 10*u, t.height()+8*u, text, f.pal.Ink, f.pal.Background, u)
	}
	if f.shot.Overlays.Sag && f.s.hasSagAt && f.s.sagMM > 0 {
		f.worstValue(t, u)
	}
}

// drawnLarger says that the shape is not drawn true; empty where it is.
func (s *Scene) drawnLarger(times float64) string {
	if times == 0 || times == 1 || s.sagMM <= 0 {
		return ""
	}
	what := "sag"
	if s.moved != nil {
		what = "movement"
	}
	return fmt.Sprintf("shape drawn with %g × the %s", times, what)
}

// scaleBar draws a length in the lower right corner, with the grid beside it.
func (f *frame) scaleBar(p *pen, t *lettering, u float64) {
	perMM := f.lens.pxPerMM / float64(f.shot.Samples)
	mm := roundLength(min(110*u, 0.3*float64(f.shot.Width)) / perMM)
	x1, y := float64(f.shot.Width)-14*u, float64(f.shot.Height)-16*u
	x0 := x1 - mm*perMM
	c := f.pal.Ink
	p.line(spot{x: x0, y: y}, spot{x: x1, y: y}, 1.6*u, c, dash{})
	for _, x := range []float64{x0, x1} {
		p.line(spot{x: x, y: y - 4*u}, spot{x: x, y: y + 4*u}, 1.6*u, c, dash{})
	}
	text := fmt.Sprintf("%g mm", mm)
	t.write(f.img, (x0+x1-t.width(text))/2, y-6*u, text, c)
	grid := fmt.Sprintf("grid %g mm", f.gridMM())
	if x := x0 - t.width(grid) - 14*u; x > (axesArm+60)*u { // clear of the axes
		t.write(f.img, x, y+t.height()/2, grid, f.pal.Quiet)
	}
}

// roundLength gives the largest of 1, 2, 5, 10, 20 ... that is not over most.
func roundLength(most float64) float64 {
	if !(most > 0) || math.IsInf(most, 1) {
		return 1
	}
	decade := math.Pow(10, math.Floor(math.Log10(most)))
	for _, k := range []float64{5, 2} {
		if k*decade <= most {
			return k * decade
		}
	}
	return decade
}

// axesArm is how long the axes are drawn, window units.
const axesArm = 24

// axes draws the directions of X, Y and Z in the lower left corner.
func (f *frame) axes(p *pen, t *lettering, u float64) {
	const arm = axesArm
	o := spot{x: 36 * u, y: float64(f.shot.Height) - 36*u}
	for _, a := range []struct {
		name string
		dir  r3.Vec
		c    color.RGBA
	}{{"X", r3.Vec{X: 1}, f.pal.Quiet}, {"Y", r3.Vec{Y: 1}, f.pal.Quiet}, {"Z", r3.Vec{Z: 1}, f.pal.Accent}} {
		dx, dy := r3.Dot(a.dir, f.lens.right), -r3.Dot(a.dir, f.lens.up)
		tip := spot{x: o.x + arm*u*dx, y: o.y + arm*u*dy}
		p.line(o, tip, 1.8*u, a.c, dash{})
		away := r3.Dot(a.dir, f.lens.eye)
		if math.Hypot(dx, dy) < 0.12 { // it points along the view
			if away < 0 {
				continue
			}
			p.ring(o, 4*u, 1.4*u, a.c)
			dx, dy = -0.5, 0.5
			tip = spot{x: o.x + 8*u*dx, y: o.y + 8*u*dy}
		}
		n := math.Hypot(dx, dy)
		cx, cy := tip.x+8*u*dx/n, tip.y+8*u*dy/n
		t.write(f.img, cx-t.width(a.name)/2, cy+t.height()/2, a.name, a.c)
	}
	p.ring(o, 1.8*u, 0, f.pal.Quiet)
}

// worstValue writes the most sag beside its place.
func (f *frame) worstValue(t *lettering, u float64) {
	at := r3.Add(f.s.sagAt, r3.Scale(f.shot.sink(), f.s.sagWay))
	c := f.lens.at(at)
	k := float64(f.shot.Samples)
	x, y, text := c.x/k+13*u, c.y/k+t.height()/2, f.s.sagText()
	if wide := t.width(text); x+wide > float64(f.shot.Width)-4*u {
		x = c.x/k - 13*u - wide
	}
	halo := f.pal.Background
	for _, d := range [8][2]float64{{-1, -1}, {0, -1}, {1, -1}, {-1, 0}, {1, 0}, {-1, 1}, {0, 1}, {1, 1}} {
		t.write(f.img, x+d[0]*u, y+d[1]*u, text, halo)
	}
	t.write(f.img, x, y, text, f.pal.Ink)
}

// halo is the ground, thinly, to set off marks from what they lie on.
func (f *frame) halo() color.RGBA {
	c := f.pal.Background
	c.A = 190
	return c
}
