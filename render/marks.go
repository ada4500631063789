package render

import "gonum.org/v1/gonum/spatial/r3"

// marks draws footprint, centre of mass and the place of most sag, over all.
func (f *frame) marks() {
	if f.shot.Overlays.Footprint {
		f.footprint()
		f.massCenter()
	}
	if f.shot.Overlays.Sag && f.s.hasSagAt {
		f.worst()
	}
}

// footprint draws the support polygon: unbroken where it is seen, dashed where
// the part hides it.
func (f *frame) footprint() {
	seen := &pen{img: f.img, depth: f.b.part, bias: f.lens.depthOf(1.5 / f.lens.pxPerMM * f.unit)}
	over := &pen{img: f.img}
	faint := f.pal.Footprint
	faint.A = 150
	n := len(f.s.footprint)
	for i, a := range f.s.footprint {
		b := f.s.footprint[(i+1)%n]
		p, q := f.lens.at(r3.Vec{X: a.X, Y: a.Y}), f.lens.at(r3.Vec{X: b.X, Y: b.Y})
		over.line(p, q, 1.6*f.unit, faint, dash{5 * f.unit, 4 * f.unit})
		seen.line(p, q, 2.2*f.unit, f.pal.Footprint, dash{})
	}
}

// massCenter draws the centre of mass as a ringed cross with its plumb line.
func (f *frame) massCenter() {
	if len(f.s.mesh.Facets) == 0 {
		return
	}
	p, u := &pen{img: f.img}, f.unit
	c := f.lens.at(f.s.massCenter)
	foot := f.lens.at(r3.Vec{X: f.s.massCenter.X, Y: f.s.massCenter.Y})
	p.line(c, foot, 1.4*u, f.pal.MassCenter, dash{4 * u, 3 * u})
	p.ring(foot, 2.5*u, 0, f.pal.Footprint)
	p.ring(c, 6.5*u, 0, f.halo())
	p.ring(c, 5.5*u, 1.4*u, f.pal.MassCenter)
	p.line(spot{x: c.x - 5.5*u, y: c.y}, spot{x: c.x + 5.5*u, y: c.y}, 1.2*u, f.pal.MassCenter, dash{})
	p.line(spot{x: c.x, y: c.y - 5.5*u}, spot{x: c.x, y: c.y + 5.5*u}, 1.2*u, f.pal.MassCenter, dash{})
}

// worst draws a ringed dot where the part sags most.
func (f *frame) worst() {
	at := r3.Add(f.s.sagAt, r3.Scale(f.shot.sink(), f.s.sagWay))
	c, u := f.lens.at(at), f.unit
	p := &pen{img: f.img}
	p.ring(c, 9.5*u, 0, f.halo())
	p.ring(c, 7.5*u, 1.8*u, f.pal.Worst)
	p.ring(c, 2*u, 0, f.pal.Worst)
}
