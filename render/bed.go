package render

import (
	"image/color"
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// slabMM is how thick the machine is drawn.
const slabMM = 4

// bedColors gives the colours of the machine of the scene.
func (f *frame) bedColors() (fill, line color.RGBA) {
	if f.s.stage.Machine == OnSetter {
		return f.pal.Setter, f.pal.SetterLine
	}
	return f.pal.Plate, f.pal.PlateLine
}

// bed gives the corners of the machine's surface at height z.
func (f *frame) bed(z float64) []spot {
	size := f.s.size()
	x, y := size.X/2, size.Y/2
	var out []spot
	for _, c := range [4]r2.Vec{{X: -x, Y: -y}, {X: x, Y: -y}, {X: x, Y: y}, {X: -x, Y: y}} {
		out = append(out, f.lens.at(r3.Vec{X: c.X, Y: c.Y, Z: z}))
	}
	return out
}

// ground fills the background and draws the machine as seen from above.
func (f *frame) ground() {
	bg := f.pal.Background
	chunks(f.h, func(_, lo, hi int) {
		for y := lo; y < hi; y++ {
			row := f.img.Pix[y*f.img.Stride:][:4*f.w]
			for x := 0; x < len(row); x += 4 {
				row[x], row[x+1], row[x+2], row[x+3] = bg.R, bg.G, bg.B, 255
			}
		}
	})
	if f.lens.eye.Z < 0 {
		return
	}
	f.slab()
	f.surface()
	f.grid(255)
}

// slab draws the sides of the machine that the viewer sees.
func (f *frame) slab() {
	fill, _ := f.bedColors()
	top, bottom := f.bed(0), f.bed(-slabMM)
	p := &pen{img: f.img}
	for i, n := range [4]r3.Vec{{Y: -1}, {X: 1}, {Y: 1}, {X: -1}} {
		if facing := r3.Dot(n, f.lens.eye); facing > 0 {
			j := (i + 1) % 4
			p.polygon([]spot{bottom[i], bottom[j], top[j], top[i]}, dim(fill, 0.80+0.08*facing))
		}
	}
}

// dim gives c at brightness k.
func dim(c color.RGBA, k float64) color.RGBA {
	return color.RGBA{uint8(float64(c.R) * k), uint8(float64(c.G) * k), uint8(float64(c.B) * k), c.A}
}

// surface fills the upper face of the machine, darkened where the part shades it.
func (f *frame) surface() {
	fill, _ := f.bedColors()
	corners := f.bed(0)
	g, ok := f.lens.onGround()
	if !ok {
		return
	}
	const deepest = 0.42 // darkening under the part
	chunks(f.h, func(_, lo, hi int) {
		for y := lo; y < hi; y++ {
			x0, x1, ok := rowOf(corners, float64(y)+0.5)
			if !ok {
				continue
			}
			row := f.img.Pix[y*f.img.Stride:]
			gx := g.x0 + g.xRight*0.5 + g.xDown*(float64(y)+0.5)
			gy := g.y0 + g.yRight*0.5 + g.yDown*(float64(y)+0.5)
			dark := func(x int) int { // of 256
				return int(256 * deepest * f.s.shadow.at(gx+g.xRight*float64(x), gy+g.yRight*float64(x)))
			}
			first, last := within(math.Ceil(x0-0.5), 0, f.w), floor(min(max(x1-0.5, -1), float64(f.w-1)))
			next := dark(first)
			for x := first; x <= last; x += shadowStep {
				k := next
				next = dark(x + shadowStep)
				for i := range min(shadowStep, last+1-x) {
					light := 256 - k - (next-k)*i/shadowStep
					px := row[4*(x+i):][:3:3]
					px[0] = uint8(int(fill.R) * light >> 8)
					px[1] = uint8(int(fill.G) * light >> 8)
					px[2] = uint8(int(fill.B) * light >> 8)
				}
			}
		}
	})
}

// shadowStep is every how many pixels the soft shadow is looked up.
const shadowStep = 4

// gridMM is the spacing of the grid: 10 mm, or more where lines would crowd.
func (f *frame) gridMM() float64 {
	const crowded = 8 // window units
	for _, step := range []float64{10, 50, 100} {
		if step*f.lens.pxPerMM*max(math.Abs(f.lens.eye.Z), 0.3) >= crowded*f.unit {
			return step
		}
	}
	return 500
}

// grid draws the lines of the machine's surface, counted from its middle, and
// its rim. Strength 0 to 255.
func (f *frame) grid(strength uint8) {
	_, line := f.bedColors()
	step, size := f.gridMM(), f.s.size()
	var segments []segment
	stroke := func(a, b r2.Vec, width float64, alpha uint8) {
		c := line
		c.A = uint8(int(alpha) * int(strength) / 255)
		segments = append(segments, segment{
			f.lens.at(r3.Vec{X: a.X, Y: a.Y}), f.lens.at(r3.Vec{X: b.X, Y: b.Y}), width * f.unit, c})
	}
	x, y := size.X/2, size.Y/2
	for i := -int(x / step); i <= int(x/step); i++ {
		stroke(r2.Vec{X: float64(i) * step, Y: -y}, r2.Vec{X: float64(i) * step, Y: y}, 0.8, gridAlpha(i))
	}
	for i := -int(y / step); i <= int(y/step); i++ {
		stroke(r2.Vec{X: -x, Y: float64(i) * step}, r2.Vec{X: x, Y: float64(i) * step}, 0.8, gridAlpha(i))
	}
	for _, s := range [4][2]r2.Vec{
		{{X: -x, Y: -y}, {X: x, Y: -y}}, {{X: x, Y: -y}, {X: x, Y: y}},
		{{X: x, Y: y}, {X: -x, Y: y}}, {{X: -x, Y: y}, {X: -x, Y: -y}},
	} {
		stroke(s[0], s[1], 1.2, 255)
	}
	(&pen{img: f.img}).lines(segments)
}

// gridAlpha makes every fifth line stand out.
func gridAlpha(i int) uint8 {
	if i%5 == 0 {
		return 190
	}
	return 105
}

// groundFromBelow draws the machine as a pane of glass in front of the part when
// the viewer is under it.
func (f *frame) groundFromBelow() {
	if f.lens.eye.Z >= 0 {
		return
	}
	fill, _ := f.bedColors()
	fill.A = 60
	(&pen{img: f.img}).polygon(f.bed(0), fill)
	f.grid(110)
}
