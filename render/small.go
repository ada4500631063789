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

// small sets a facet of at most smallPixels, or a sliver, straight into the buffers of
// the band, coloured by the same painter, and reports whether it did.
func (b *band) small(p *patch, brush painter) bool {
	c := &p.corners
	x0, x1 := pixels(c[0].x, c[1].x, c[2].x)
	y0, y1 := pixels(c[0].y, c[1].y, c[2].y)
	area := turning(&c[0], &c[1], &c[2])
	box := (x1 - x0 + 1) * (y1 - y0 + 1)
	if !(box <= math.MaxInt32) {
		return false
	}
	if area == 0 {
		return true // no pixel's middle can lie in it
	}
	if box > smallPixels {
		if math.Abs(area)/2+(y1-y0+1) > max(box/sliverShare, smallPixels) {
			return false
		}
		b.sliver(p, brush, area)
		return true
	}
	du, dv := (c[2].y-c[1].y)/area, (c[0].y-c[2].y)/area // per pixel right
	left, right := max(int(x0), 0), min(int(x1), b.dc.Width-1)
	for y := max(int(y0), b.y0); y <= min(int(y1), b.y1-1); y++ {
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

// sliverShare is how many times the pixels and rows of a sliver its box has at least:
// it is drawn row by row, each row from edge to edge, so that it costs what it is long.
const sliverShare = 8

// rimPixels is rimSlack for a sliver, in pixels.
const rimPixels = 1e-6

// sliver sets the pixels of a patch whose middles lie between its edges.
func (b *band) sliver(p *patch, brush painter, area float64) {
	eachRow(&p.corners, b.y0, b.y1, func(row int, first, last float64) {
		b.row(p, brush, row, first, last, area)
	})
}

// eachRow visits the rows of the picture from low to before high in which middles of
// pixels lie in a triangle, with the first and the last of these, which need not lie
// in the picture.
func eachRow(c *[3]spot, low, high int, visit func(row int, first, last float64)) {
	top, middle, bottom := byRow(c)
	long := flankOf(top, bottom)
	for _, half := range [2][2]*spot{{top, middle}, {middle, bottom}} {
		first, end := within(math.Ceil(half[0].y-0.5), low, high), within(math.Ceil(half[1].y-0.5), low, high)
		if first >= end {
			continue
		}
		left, right := long, flankOf(half[0], half[1])
		if mid := (half[0].y + half[1].y) / 2; left.at(mid) > right.at(mid) {
			left, right = right, left
		}
		for row := first; row < end; row++ {
			y := float64(row) + 0.5
			from, to := math.Ceil(left.at(y)-0.5-rimPixels), math.Floor(right.at(y)-0.5+rimPixels)
			if from <= to { // few rows of a thin one
				visit(row, from, to)
			}
		}
	}
}

// row sets the pixels of a sliver from first to last in a row of the picture.
func (b *band) row(p *patch, brush painter, row int, first, last, area float64) {
	c := &p.corners
	for x := within(first, 0, b.dc.Width); x <= within(last, -1, b.dc.Width-1); x++ {
		at := spot{x: float64(x) + 0.5, y: float64(row) + 0.5}
		// Rounding weighs in the shares of what has hardly an area.
		u := min(max(turning(&at, &c[1], &c[2])/area, 0), 1)
		v := min(max(turning(&c[0], &at, &c[2])/area, 0), 1-u)
		b.set(p, brush, (row-b.y0)*b.dc.Width+x, at.x, at.y, u, v)
	}
}

// byRow gives the corners of a patch from the top of the picture down.
func byRow(c *[3]spot) (top, middle, bottom *spot) {
	top, middle, bottom = &c[0], &c[1], &c[2]
	if middle.y < top.y {
		top, middle = middle, top
	}
	if bottom.y < middle.y {
		middle, bottom = bottom, middle
		if middle.y < top.y {
			top, middle = middle, top
		}
	}
	return top, middle, bottom
}

// flank is a side of a patch: where it is in each row.
type flank struct{ x, y, slope float64 }

func flankOf(from, to *spot) flank {
	return flank{x: from.x, y: from.y, slope: (to.x - from.x) / (to.y - from.y)}
}

func (f *flank) at(y float64) float64 { return f.x + (y-f.y)*f.slope }

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
