package render

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
)

// shadow is how much the part darkens the ground under and beside it, over a
// square grid of the plane z = 0: it lets the eye see what touches.
type shadow struct {
	x0, y0, cell float64
	n            int
	dark         []float32 // 0 to 1, n x n
}

// shadowGrid is the number of cells along each side.
const shadowGrid = 96

// shadowOf drops the facets of m onto the ground; the nearer to it, the darker.
func shadowOf(m *mesh.Mesh, box mesh.Box) *shadow {
	size := box.Size()
	across := max(size.X, size.Y, 1e-6)
	const margin = 1.3 // so that the soft rim has room
	s := &shadow{n: shadowGrid, cell: margin * across / shadowGrid}
	s.x0 = box.Center().X - margin*across/2
	s.y0 = box.Center().Y - margin*across/2
	low := make([]float32, s.n*s.n)
	for i := range low {
		low[i] = math.MaxFloat32
	}
	for i := range m.Facets {
		s.drop(m, i, low)
	}
	reach := 0.10*across + 1 // height at which the shadow has faded to a third
	s.dark = make([]float32, s.n*s.n)
	for i, z := range low {
		if z < math.MaxFloat32 {
			s.dark[i] = float32(math.Exp(-max(float64(z), 0) / reach))
		}
	}
	s.blur(2)
	s.blur(2)
	return s
}

// drop lowers the cells under facet i to its height.
func (s *shadow) drop(m *mesh.Mesh, i int, low []float32) {
	a, b, c := m.Corners(i)
	n := r3.Cross(r3.Sub(b, a), r3.Sub(c, a))
	if n.Z >= 0 { // a closed part is lowest where it faces down
		return
	}
	place := func(v r3.Vec) spot { return spot{x: (v.X - s.x0) / s.cell, y: (v.Y - s.y0) / s.cell} }
	corners := [3]spot{place(a), place(b), place(c)}
	eachRow(&corners, 0, s.n, func(j int, first, last float64) {
		y := s.y0 + (float64(j)+0.5)*s.cell
		for i := within(first, 0, s.n); i <= within(last, -1, s.n-1); i++ {
			x := s.x0 + (float64(i)+0.5)*s.cell
			z := a.Z - (n.X*(x-a.X)+n.Y*(y-a.Y))/n.Z
			z = max(z, min(a.Z, b.Z, c.Z)) // a steep facet magnifies rounding
			low[j*s.n+i] = min(low[j*s.n+i], float32(z))
		}
	})
}

// blur replaces each cell by the mean over a square of 2r+1 cells.
func (s *shadow) blur(r int) {
	tmp := make([]float32, len(s.dark))
	pass := func(src, dst []float32, step, across int) {
		for k := range s.n {
			for i := range s.n {
				var sum float32
				for d := max(i-r, 0); d <= min(i+r, s.n-1); d++ {
					sum += src[k*across+d*step]
				}
				dst[k*across+i*step] = sum / float32(2*r+1)
			}
		}
	}
	pass(s.dark, tmp, 1, s.n)
	pass(tmp, s.dark, s.n, 1)
}

// at gives the darkness at a point of the ground, 0 outside the grid.
func (s *shadow) at(x, y float64) float64 {
	u, v := (x-s.x0)/s.cell-0.5, (y-s.y0)/s.cell-0.5
	if !(u >= 0 && v >= 0 && u < float64(s.n-1) && v < float64(s.n-1)) {
		return 0
	}
	i, j := int(u), int(v)
	fu, fv := float32(u-float64(i)), float32(v-float64(j))
	k := j*s.n + i
	low := s.dark[k] + (s.dark[k+1]-s.dark[k])*fu
	high := s.dark[k+s.n] + (s.dark[k+s.n+1]-s.dark[k+s.n])*fu
	return float64(low + (high-low)*fv)
}
