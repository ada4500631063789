package render

import (
	"math"

	"github.com/fogleman/fauxgl"
)

// smallPixels is up to how many pixels, counted over its box, a facet is set
// pixel by pixel. The rasteriser is built for few large triangles; a dense mesh
// has most of its facets this small, and setting up and interpolating each there
// costs several times its pixels.
const smallPixels = 1600

// rimSlack lets the middle of a pixel on the edge between two facets count for
// both, whatever the rounding: no gap shows between them. In barycentric
// coordinates, so far less than a pixel.
const rimSlack = 1e-9

// small sets a facet of at most smallPixels straight into the buffers of the
// band, coloured by the same painter, and reports whether it did.
func (b *band) small(p *patch, brush painter) bool {
	c := &p.corners
	x0, x1 := pixels(c[0].x, c[1].x, c[2].x)
	y0, y1 := pixels(c[0].y, c[1].y, c[2].y)
	area := turning(&c[0], &c[1], &c[2])
	box := (x1 - x0 + 1) * (y1 - y0 + 1)
	sliver := box > smallPixels
	// Of a sliver only what lies in each row is looked at.
	if sliver && !(math.Abs(area)/2+sliverRow*(y1-y0+1) <= smallPixels) || !(box <= math.MaxInt32) {
		return false
	}
	if area == 0 {
		return true // no pixel's middle can lie in it
	}
	du, dv := (c[2].y-c[1].y)/area, (c[0].y-c[2].y)/area // per pixel right
	left, right := max(int(x0), 0), min(int(x1), b.dc.Width-1)
	for y := max(int(y0), b.y0); y <= min(int(y1), b.y1-1); y++ {
		if sliver {
			left, right = inRow(c, float64(y)+0.5, b.dc.Width)
		}
		at := spot{x: float64(left) + 0.5, y: float64(y) + 0.5}
		u, v := turning(&at, &c[1], &c[2])/area, turning(&c[0], &at, &c[2])/area
		i, within := (y-b.y0)*b.dc.Width+left, false
		for x := left; x <= right; x++ {
			if u >= -rimSlack && v >= -rimSlack && u+v <= 1+rimSlack {
				within = true
				b.set(p, brush, i, float64(x)+0.5, at.y, u, v)
			} else if within {
				break
			}
			u, v, i = u+du, v+dv, i+1
		}
	}
	return true
}

// sliverRow is what a row of a sliver costs besides its own pixels, in pixels.
const sliverRow = 2

// inRow gives the pixels of a row of the picture that a patch may have, one more on
// either side for rounding.
func inRow(c *[3]spot, y float64, width int) (left, right int) {
	low, high := math.Inf(1), math.Inf(-1)
	for k := range c {
		p, q := &c[k], &c[(k+1)%3]
		if (p.y < y) == (q.y < y) {
			continue
		}
		x := p.x + (q.x-p.x)*(y-p.y)/(q.y-p.y)
		low, high = min(low, x), max(high, x)
	}
	if low > high {
		return 0, -1
	}
	return int(min(max(low-1.5, 0), float64(width))), int(max(min(high+0.5, float64(width-1)), -1))
}

// set colours pixel i of the band, whose middle is x, y in the picture, with the
// point of p that has the barycentric coordinates u, v, unless something nearer
// is there.
func (b *band) set(p *patch, brush painter, i int, x, y, u, v float64) {
	t := 1 - u - v
	c, n := &p.corners, &p.normals
	depth := (u*c[0].z + v*c[1].z + t*c[2].z + 1) / 2 // as the rasteriser keeps it
	if depth > b.dc.DepthBuffer[i] {
		return
	}
	b.dc.DepthBuffer[i] = depth
	normal := fauxgl.Vector{
		X: u*n[0].X + v*n[1].X + t*n[2].X,
		Y: u*n[0].Y + v*n[1].Y + t*n[2].Y,
		Z: u*n[0].Z + v*n[1].Z + t*n[2].Z,
	}.Normalize()
	tone := brush.tone(normal, u*p.field[0]+v*p.field[1]+t*p.field[2], x, y).NRGBA()
	px := b.dc.ColorBuffer.Pix[4*i:][:4:4]
	px[0], px[1], px[2], px[3] = tone.R, tone.G, tone.B, tone.A
}
