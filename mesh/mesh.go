// Package mesh holds indexed triangle meshes: reading and writing them, welding,
// saying in plain words what is wrong with them, and the measures that belong to
// the shape alone (volume, area, centre of mass, hull, wall thickness).
//
// Lengths are millimetres. Facets wind counter-clockwise seen from outside, so
// that the right-hand rule gives the outward normal. Nothing in this package
// knows about printing: directions, shrinkage and machines belong to orient.
package mesh

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Mesh is an indexed triangle mesh. The zero value is an empty mesh. A Mesh is
// never changed by the functions of this package unless they say so, and may be
// read by several goroutines at once.
type Mesh struct {
	// Vertices are the corner positions, mm.
	Vertices []r3.Vec
	// Facets index Vertices, counter-clockwise seen from outside.
	Facets [][3]int32
}

// Box is an axis-aligned bounding box, mm.
type Box struct{ Min, Max r3.Vec }

// Size gives the edge lengths of the box, mm; negative for the empty box.
func (b Box) Size() r3.Vec { return r3.Sub(b.Max, b.Min) }

// Center gives the middle of the box, mm.
func (b Box) Center() r3.Vec { return r3.Scale(0.5, r3.Add(b.Min, b.Max)) }

// Diagonal gives the length of the box's space diagonal, mm.
func (b Box) Diagonal() float64 { return r3.Norm(b.Size()) }

// extend returns the smallest box that holds b and p.
func (b Box) extend(p r3.Vec) Box {
	b.take(&p)
	return b
}

// take widens the box to hold p. It runs for every corner of every facet, and
// comparing is several times as fast as math.Min, which minds the sign of zero.
func (b *Box) take(p *r3.Vec) {
	widen(&b.Min.X, &b.Max.X, p.X)
	widen(&b.Min.Y, &b.Max.Y, p.Y)
	widen(&b.Min.Z, &b.Max.Z, p.Z)
}

func widen(low, high *float64, v float64) {
	if v < *low {
		*low = v
	}
	if v > *high {
		*high = v
	}
}

// emptyBox is the box that any point extends to itself.
func emptyBox() Box {
	inf := math.Inf(1)
	return Box{Min: r3.Vec{X: inf, Y: inf, Z: inf}, Max: r3.Vec{X: -inf, Y: -inf, Z: -inf}}
}

// Bounds gives the bounding box of the vertices that facets use; coordinates
// that are not numbers are left out. A mesh without facets gives the zero box.
func (m *Mesh) Bounds() Box {
	if len(m.Facets) == 0 {
		return Box{}
	}
	b := emptyBox()
	for _, f := range m.Facets {
		for _, v := range f {
			b.take(&m.Vertices[v])
		}
	}
	return b
}

// Corners gives the three corner positions of facet i, mm.
func (m *Mesh) Corners(i int) (a, b, c r3.Vec) {
	f := m.Facets[i]
	return m.Vertices[f[0]], m.Vertices[f[1]], m.Vertices[f[2]]
}

// AreaVector gives the outward normal of facet i scaled by the facet's area,
// mm2; zero for a degenerate facet.
func (m *Mesh) AreaVector(i int) r3.Vec {
	a, b, c := m.Corners(i)
	return r3.Scale(0.5, r3.Cross(r3.Sub(b, a), r3.Sub(c, a)))
}

// Area gives the sum of the facet areas, mm2.
func (m *Mesh) Area() float64 {
	var sum float64
	for i := range m.Facets {
		sum += r3.Norm(m.AreaVector(i))
	}
	return sum
}

// Volume gives the enclosed volume, mm3, by the divergence theorem. It is
// negative for a mesh turned inside out and doubtful for one that is not closed.
func (m *Mesh) Volume() float64 { return m.Solid().Volume }

// Clone gives a deep copy.
func (m *Mesh) Clone() *Mesh {
	return &Mesh{
		Vertices: append([]r3.Vec(nil), m.Vertices...),
		Facets:   append([][3]int32(nil), m.Facets...),
	}
}

// Transform gives a copy with every vertex v replaced by linear v + shift. A
// mirroring map has its facets reversed, so that they still face outward.
func (m *Mesh) Transform(linear Matrix, shift r3.Vec) *Mesh {
	out := &Mesh{
		Vertices: make([]r3.Vec, len(m.Vertices)),
		Facets:   m.Facets,
	}
	for i, v := range m.Vertices {
		out.Vertices[i] = r3.Add(linear.MulVec(v), shift)
	}
	if linear.Det() >= 0 {
		return out
	}
	out.Facets = make([][3]int32, len(m.Facets))
	for i, f := range m.Facets {
		out.Facets[i] = [3]int32{f[0], f[2], f[1]}
	}
	return out
}

// Append adds the facets of other to m.
func (m *Mesh) Append(other *Mesh) {
	base := int32(len(m.Vertices))
	m.Vertices = append(m.Vertices, other.Vertices...)
	for _, f := range other.Facets {
		m.Facets = append(m.Facets, [3]int32{f[0] + base, f[1] + base, f[2] + base})
	}
}
