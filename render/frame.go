package render

import (
	"context"
	"image"
	"image/color"
)

// frame is the work on one picture.
type frame struct {
	s     *Scene
	ctx   context.Context
	shot  Shot
	pal   *Palette
	lens  lens
	unit  float64 // pixels of img per length unit of the window
	w, h  int     // of img
	b     *buffers
	img   *image.RGBA
	signs []sign // numbers of regions
}

// Frame draws the scene. When ctx ends before the picture is done the result is
// nil. The image is new and belongs to the caller.
func (s *Scene) Frame(ctx context.Context, shot Shot) *image.RGBA {
	shot = shot.complete()
	f := &frame{
		s: s, ctx: ctx, shot: shot, pal: &shot.Palette,
		lens: s.lens(shot, shot.Samples),
		unit: shot.Density * float64(shot.Samples),
		w:    shot.Width * shot.Samples, h: shot.Height * shot.Samples,
	}
	f.b = s.take(f.w, f.h)
	defer s.buffers.Put(f.b)
	f.img = image.NewRGBA(image.Rect(0, 0, f.w, f.h))
	f.paint()
	if ctx.Err() != nil {
		return nil
	}
	f.img = shrink(f.img, shot.Samples)
	if !shot.Bare {
		f.furnish()
	}
	return f.img
}

// paint draws everything but text, back to front.
func (f *frame) paint() {
	f.ground()
	f.part()
	f.signs = f.regionSigns()
	f.hiddenOverhang()
	f.edges()
	f.supports()
	f.groundFromBelow()
	f.marks()
}

// part rasterises the part and lays it over the ground.
func (f *frame) part() {
	f.b.project(f.s, &f.lens, f.shot.sink())
	f.b.face(f.s, f.w, f.h)
	f.b.part.clear(nil)
	src := &partSource{s: f.s, b: f.b}
	if f.shot.Overlays.Overhang {
		src.overhang = f.s.overhang
	}
	if f.shot.Overlays.Sag && f.s.sagMM > 0 {
		src.sag, src.perMM = f.s.sag, 1/f.s.sagTop(f.shot.Overlays)
	}
	if f.shot.Overlays.Marks {
		src.marked = f.s.marked
	}
	if f.shot.Overlays.Regions {
		src.regionOf = f.s.regionOf
	}
	f.b.part.draw(f.ctx, &f.b.lists, src, func(b *band) painter { return f.partPainter(b, src) })
	f.rows(func(y int, out, over []uint8) {
		for x := 0; x < len(out); x += 4 {
			if over[x+3] != bareAlpha {
				out[x], out[x+1], out[x+2] = over[x], over[x+1], over[x+2]
			}
		}
	}, f.b.part)
}

// partPainter gives the painter of the part for a band.
func (f *frame) partPainter(b *band, src *partSource) painter {
	base := f.pal.Green
	if f.s.stage.Machine == OnSetter {
		base = f.pal.Sintered
	}
	p := &partPainter{
		light: newLight(&f.lens), base: tone(base), over: tone(f.pal.Overhang), back: tone(f.pal.Quiet),
		coats: f.coats(), hatch: f.hatching(), width: float64(b.dc.Width) / 2, height: float64(b.dc.Height) / 2, y0: float64(b.y0),
	}
	if src.sag != nil {
		for _, c := range f.pal.Ramp {
			p.ramp = append(p.ramp, tone(c))
		}
	}
	return p
}

// hatching of the overhang, tied to the middle of the part.
func (f *frame) hatching() hatching {
	c := f.lens.at(f.lens.center)
	return hatching{x: c.x, y: c.y, period: 5 * f.unit, line: 1.3 * f.unit}
}

// hiddenOverhang lets the overhang that is turned away or covered show through
// the part as faint hatching: it is below, and the eye is mostly above. The region
// that stands out shows in its colour.
func (f *frame) hiddenOverhang() {
	o := f.shot.Overlays
	loud := int32(o.Region)
	if !o.Regions || f.s.regionOf == nil {
		loud = 0
	}
	if o.Overhang && f.s.overhang != nil {
		f.throughPart(func(i int) bool { return f.s.overhang[i] && (loud == 0 || f.s.regionOf[i] != loud) }, f.pal.Overhang, 0.10, 0.34)
	}
	if loud > 0 {
		f.throughPart(func(i int) bool { return f.s.regionOf[i] == loud }, f.pal.Accent, 0.18, 0.5)
	}
}

