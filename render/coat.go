package render

import (
	"image/color"
	"math"

	"github.com/fogleman/fauxgl"

	"kilnpoise/orient"
	marking "kilnpoise/orient/mark"
)

// coats are what lies on the part over its own colour: marks and regions.
type coats struct {
	marked  [256]*coat // by orient.MarkSet; filled as they are met
	regions []coat     // taken in turn by the numbers
	picked  coat       // the region that stands out
	region  int32      // its number; 0 for none
	lay     func(orient.MarkSet) *coat
}

// coat is a colour laid on with strength wash, 0 to 1, and lines on it, tied to a
// point of the part as hatchings are.
type coat struct {
	color fauxgl.Color
	wash  float64
	lines []lines
}

// lines are parallel, pixels: along x, y their distance is measured.
type lines struct {
	color                      fauxgl.Color
	x, y, offset, period, half float64
}

// coats of the shot. Each band has its own, since they are filled while it is
// drawn.
func (f *frame) coats() *coats {
	o := f.shot.Overlays
	c := &coats{region: int32(o.Region), lay: f.markCoat}
	for _, hue := range f.pal.Regions {
		wash := 0.85
		if o.Region > 0 {
			wash = 0.3
		}
		c.regions = append(c.regions, coat{color: tone(hue), wash: wash})
	}
	c.picked = coat{color: tone(f.pal.Accent), wash: 0.9}
	return c
}

// of gives the coat of a patch, or nil.
func (c *coats) of(p *patch) *coat {
	switch {
	case p.mark == inside:
		return nil
	case p.marked != 0:
		if c.marked[p.marked] == nil {
			c.marked[p.marked] = c.lay(p.marked)
		}
		return c.marked[p.marked]
	case p.region == 0:
		return nil
	case p.region == c.region:
		return &c.picked
	}
	return &c.regions[int(p.region-1)%len(c.regions)]
}

// markAngles are the directions of the lines of each kind of mark, degrees in the
// picture: away from the hatching of overhangs at 45.
func markAngles() [3]float64 { return [3]float64{135, 0, 90} }

// markPeriod is the distance of the lines of a mark, window units.
const markPeriod = 6

// markCoat gives the coat of a set of marks: a wash in the colour of the first, the
// lines of all, crossing each other; picked faces shine in the accent below them.
// On a field of sag there is no wash, so that the field can be read.
func (f *frame) markCoat(set orient.MarkSet) *coat {
	out := &coat{wash: 0.5}
	if f.shot.Overlays.Sag && f.s.sagMM > 0 {
		out.wash = 0
	}
	center := f.lens.at(f.lens.center)
	washed := false
	for i, kind := range marking.Kinds() {
		if !set.Has(kind) {
			continue
		}
		hue := f.pal.Marked[i]
		if !washed {
			out.color, washed = tone(hue), true
		}
		sin, cos := math.Sincos(markAngles()[i] * math.Pi / 180)
		l := lines{color: tone(dim(hue, 0.72)), x: sin, y: cos, period: markPeriod * f.unit, half: 0.75 * f.unit}
		l.offset = center.x*l.x + center.y*l.y
		out.lines = append(out.lines, l)
	}
	if set.Picked() {
		out.color, out.wash = tone(f.pal.Accent), 0.7
	}
	return out
}

// over gives the colour and brightness of a point that has colour and brightness
// c and k without the coat.
func (l *coat) over(c fauxgl.Color, k, x, y float64) (fauxgl.Color, float64) {
	if l.wash > 0 {
		c, k = mixTones(c, l.color, l.wash), k+0.25*l.wash*(1-k)
	}
	for i := range l.lines {
		c = mixTones(c, l.lines[i].color, l.lines[i].at(x, y))
	}
	return c, k
}

// at gives 1 on a line, 0 between lines, and between at the rims.
func (l *lines) at(x, y float64) float64 {
	u := x*l.x + y*l.y - l.offset
	u -= l.period * float64(floor(u/l.period))
	if u > l.period/2 {
		u = l.period - u
	}
	return min(max(l.half+0.5-u, 0), 1)
}

// mixTones gives a with a share t of b.
func mixTones(a, b fauxgl.Color, t float64) fauxgl.Color {
	return fauxgl.Color{R: a.R + t*(b.R-a.R), G: a.G + t*(b.G-a.G), B: a.B + t*(b.B-a.B), A: a.A}
}

// hueOf gives the colour of the region with the number, as it is drawn.
func (p *Palette) hueOf(region, standsOut int) color.RGBA {
	if region == standsOut {
		return p.Accent
	}
	return p.Regions[(region-1)%len(p.Regions)]
}
