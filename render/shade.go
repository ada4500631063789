package render

import (
	"image/color"

	"github.com/fogleman/fauxgl"
	"gonum.org/v1/gonum/spatial/r3"
)

// light is two soft lamps that go with the camera, and a sky.
type light struct{ key, fill, eye fauxgl.Vector }

// newLight hangs the lamps: the key upper left of the viewer, the fill right.
func newLight(l *lens) light {
	mix := func(right, up, eye float64) fauxgl.Vector {
		return toVector(r3.Unit(r3.Add(r3.Scale(right, l.right), r3.Add(r3.Scale(up, l.up), r3.Scale(eye, l.eye)))))
	}
	return light{key: mix(-0.55, 0.75, 0.65), fill: mix(0.85, 0.05, 0.45), eye: toVector(l.eye)}
}

// on gives the brightness of a surface with unit normal n, about 0.4 to 1.1.
func (l *light) on(n fauxgl.Vector) float64 {
	return 0.48 + 0.46*max(n.Dot(l.key), 0) + 0.18*max(n.Dot(l.fill), 0) + 0.07*n.Z
}

func toVector(v r3.Vec) fauxgl.Vector { return fauxgl.Vector{X: v.X, Y: v.Y, Z: v.Z} }

// tone is a colour as the rasteriser wants it.
func tone(c color.RGBA) fauxgl.Color {
	return fauxgl.Color{R: float64(c.R) / 255, G: float64(c.G) / 255, B: float64(c.B) / 255, A: 1}
}

// lit gives c under brightness k, with the coverage mark.
func lit(c fauxgl.Color, k float64, coverage uint8) fauxgl.Color {
	return fauxgl.Color{R: c.R * k, G: c.G * k, B: c.B * k, A: (float64(coverage) + 0.5) / 255}
}

// partPainter paints the part: plain, hatched where it overhangs, or by the ramp;
// over these what is marked, in coat.
type partPainter struct {
	light
	base, over, back fauxgl.Color
	ramp             []fauxgl.Color // nil: no field
	hatch            hatching
	width, height    float64 // of the band, half
	y0               float64
	now              mark
	coats            *coats
	coat             *coat // of now; nil: none
}

// Vertex hands v through: it was projected beforehand.
func (p *partPainter) Vertex(v fauxgl.Vertex) fauxgl.Vertex { return v }

func (p *partPainter) begin(of *patch) {
	p.now = of.mark
	p.coat = p.coats.of(of)
}

// Fragment gives the colour of one pixel.
func (p *partPainter) Fragment(v fauxgl.Vertex) fauxgl.Color {
	return p.tone(v.Normal, v.Texture.X, (v.Output.X+1)*p.width, (1-v.Output.Y)*p.height+p.y0)
}

func (p *partPainter) tone(n fauxgl.Vector, field, x, y float64) fauxgl.Color {
	c, k, coverage := p.base, p.on(n), uint8(solidAlpha)
	switch {
	case p.now == inside:
		return lit(p.back, p.on(n.Negate()), solidAlpha)
	case p.now == overhanging:
		c, k, coverage = p.over, 0.74+0.30*k, hatchedAlpha
	case p.ramp != nil:
		t := min(max(field, 0), 1)
		c, k = p.ramp[min(int(t*float64(len(p.ramp))), len(p.ramp)-1)], 0.52+0.48*k
	}
	if p.coat != nil {
		c, k = p.coat.over(c, k, x, y)
	}
	if coverage == hatchedAlpha {
		k *= 1 - hatchDark*p.hatch.at(x, y)
	}
	return lit(c, k, coverage)
}

// hatchDark is by how much the lines of a hatching darken the colour.
const hatchDark = 0.45

// hatching is diagonal lines in the picture, tied to a point so that they go
// with the part when it is moved.
type hatching struct{ x, y, period, line float64 }

// at gives 1 on a line, 0 between lines, and between at the rims.
func (h *hatching) at(x, y float64) float64 {
	const diagonal = 0.70710678118654752 // 1/sqrt 2
	u := (x - h.x + y - h.y) * diagonal
	u -= h.period * float64(floor(u/h.period))
	if u > h.period/2 {
		u = h.period - u
	}
	return min(max(h.line/2+0.5-u, 0), 1)
}

// floor is math.Floor for numbers of the size of pictures, and inlined.
func floor(x float64) int {
	i := int(x)
	if x < float64(i) {
		i--
	}
	return i
}

// veilPainter paints supports: flat colour, two tones by the side.
type veilPainter struct {
	light
	base fauxgl.Color
}

// Vertex hands v through.
func (p *veilPainter) Vertex(v fauxgl.Vertex) fauxgl.Vertex { return v }

func (p *veilPainter) begin(*patch) {}

// Fragment gives the colour of one pixel.
func (p *veilPainter) Fragment(v fauxgl.Vertex) fauxgl.Color { return p.tone(v.Normal, 0, 0, 0) }

func (p *veilPainter) tone(n fauxgl.Vector, _, _, _ float64) fauxgl.Color {
	return lit(p.base, 0.25+0.75*p.on(n), solidAlpha)
}
