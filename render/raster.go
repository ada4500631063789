package render

import (
	"context"
	"math"
	"slices"

	"github.com/fogleman/fauxgl"

	"kilnpoise/orient"
)

// bandCount is into how many level bands a picture is cut. Each band is drawn by
// one goroutine at a time, facet after facet, so that pixels at equal depth come
// out the same on any number of cores.
const bandCount = 8

// band is one strip of a layer: its own rows are y0 to y1 of the picture.
type band struct {
	dc     *fauxgl.Context
	y0, y1 int
	tri    fauxgl.Triangle // reused, so that no facet costs memory
}

// layer is a colour and a depth buffer, cut into bands.
type layer struct {
	w, h, step int
	bands      []*band
	used       bool // since it was made, which clears it
}

// Coverage written by the shaders into the alpha of a layer.
const (
	bareAlpha    = 0   // nothing drawn
	solidAlpha   = 255 // part
	hatchedAlpha = 240 // part, overhang
)

func newLayer(w, h int) *layer {
	l := &layer{w: w, h: h, step: bandStep(h)}
	l.bands = make([]*band, (h+l.step-1)/l.step)
	each(len(l.bands), func(i int) {
		y0 := i * l.step
		y1 := min(y0+l.step, h)
		dc := fauxgl.NewContext(w, y1-y0)
		dc.Cull = fauxgl.CullNone // done beforehand
		dc.AlphaBlend = false     // alpha says what was drawn, see solidAlpha
		l.bands[i] = &band{dc: dc, y0: y0, y1: y1}
	})
	return l
}

// bandStep is the height of the bands of a picture h high.
func bandStep(h int) int { return (h + bandCount - 1) / bandCount }

// clear empties the colours and sets the depth: to that of behind, which may be
// l itself, or to nothing when behind is nil.
func (l *layer) clear(behind *layer) {
	if !l.used && behind == nil {
		l.used = true
		return
	}
	l.used = true
	each(len(l.bands), func(i int) {
		dc := l.bands[i].dc
		clear(dc.ColorBuffer.Pix)
		switch behind {
		case l:
		case nil:
			dc.ClearDepthBuffer()
		default:
			copy(dc.DepthBuffer, behind.bands[i].dc.DepthBuffer)
		}
	})
}

// colorRow gives the colours of a row of the picture.
func (l *layer) colorRow(y int) []uint8 {
	b := l.bands[y/l.step]
	return b.dc.ColorBuffer.Pix[4*(y-b.y0)*l.w:][:4*l.w]
}

// depthRow gives the depths of a row of the picture, 0 (near) to 1.
func (l *layer) depthRow(y int) []float64 {
	b := l.bands[y/l.step]
	return b.dc.DepthBuffer[(y-b.y0)*l.w:][:l.w]
}

// patch is a triangle in the picture.
type patch struct {
	corners [3]spot
	normals [3]fauxgl.Vector
	// field is a value at each corner, 0 to 1, for the shader.
	field [3]float64
	mark  mark
	// marked is what the user has marked it as, region its number in the support
	// plan; zero for none, and where the overlays leave them out.
	marked orient.MarkSet
	region int32
}

// mark tells the shader what a patch is.
type mark uint8

const (
	plain mark = iota
	overhanging
	inside // the back of a facet, seen through a gap
)

// painter gives the colour of fragments; at most one goroutine uses one.
type painter interface {
	fauxgl.Shader
	// begin is told what the fragments to come belong to; it does not keep p.
	begin(p *patch)
	// tone gives the colour of a point of the surface: its unit normal, the
	// field there, and where it falls in the picture.
	tone(n fauxgl.Vector, field, x, y float64) fauxgl.Color
}

// source hands out patches by index.
type source interface {
	// patch fills p with patch i.
	patch(i int32, p *patch)
}

// draw rasterises the patches listed for each band. Each band gets a painter of
// its own. It stops early when ctx ends.
func (l *layer) draw(ctx context.Context, lists *bins, src source, brush func(b *band) painter) {
	each(len(l.bands), func(i int) {
		b := l.bands[i]
		shader := brush(b)
		b.dc.Shader = shader
		var p patch
		for n, k := range lists.band(i) {
			if n&63 == 0 && ctx.Err() != nil {
				return
			}
			src.patch(k, &p)
			shader.begin(&p)
			if !b.small(&p, shader) {
				b.draw(&p)
			}
		}
	})
}

// draw hands one patch to the rasteriser, in the coordinates of the band.
func (b *band) draw(p *patch) {
	w, h := float64(b.dc.Width), float64(b.dc.Height)
	top := float64(b.y0)
	for i, v := range [3]*fauxgl.Vertex{&b.tri.V1, &b.tri.V2, &b.tri.V3} {
		c := &p.corners[i]
		v.Output = fauxgl.VectorW{X: 2*c.x/w - 1, Y: 1 - 2*(c.y-top)/h, Z: c.z, W: 1}
		v.Normal = p.normals[i]
		v.Texture.X = p.field[i]
	}
	b.dc.DrawTriangle(&b.tri)
}

// bins lists, for each band, the patches that touch it, in order.
type bins struct{ lists [][bandCount][]int32 }

// reset makes room for n chunks, see chunks.
func (b *bins) reset(n int) {
	b.lists = slices.Grow(b.lists[:0], n)[:n]
	for c := range b.lists {
		for i := range b.lists[c] {
			b.lists[c][i] = b.lists[c][i][:0]
		}
	}
}

// put files patch i, with corners c, under its bands, unless no pixel's middle
// can lie in it.
func (b *bins) put(chunk int, i int32, c [3]spot, w, h int) {
	x0, x1 := pixels(c[0].x, c[1].x, c[2].x)
	y0, y1 := pixels(c[0].y, c[1].y, c[2].y)
	if !(x0 <= x1 && y0 <= y1 && x1 >= 0 && y1 >= 0 && x0 < float64(w) && y0 < float64(h)) {
		return
	}
	step := float64(bandStep(h))
	first, last := int(max(y0, 0)/step), int(min(y1, float64(h-1))/step)
	for k := first; k <= last; k++ {
		b.lists[chunk][k] = append(b.lists[chunk][k], i)
	}
}

// pixels gives the first and last pixel whose middle lies between the least and
// the largest of three coordinates; first > last when there is none.
func pixels(a, b, c float64) (first, last float64) {
	return math.Ceil(min(a, b, c) - 0.5), math.Floor(max(a, b, c) - 0.5)
}

// band runs through the patches of band k in the order of the mesh.
func (b *bins) band(k int) func(yield func(n int, i int32) bool) {
	return func(yield func(n int, i int32) bool) {
		n := 0
		for c := range b.lists {
			for _, i := range b.lists[c][k] {
				if !yield(n, i) {
					return
				}
				n++
			}
		}
	}
}
