package render

import (
	"github.com/fogleman/fauxgl"
	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/orient"
)

// buffers is the memory of one frame, kept between frames of a scene.
type buffers struct {
	// part is the part, over and mask what is blended over it; nil until needed.
	part, over *layer
	spots      []spot // of the vertices
	front      []bool // facets that face the viewer
	lists      bins
	mask       *mask
	segments   []segment // lines of the part, then of the supports
}

// take gives buffers for a picture of w x h.
func (s *Scene) take(w, h int) *buffers {
	b, ok := s.buffers.Get().(*buffers)
	if !ok || b.part.w != w || b.part.h != h {
		b = &buffers{part: newLayer(w, h)}
	}
	if len(b.spots) != len(s.mesh.Vertices) {
		b.spots = make([]spot, len(s.mesh.Vertices))
		b.front = make([]bool, len(s.mesh.Facets))
	}
	return b
}

// project finds the spot of each vertex, drawn on its way in the furnace times
// sink.
func (b *buffers) project(s *Scene, l *lens, sink float64) {
	chunks(len(s.mesh.Vertices), func(_, lo, hi int) {
		for i := lo; i < hi; i++ {
			v := s.mesh.Vertices[i]
			switch {
			case sink == 0:
			case s.moved != nil:
				v = r3.Add(v, r3.Scale(sink, s.moved[i]))
			case s.sag != nil:
				v.Z -= sink * s.sag[i]
			}
			b.spots[i] = l.at(v)
		}
	})
}

// turning gives twice the area of a triangle in the picture, positive where it
// faces the viewer.
func turning(a, b, c *spot) float64 {
	return (b.x-a.x)*(a.y-c.y) - (a.y-b.y)*(c.x-a.x)
}

// corners gives where facet i lies in the picture.
func (b *buffers) corners(s *Scene, i int) [3]spot {
	f := &s.mesh.Facets[i]
	return [3]spot{b.spots[f[0]], b.spots[f[1]], b.spots[f[2]]}
}

// face finds the facets that face the viewer, and files those to be drawn.
// Backs are drawn only where the mesh is open.
func (b *buffers) face(s *Scene, w, h int) {
	n := len(s.mesh.Facets)
	b.lists.reset(chunkCount(n))
	chunks(n, func(chunk, lo, hi int) {
		for i := lo; i < hi; i++ {
			c := b.corners(s, i)
			t := turning(&c[0], &c[1], &c[2])
			b.front[i] = t > 0
			if t > 0 || t < 0 && !s.outline.closed {
				b.lists.put(chunk, int32(i), c, w, h)
			}
		}
	})
}

// partSource hands out the facets of the part.
type partSource struct {
	s        *Scene
	b        *buffers
	overhang []bool           // nil: none marked
	sag      []float64        // nil: no field
	marked   []orient.MarkSet // of the part's facets; nil: none shown
	regionOf []int32          // nil: none shown
	perMM    float64          // field per mm of sag
}

func (p *partSource) patch(i int32, out *patch) {
	f := p.s.mesh.Facets[i]
	for k, v := range f {
		out.corners[k] = p.b.spots[v]
		if p.sag != nil {
			out.field[k] = p.sag[v] * p.perMM
		}
	}
	if p.s.smooth != nil {
		for k, n := range p.s.smooth[i] {
			out.normals[k] = fauxgl.Vector{X: float64(n[0]), Y: float64(n[1]), Z: float64(n[2])}
		}
	} else {
		n := toVector(p.s.flat[i])
		out.normals = [3]fauxgl.Vector{n, n, n}
	}
	out.marked, out.region = 0, 0
	if p.marked != nil {
		out.marked = p.marked[p.s.facetOf(int(i))]
	}
	if p.regionOf != nil {
		out.region = p.regionOf[i]
	}
	switch {
	case !p.b.front[i]:
		out.mark = inside
	case p.overhang != nil && p.overhang[i], out.region > 0:
		out.mark = overhanging
	default:
		out.mark = plain
	}
}

// shellSource hands out the halves of the rectangles of the supports.
type shellSource struct {
	quads []quad
	l     *lens
}

func (p *shellSource) patch(i int32, out *patch) {
	q := &p.quads[i/2]
	a, b, c := q.corners[0], q.corners[1], q.corners[2]
	if i%2 == 1 {
		b, c = c, q.corners[3]
	}
	out.corners = [3]spot{p.l.at(a), p.l.at(b), p.l.at(c)}
	n := toVector(q.normal)
	out.normals = [3]fauxgl.Vector{n, n, n}
}

// file lists the halves of quads that face the viewer.
func (p *shellSource) file(lists *bins, w, h int) {
	n := 2 * len(p.quads)
	lists.reset(chunkCount(n))
	chunks(n, func(chunk, lo, hi int) {
		var t patch
		for i := lo; i < hi; i++ {
			if r3.Dot(p.quads[i/2].normal, p.l.eye) > 0 {
				p.patch(int32(i), &t)
				lists.put(chunk, int32(i), t.corners, w, h)
			}
		}
	})
}
