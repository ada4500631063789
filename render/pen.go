package render

import (
	"image"
	"image/color"
	"math"
)

// pen draws smooth-edged lines and marks over a picture.
type pen struct {
	img *image.RGBA
	// depth hides what lies behind; nil draws over everything.
	depth *layer
	// bias is by how much nearer than the surface a line counts, so that lines
	// on the surface are not hidden by it.
	bias float64
	// top and bottom bound the rows drawn; both 0 for the whole picture.
	top, bottom int
}

// rows gives the rows that may be drawn on.
func (p *pen) rows() (top, bottom int) {
	if p.bottom == 0 {
		return 0, p.img.Rect.Max.Y
	}
	return p.top, p.bottom
}

// segment is an unbroken line to be drawn.
type segment struct {
	a, b  spot
	width float64
	color color.RGBA
}

// lines draws segments in their order, on all cores: each draws its own rows.
func (p *pen) lines(segments []segment) {
	h := p.img.Rect.Max.Y
	step := bandStep(h)
	each((h+step-1)/step, func(k int) {
		q := *p
		q.top, q.bottom = k*step, min((k+1)*step, h)
		for i := range segments {
			s := &segments[i]
			reach := s.width + 1
			if max(s.a.y, s.b.y)+reach >= float64(q.top) && min(s.a.y, s.b.y)-reach <= float64(q.bottom) {
				q.line(s.a, s.b, s.width, s.color, dash{})
			}
		}
	})
}

// dot blends c over one pixel with strength 0 to 1.
func (p *pen) dot(x, y int, c color.RGBA, strength float64) {
	if x < 0 || y < 0 || x >= p.img.Rect.Max.X || y >= p.img.Rect.Max.Y || strength <= 0 {
		return
	}
	blend(p.img.Pix[p.img.PixOffset(x, y):][:4:4], c, strength)
}

// blend mixes c into an opaque pixel; the alpha of c counts as well.
func blend(px []uint8, c color.RGBA, strength float64) {
	a := int32(min(strength, 1)*float64(c.A) + 0.5)
	px[0] += uint8((int32(c.R) - int32(px[0])) * a / 255)
	px[1] += uint8((int32(c.G) - int32(px[1])) * a / 255)
	px[2] += uint8((int32(c.B) - int32(px[2])) * a / 255)
}

// dash is the pattern of a line: drawn and left out, pixels. Zero is unbroken.
type dash struct{ on, off float64 }

// line draws from a to b.
func (p *pen) line(a, b spot, width float64, c color.RGBA, d dash) {
	top, bottom := p.rows()
	a, b, ok := clipLine(a, b, float64(p.img.Rect.Max.X), float64(top), float64(bottom), width+2)
	length := math.Hypot(b.x-a.x, b.y-a.y)
	if !ok || length < 1e-9 {
		return
	}
	s := stroke{a: a, b: b, length: length, half: width / 2, color: c, dash: d}
	// Walk along the longer axis and across the other.
	if math.Abs(b.y-a.y) > math.Abs(b.x-a.x) {
		s.steep = true
		s.from, s.to, s.mid, s.slope = a.y, b.y, a.x, (b.x-a.x)/(b.y-a.y)
	} else {
		s.from, s.to, s.mid, s.slope = a.x, b.x, a.y, (b.y-a.y)/(b.x-a.x)
	}
	s.squeeze = math.Abs(s.to-s.from) / length
	lo, hi := min(s.from, s.to)-s.half, max(s.from, s.to)+s.half
	for m := floor(lo); m <= floor(hi); m++ {
		p.across(&s, m)
	}
}

// stroke is a line on its way onto the picture: from, to and m count along its
// longer axis, mid and slope give the other; squeeze turns a distance along that
// other axis into the distance from the line.
type stroke struct {
	a, b         spot
	length, half float64
	color        color.RGBA
	dash         dash
	steep        bool
	from, to     float64
	mid, slope   float64
	squeeze      float64
}

