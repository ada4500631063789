package furnace

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
)

// LeanOf estimates the lean of a solid that stands in the frame of m on z = 0 quickly,
// without the solver: as that of an even column that carries the part's mass with the
// part's centre of mass on its weakest section below that. It does not see what leans by
// itself, a thin fin on a heavy base, a wall, a frame; see [Sag]. The
// surface m may be a coarser one, and of another size than when soft: scale takes
// lengths in X, Y and Z to that; volume and middle are those of the solid as m has it,
// the latter the height of its centre of mass.
func LeanOf(m *mesh.Mesh, scale r3.Vec, volume, middle float64, c Creep) Lean {
	limit := slenderLimit(m, scale, volume, middle, c)
	return newLean(math.Pow(limit/(2*middle*scale.Z), 3), c)
}

// slenderLimit estimates the height at which the part would buckle by creep
// under its own weight: Greenhill's column with the part's mass, its centre of
// mass at half height, and the smallest of its sections' stiffnesses below that.
func slenderLimit(m *mesh.Mesh, scale r3.Vec, volume, middle float64, c Creep) float64 {
	height := 2 * middle
	volume = math.Abs(volume)
	if !(height > 0 && volume > 0) {
		return math.Inf(1)
	}
	const slices = 8
	weakest := math.Inf(1)
	for k := range slices {
		z := middle * (float64(k) + 0.5) / slices
		if s := cutAt(m, z); s.area > 0 {
			weakest = min(weakest, s.least())
		}
	}
	if math.IsInf(weakest, 1) || weakest <= 0 {
		return math.Inf(1)
	}
	// ColumnLimitMM takes the square of the radius of gyration, I / A, with A
	// the section that makes up the mass; it scales with the square of a length
	// across the column.
	return ColumnLimitMM(c, math.Sqrt(weakest*height/volume*scale.X*scale.Y))
}

// section holds the integrals over a level cut: area, first and second moments.
type section struct{ area, x, y, xx, yy, xy float64 }

// cutAt cuts m at height z. Every facet that crosses gives one edge of the
// outline, directed so that solid is on its left; by Green's theorem the edges
// can be summed in any order.
func cutAt(m *mesh.Mesh, z float64) section {
	var s section
	for i := range m.Facets {
		a, b, c := m.Corners(i)
		if min(a.Z, b.Z, c.Z) > z || max(a.Z, b.Z, c.Z) <= z {
			continue
		}
		var into, out r3.Vec // where the facet's boundary goes up and down through z
		for _, e := range [3][2]r3.Vec{{a, b}, {b, c}, {c, a}} {
			switch {
			case e[0].Z <= z && e[1].Z > z:
				into = between(e[0], e[1], z)
			case e[0].Z > z && e[1].Z <= z:
				out = between(e[1], e[0], z)
			}
		}
		s.add(out, into)
	}
	if s.area < 0 { // a mesh turned inside out
		s = section{-s.area, -s.x, -s.y, -s.xx, -s.yy, -s.xy}
	}
	return s
}

// between gives the point at height z on the edge from low to high.
func between(low, high r3.Vec, z float64) r3.Vec {
	return r3.Add(low, r3.Scale((z-low.Z)/(high.Z-low.Z), r3.Sub(high, low)))
}

// add takes in the directed edge from p to q.
func (s *section) add(p, q r3.Vec) {
	w := p.X*q.Y - q.X*p.Y
	s.area += w / 2
	s.x += w * (p.X + q.X) / 6
	s.y += w * (p.Y + q.Y) / 6
	s.xx += w * (p.X*p.X + p.X*q.X + q.X*q.X) / 12
	s.yy += w * (p.Y*p.Y + p.Y*q.Y + q.Y*q.Y) / 12
	s.xy += w * (2*p.X*p.Y + p.X*q.Y + q.X*p.Y + 2*q.X*q.Y) / 24
}

// least gives the smallest second moment about an axis through the centroid.
func (s section) least() float64 {
	x, y := s.x/s.area, s.y/s.area
	xx, yy, xy := s.xx-s.area*x*x, s.yy-s.area*y*y, s.xy-s.area*x*y
	return (xx+yy)/2 - math.Hypot((xx-yy)/2, xy)
}
