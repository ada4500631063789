package render

import "github.com/fogleman/fauxgl"

// speckPixels is up to how many pixels across a facet is set pixel by pixel.
// The rasteriser is built for large triangles; a dense mesh has most of its
// facets this small, and setting up each costs ten times its pixels.
const speckPixels = 3

// speck sets a facet of at most speckPixels across straight into the buffers of
// the band, coloured by the same shader, and reports whether it did.
func (b *band) speck(p *patch, shader painter) bool {
	c := &p.corners
	x0, x1 := pixels(c[0].x, c[1].x, c[2].x)
	y0, y1 := pixels(c[0].y, c[1].y, c[2].y)
	if x1-x0 >= speckPixels || y1-y0 >= speckPixels {
		return false
	}
	area := turning(c[0], c[1], c[2])
	if area == 0 {
		return true // no pixel's middle can lie in it
	}
	w, h, top := b.dc.Width, b.dc.Height, b.y0-guard
	for y := max(int(y0), top); y <= min(int(y1), top+h-1); y++ {
		for x := max(int(x0), 0); x <= min(int(x1), w-1); x++ {
			at := spot{x: float64(x) + 0.5, y: float64(y) + 0.5}
			u := turning(at, c[1], c[2]) / area
			v := turning(c[0], at, c[2]) / area
			if u < 0 || v < 0 || u+v > 1 {
				continue
			}
			b.set(p, shader, x, y-top, u, v)
		}
	}
	return true
}

// set colours one pixel of the band with the point of p that has the barycentric
// coordinates u, v, unless something nearer is there.
func (b *band) set(p *patch, shader painter, x, y int, u, v float64) {
	t := 1 - u - v
	c := &p.corners
	z := u*c[0].z + v*c[1].z + t*c[2].z
	depth := (z + 1) / 2 // as the rasteriser keeps it
	i := y*b.dc.Width + x
	if depth > b.dc.DepthBuffer[i] {
		return
	}
	n := &p.normals
	frag := fauxgl.Vertex{
		Normal: n[0].MulScalar(u).Add(n[1].MulScalar(v)).Add(n[2].MulScalar(t)).Normalize(),
		Output: fauxgl.VectorW{
			X: 2*(float64(x)+0.5)/float64(b.dc.Width) - 1,
			Y: 1 - 2*(float64(y)+0.5)/float64(b.dc.Height), Z: z, W: 1,
		},
	}
	frag.Texture.X = u*p.field[0] + v*p.field[1] + t*p.field[2]
	b.dc.DepthBuffer[i] = depth
	b.dc.ColorBuffer.SetNRGBA(x, y, shader.Fragment(frag).NRGBA())
}