// across draws the pixels of the line at place m of its longer axis.
func (p *pen) across(s *stroke, m int) {
	at := float64(m) + 0.5
	t := (at - s.from) / (s.to - s.from)
	along := t * s.length
	strength := min(max(along+s.half+0.5, 0), 1) * min(max(s.length-along+s.half+0.5, 0), 1)
	if s.dash.on > 0 {
		period := s.dash.on + s.dash.off
		strength *= min(max(s.dash.on-(along-period*math.Floor(along/period))+0.5, 0), 1)
	}
	if strength <= 0 {
		return
	}
	depth := s.a.z + min(max(t, 0), 1)*(s.b.z-s.a.z) - p.bias
	mid := s.mid + s.slope*(at-s.from)
	reach := (s.half + 0.5) / s.squeeze
	top, bottom := p.rows()
	for q := floor(mid - reach); q <= floor(mid+reach); q++ {
		x, y := m, q
		if s.steep {
			x, y = q, m
		}
		if x < 0 || x >= p.img.Rect.Max.X || y < top || y >= bottom {
			continue
		}
		cover := min(s.half+0.5-math.Abs(float64(q)+0.5-mid)*s.squeeze, 1)
		if cover <= 0 || p.depth != nil && depth > 2*p.depth.depthRow(y)[x]-1 {
			continue
		}
		blend(p.img.Pix[y*p.img.Stride+4*x:][:4:4], s.color, cover*strength)
	}
}

// clipLine cuts the line to the rows from top to bottom of a picture w wide,
// with a margin; false when it lies outside (Liang and Barsky, ACM Trans.
// Graphics 3 (1984)).
func clipLine(a, b spot, w, top, bottom, margin float64) (spot, spot, bool) {
	t0, t1 := 0.0, 1.0
	dx, dy := b.x-a.x, b.y-a.y
	cut := func(p, q float64) bool { // p t <= q
		switch {
		case p == 0:
			return q >= 0
		case p < 0:
			t0 = max(t0, q/p)
		default:
			t1 = min(t1, q/p)
		}
		return t0 <= t1
	}
	if !(cut(-dx, a.x+margin) && cut(dx, w+margin-a.x) && cut(-dy, a.y-top+margin) && cut(dy, bottom+margin-a.y)) {
		return a, b, false
	}
	at := func(t float64) spot { return spot{a.x + t*dx, a.y + t*dy, a.z + t*(b.z-a.z)} }
	return at(t0), at(t1), true
}

// ring draws a circle, or a disc when width is 0.
func (p *pen) ring(c spot, radius, width float64, col color.RGBA) {
	reach := radius + width/2 + 1
	for y := int(c.y - reach); y <= int(c.y+reach); y++ {
		for x := int(c.x - reach); x <= int(c.x+reach); x++ {
			dx, dy := float64(x)+0.5-c.x, float64(y)+0.5-c.y
			r := math.Sqrt(dx*dx + dy*dy)
			off := r - radius
			if width > 0 {
				off = math.Abs(off) - width/2
			}
			p.dot(x, y, col, min(max(0.5-off, 0), 1))
		}
	}
}

// polygon fills a convex polygon given by its corners in order.
func (p *pen) polygon(corners []spot, c color.RGBA) {
	top, bottom := math.Inf(1), math.Inf(-1)
	for _, s := range corners {
		top, bottom = min(top, s.y), max(bottom, s.y)
	}
	h := p.img.Rect.Max.Y
	for y := within(top, 0, h); y <= within(bottom, -1, h-1); y++ {
		lo, hi, ok := rowOf(corners, float64(y)+0.5)
		if !ok {
			continue
		}
		w := p.img.Rect.Max.X
		for x := within(math.Ceil(lo-0.5), 0, w); float64(x)+0.5 <= min(hi, float64(w)); x++ {
			p.dot(x, y, c, 1)
		}
	}
}

// within makes a whole number of a coordinate, drawn between low and high first: far
// outside the picture it may be larger than an int of 32 bits holds.
func within(v float64, low, high int) int { return int(min(max(v, float64(low)), float64(high))) }

// rowOf gives where the level y crosses a convex polygon.
func rowOf(corners []spot, y float64) (lo, hi float64, ok bool) {
	lo, hi = math.Inf(1), math.Inf(-1)
	for i, a := range corners {
		b := corners[(i+1)%len(corners)]
		if (a.y <= y) == (b.y <= y) {
			continue
		}
		x := a.x + (y-a.y)/(b.y-a.y)*(b.x-a.x)
		lo, hi = min(lo, x), max(hi, x)
	}
	return lo, hi, lo <= hi
}
