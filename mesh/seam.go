package mesh

import "gonum.org/v1/gonum/spatial/r3"

// seamReach is how far apart two rims may be, as a part of the diagonal, to be
// called the two sides of one seam.
const seamReach = 1e-3

// seam is a gap between two rims that run along each other.
type seam struct {
	loops map[int]bool // the loops that have another one near
	width float64      // the widest gap between corners that face each other, mm
	at    r3.Vec       // where that is
}

// rimCorner is a corner of a loop.
type rimCorner struct {
	loop   int
	vertex int32
}

// findSeam looks for loops whose corners have corners of other loops near.
func findSeam(m *Mesh, t *Topology, loops [][]int) seam {
	s := seam{loops: map[int]bool{}}
	var corners []rimCorner
	var places []r3.Vec
	for i, loop := range loops {
		for _, side := range loop {
			v, _ := t.Ends(side)
			corners = append(corners, rimCorner{i, v})
			places = append(places, m.Vertices[v])
		}
	}
	near := newNeighbours(places, seamReach*m.Bounds().Diagonal())
	for i := range places {
		near.add(int32(i))
	}
	for i := range places {
		s.match(near, corners, int32(i))
	}
	return s
}

// match marks the loop of a corner that has a corner of another loop near, and
// notes how far off the nearest is; rims may meet in a corner and still gape.
func (s *seam) match(near *neighbours, corners []rimCorner, i int32) {
	width, gapes := near.side, false
	near.each(near.vertices[i], func(j int32) {
		d := r3.Norm(r3.Sub(near.vertices[j], near.vertices[i]))
		if corners[j].loop == corners[i].loop || d > near.side {
			return
		}
		s.loops[corners[i].loop] = true
		if corners[j].vertex != corners[i].vertex && d <= width {
			width, gapes = d, true
		}
	})
	if gapes && width > s.width {
		s.width, s.at = width, near.vertices[i]
	}
}
