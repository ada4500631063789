package render

import (
	"image"
	"image/color"
	"math"
)

// sign is a number in a ring that belongs to a place of a picture, pixels.
type sign struct {
	at   spot   // the place
	set  spot   // where the sign stands: beside at when another is in the way
	text string // a number of few digits
	// square tells it from the round ones, loud sets it on the accent, faint
	// draws it thin: what it belongs to is hidden.
	square, loud, faint bool
	// aside sets it beside its place in any case, which it would cover.
	aside bool
}

// signRadius is that of a sign, window units.
const signRadius = 8.5

// spread sets each sign, the first ones first, on the free place nearest to its
// own: clear of those before it, of the places of those that stand aside, and where
// within allows; at its own where there is none. u is pixels per window unit.
func spread(signs []sign, u float64, within func(spot) bool) {
	for i := range signs {
		free := func(p spot) bool {
			for k := range signs {
				g := &signs[k]
				if k < i && math.Hypot(p.x-g.set.x, p.y-g.set.y) < (2*signRadius+1.5)*u ||
					g.aside && math.Hypot(p.x-g.at.x, p.y-g.at.y) < (signRadius+3)*u {
					return false
				}
			}
			return within(p)
		}
		signs[i].set = freePlace(signs[i].at, u, free)
	}
}

// freePlace tries at and rings about it.
func freePlace(at spot, u float64, free func(spot) bool) spot {
	if free(at) {
		return at
	}
	for ring := 1.0; ring <= 5; ring++ {
		for k := range 12 {
			sin, cos := math.Sincos(float64(k) * math.Pi / 6)
			r := (0.6 + 1.2*ring) * signRadius * u
			if p := (spot{x: at.x + r*cos, y: at.y - r*sin, z: at.z}); free(p) {
				return p
			}
		}
	}
	return at
}

// insideOf gives what spread may use of a picture.
func insideOf(img *image.RGBA, u float64) func(spot) bool {
	edge := (signRadius + 1) * u
	w, h := float64(img.Rect.Dx()), float64(img.Rect.Dy())
	return func(p spot) bool { return p.x >= edge && p.y >= edge && p.x <= w-edge && p.y <= h-edge }
}

// signer draws signs.
type signer struct {
	pen     pen
	t, bold *lettering
	p       *Palette
	u       float64
}

// newSigner is false where the fonts cannot be read: they are embedded, so that
// cannot happen with a sound build.
func newSigner(img *image.RGBA, u float64, p *Palette) (*signer, bool) {
	t, err := newLettering(textPx*u, false)
	bold, err2 := newLettering(textPx*u, true)
	return &signer{pen: pen{img: img}, t: t, bold: bold, p: p, u: u}, err == nil && err2 == nil
}

// draw draws the signs, the last ones first, so that the first lie on top.
func (s *signer) draw(signs []sign) {
	for i := range signs {
		if g := &signs[len(signs)-1-i]; g.at != g.set {
			s.leader(g)
		}
	}
	for i := range signs {
		s.sign(&signs[len(signs)-1-i])
	}
}

// leader joins a sign that had to stand aside with its place.
func (s *signer) leader(g *sign) {
	halo := s.p.Background
	halo.A = 190
	s.pen.line(g.at, g.set, 3*s.u, halo, dash{})
	s.pen.line(g.at, g.set, 1.2*s.u, s.p.Ink, dash{})
	s.pen.ring(g.at, 3*s.u, 0, halo)
	s.pen.ring(g.at, 2*s.u, 0, s.p.Ink)
}

// sign draws one.
func (s *signer) sign(g *sign) {
	u, ground, ink, rim, r := s.u, s.p.Background, s.p.Ink, s.p.Ink, signRadius*s.u
	t, line := s.t, 1.4
	switch {
	case g.loud:
		ground, ink, t = s.p.Accent, against(s.p.Accent), s.bold
	case g.faint:
		ground.A, rim, ink, line = 170, s.p.Quiet, s.p.Quiet, 0.8
	}
	if g.square {
		s.square(g.set, r, line, rim, ground)
	} else {
		s.pen.ring(g.set, r-line*u/2, 0, ground)
		s.pen.ring(g.set, r-line*u/2, line*u, rim)
	}
	t.write(s.pen.img, g.set.x-t.width(g.text)/2, g.set.y+t.height()/2, g.text, ink)
}

// square draws a filled square with a rim.
func (s *signer) square(c spot, half, line float64, rim, ground color.RGBA) {
	corners := func(h float64) []spot {
		return []spot{{x: c.x - h, y: c.y - h}, {x: c.x + h, y: c.y - h}, {x: c.x + h, y: c.y + h}, {x: c.x - h, y: c.y + h}}
	}
	s.pen.polygon(corners(0.92*half), rim)
	s.pen.polygon(corners(0.92*half-line*s.u), ground)
}