// throughPart hatches the facets that are of a kind over what covers them: between
// the lines with strength wash, on them with line more. In sight they have the
// colour already, and what is hatched there is left alone.
func (f *frame) throughPart(of func(i int) bool, ink color.RGBA, wash, line float64) {
	f.b.lists.reset(1)
	for i := range f.s.mesh.Facets {
		if of(i) {
			f.b.lists.put(0, int32(i), f.b.corners(f.s, i), f.w, f.h)
		}
	}
	if f.b.mask == nil {
		f.b.mask = newMask(f.w, f.h)
	}
	f.b.mask.fill(&f.b.lists, func(i int32) [3]spot { return f.b.corners(f.s, int(i)) })
	hatch := f.hatching()
	f.rows(func(y int, out, part []uint8) {
		for x, on := range f.b.mask.row(y) {
			if on && part[4*x+3] == solidAlpha {
				blend(out[4*x:4*x+4:4*x+4], ink, wash+line*hatch.at(float64(x)+0.5, float64(y)+0.5))
			}
		}
	}, f.b.part)
}

// edges draws creases and outlines of the part.
func (f *frame) edges() {
	p := &pen{img: f.img, depth: f.b.part, bias: f.lens.depthOf(1.5 / f.lens.pxPerMM * f.unit)}
	width, thin := 1.15*f.unit, 0.8*f.unit
	crease := f.pal.Edge
	crease.A = 150
	segments := f.b.segments[:0]
	for i := range f.s.outline.edges {
		e := &f.s.outline.edges[i]
		front := f.b.front[e.f]
		back := e.g >= 0 && f.b.front[e.g]
		switch {
		case e.g < 0 || front != back:
			segments = append(segments, segment{f.b.spots[e.a], f.b.spots[e.b], width, f.pal.Edge})
		case e.sharp && front:
			segments = append(segments, segment{f.b.spots[e.a], f.b.spots[e.b], thin, crease})
		}
	}
	p.lines(segments)
	f.b.segments = segments
}

// supports lays the support envelope over the picture as a thin veil.
func (f *frame) supports() {
	if !f.shot.Overlays.Supports || len(f.s.supports.quads) == 0 {
		return
	}
	src := &shellSource{quads: f.s.supports.quads, l: &f.lens}
	src.file(&f.b.lists, f.w, f.h)
	veil := f.veil()
	veil.clear(f.b.part)
	veil.draw(f.ctx, &f.b.lists, src, func(*band) painter {
		return &veilPainter{light: newLight(&f.lens), base: tone(f.pal.Support)}
	})
	const strength = 0.5
	f.rows(func(y int, out, over []uint8) {
		for x := 0; x < len(out); x += 4 {
			if over[x+3] != bareAlpha {
				blend(out[x:x+4:x+4], color.RGBA{over[x], over[x+1], over[x+2], 255}, strength)
			}
		}
	}, veil)
	p := &pen{img: f.img, depth: veil, bias: f.lens.depthOf(1 / f.lens.pxPerMM * f.unit)}
	line := f.pal.SupportEdge
	line.A = 130
	segments := f.b.segments[:0]
	for _, r := range f.s.supports.rims {
		segments = append(segments, segment{f.lens.at(r[0]), f.lens.at(r[1]), 0.8 * f.unit, line})
	}
	p.lines(segments)
	f.b.segments = segments
}

// veil gives the layer for what is blended over the part: that of the part
// itself where nothing drawn later asks for its depth.
func (f *frame) veil() *layer {
	if !f.shot.Overlays.Footprint {
		return f.b.part
	}
	if f.b.over == nil {
		f.b.over = newLayer(f.w, f.h)
	}
	return f.b.over
}

// rows runs f over the rows of the picture, beside those of a layer.
func (f *frame) rows(do func(y int, out, over []uint8), over *layer) {
	chunks(f.h, func(_, lo, hi int) {
		for y := lo; y < hi; y++ {
			do(y, f.img.Pix[y*f.img.Stride:][:4*f.w], over.colorRow(y))
		}
	})
}
