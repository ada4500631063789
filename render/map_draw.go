package render

import (
	"image"
	"image/color"
	"math"
)

// mapFrame is the work on one drawing of a direction map.
type mapFrame struct {
	m           *DirectionMap
	s           MapShot
	discs       discs
	img         *image.RGBA
	pen         pen
	t           *lettering
	values      []float64
	best, worst float64
	top         float64 // share of the ramp that finite values take
}

// fill colours the discs by the measure, the better the lighter, and hatches
// where gates fail.
func (f *mapFrame) fill() {
	if len(f.m.points) == 0 {
		return
	}
	index, reach := f.m.spheres(), int(f.discs.radius)+1
	top, bottom := max(int(f.discs.left.y)-reach, 0), min(int(f.discs.left.y)+reach+1, f.s.Height)
	if top >= bottom {
		return
	}
	step := max(int(f.s.Density), 1)
	chunks((bottom-top+step-1)/step, func(_, lo, hi int) {
		for k := lo; k < hi; k++ {
			y := top + k*step
			for _, c := range [2]spot{f.discs.left, f.discs.right} {
				for x := max(int(c.x)-reach, 0); x < min(int(c.x)+reach+1, f.s.Width); x += step {
					f.block(index, x, y, step)
				}
			}
		}
	})
}

// block colours a square of step x step pixels, one unit of the window, by its
// first point on a disc.
func (f *mapFrame) block(index *sphereIndex, x0, y0, step int) {
	u := f.s.Density
	hatch := hatching{period: 5 * u, line: 1.1 * u}
	var c color.RGBA
	known, passes := false, true
	for y := y0; y < min(y0+step, f.s.Height); y++ {
		for x := x0; x < min(x0+step, f.s.Width); x++ {
			px, py := float64(x)+0.5, float64(y)+0.5
			v, ok := f.discs.under(px, py)
			if !ok {
				continue
			}
			if !known {
				value, nearest := index.blend(v, f.values)
				c, passes, known = f.s.Palette.Ramp.At(f.share(value)), f.m.points[nearest].Passes(), true
			}
			p := f.img.Pix[y*f.img.Stride+4*x:][:4:4]
			p[0], p[1], p[2] = c.R, c.G, c.B
			if !passes {
				blend(p, against(c), 0.55*hatch.at(px, py))
			}
		}
	}
}

// share places a value on the ramp: 0 for the best, 1 for the worst. What
// collapses has the last step of the ramp for itself.
func (f *mapFrame) share(v float64) float64 {
	switch {
	case math.IsInf(v, 1):
		return 1
	case f.best == f.worst:
		return 0
	}
	return (v - f.best) / (f.worst - f.best) * f.top
}

// against gives the colour of lines that show on c: dark on light, light on dark.
func against(c color.RGBA) color.RGBA {
	const middle = 128
	if (299*int(c.R)+587*int(c.G)+114*int(c.B))/1000 < middle { // luma of ITU-R BT.601
		return rgb(0xFFFFFF)
	}
	return rgb(0x222528)
}

// rims draws the edge of each disc with the letters of the axes, and its pole.
func (f *mapFrame) rims() {
	u, ink, quiet := f.s.Density, f.s.Palette.Ink, f.s.Palette.Quiet
	r := f.discs.radius
	for i, c := range [2]spot{f.discs.left, f.discs.right} {
		f.pen.ring(c, r, 1.4*u, quiet)
		f.pen.line(spot{x: c.x + r, y: c.y}, spot{x: c.x + r + 3*u, y: c.y}, 1.4*u, ink, dash{})
		f.pen.line(spot{x: c.x, y: c.y - r}, spot{x: c.x, y: c.y - r - 3*u}, 1.4*u, ink, dash{})
		f.t.write(f.img, c.x+r+4.5*u, c.y+f.t.height()/2, "X", ink)
		f.t.write(f.img, c.x+10*u, c.y-r-2*u, "Y", ink)
		f.pole(c, [2]string{"+Z", "−Z"}[i])
	}
}

// pole draws a small cross in the middle of a disc, with its name.
func (f *mapFrame) pole(c spot, name string) {
	u := f.s.Density
	for _, pass := range []struct {
		width float64
		c     color.RGBA
	}{{3.2, f.halo()}, {1.2, f.s.Palette.Ink}} {
		f.pen.line(spot{x: c.x - 4*u, y: c.y}, spot{x: c.x + 4*u, y: c.y}, pass.width*u, pass.c, dash{})
		f.pen.line(spot{x: c.x, y: c.y - 4*u}, spot{x: c.x, y: c.y + 4*u}, pass.width*u, pass.c, dash{})
	}
	f.t.haloed(f.img, c.x+6*u, c.y+f.t.height()+4*u, name, f.s.Palette.Ink, f.s.Palette.Background, u)
}

// halo is the ground, thinly.
func (f *mapFrame) halo() color.RGBA {
	c := f.s.Palette.Background
	c.A = 190
	return c
}

// haloed writes text with a rim of the colour of the ground, to be read on
// anything.
func (l *lettering) haloed(img *image.RGBA, x, y float64, text string, ink, ground color.RGBA, u float64) {
	for _, d := range [8][2]float64{{-1, -1}, {0, -1}, {1, -1}, {-1, 0}, {1, 0}, {-1, 1}, {0, 1}, {1, 1}} {
		l.write(img, x+d[0]*u, y+d[1]*u, text, ground)
	}
	l.write(img, x, y, text, ink)
}

// legend sets what the colours and marks mean in two lines under the discs.
func (f *mapFrame) legend() {
	u := f.s.Density
	all := f.m.Legend(f.s)
	at := spot{x: legendPad * u, y: float64(f.s.Height) - 2*mapLine*u}
	room := float64(f.s.Width) - 2*at.x - scaleEnds(all[0], f.t, u) - f.t.width(all[0].Text) - 5*u
	f.entry(all[0], at, drawScale(f.img, all[0], at, min(max(room, 48*u), 140*u), u, f.t, f.s.Palette))
	at.y += mapLine * u
	for _, e := range all[1:] {
		at.x = f.entry(e, at, drawSwatch(f.img, e, at, u, f.t, f.s.Palette)) + 12*u
	}
}

// entry writes the text of an entry beside its sample, and gives where it ends.
func (f *mapFrame) entry(e LegendEntry, at spot, sample float64) float64 {
	u, x := f.s.Density, at.x+sample+5*f.s.Density
	text := f.t.cut(e.Text, float64(f.s.Width)-x-4*u)
	f.t.write(f.img, x, at.y+swatchHigh*u/2+f.t.height()/2, text, f.s.Palette.Ink)
	return x + f.t.width(text)
}

// Legend explains the colours and marks of the map: first the scale, the better
// end first, then hatching and marks as far as they occur.
func (m *DirectionMap) Legend(s MapShot) []LegendEntry {
	s = s.complete()
	values := m.values(s.Measure)
	best, worst := rangeOf(values, s.Measure.MoreIsBetter)
	scale := LegendEntry{Pattern: Scale, Ramp: s.Palette.Ramp, Text: s.Measure.mapLabel(), Low: s.Measure.digits(best), High: s.Measure.digits(worst)}
	fails := false
	for i, v := range values {
		fails = fails || !m.points[i].Passes()
		if math.IsInf(v, 1) {
			scale.High = "collapses"
		}
	}
	out := []LegendEntry{scale}
	if fails {
		out = append(out, LegendEntry{Color: s.Palette.Ramp.At(0.4), Pattern: Hatched, Text: "fails a gate"})
	}
	return append(out, s.markLegend()...)
}
