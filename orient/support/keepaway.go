package support

import (
	"gonum.org/v1/gonum/spatial/r3"
)

// keepFromWall trims a cell so that it ends short of a steep piece beside or in
// it, and reports false where that leaves nothing. Of a piece beside the cell
// only that counts which would be in the way if the cell went on there.
func (c *cell) keepFromWall(piece flatPiece, w window, p post, gap float64) bool {
	low, high := piece.heightsOf()
	switch middle := (p.floor + p.top) / 2; {
	case low > middle:
		c.keepUnder(piece, w, p, gap)
	case high < middle:
		if high > 0 || p.below >= 0 { // the plate's plane is free
			c.keepOver(piece, w, p, gap)
		}
	default:
		return false
	}
	return true
}

// keepUnder lowers the top so that it is nowhere nearer than gap to a piece of
// roof. Roofs below the floor that the cell stands on are another storey's.
func (c *cell) keepUnder(piece flatPiece, w window, p post, gap float64) {
	if _, high := piece.heightsOf(); high <= p.floor {
		return
	}
	excess := w.worst(piece, func(x, y, z float64) float64 { return w.surface(&c.top, x, y) - (z - gap) })
	if excess > 0 {
		for k := range 4 {
			c.top[k] -= excess
		}
	}
}

// keepOver raises the bottom so that it is nowhere nearer than gap to a piece of
// floor. Floors above the roof that the cell holds are another storey's.
func (c *cell) keepOver(piece flatPiece, w window, p post, gap float64) {
	if low, _ := piece.heightsOf(); low >= p.top {
		return
	}
	excess := w.worst(piece, func(x, y, z float64) float64 { return z + gap - w.surface(&c.bottom, x, y) })
	if excess > 0 {
		for k := range 4 {
			c.bottom[k] += excess
		}
	}
}

// surface gives the height of the two triangles over the window's corners, which
// meet along the diagonal from the low corner, and of their planes beside it.
func (w window) surface(corner *[4]float64, x, y float64) float64 {
	u, v := (x-w.x0)/(w.x1-w.x0), (y-w.y0)/(w.y1-w.y0)
	if v <= u {
		return corner[0] + u*(corner[1]-corner[0]) + v*(corner[2]-corner[1])
	}
	return corner[0] + v*(corner[3]-corner[0]) + u*(corner[2]-corner[3])
}

// worst gives the largest excess over a piece. The piece is flat and the surface
// bends along the diagonal only: the largest is at a corner of the piece or where
// its rim crosses the diagonal.
func (w window) worst(piece flatPiece, excess func(x, y, z float64) float64) float64 {
	side := func(v r3.Vec) float64 {
		return (v.X-w.x0)*(w.y1-w.y0) - (v.Y-w.y0)*(w.x1-w.x0)
	}
	most := excess(piece[0].X, piece[0].Y, piece[0].Z)
	for i, a := range piece {
		b := piece[(i+1)%len(piece)]
		most = max(most, excess(a.X, a.Y, a.Z))
		if da, db := side(a), side(b); da*db < 0 {
			v := r3.Add(a, r3.Scale(da/(da-db), r3.Sub(b, a)))
			most = max(most, excess(v.X, v.Y, v.Z))
		}
	}
	return most
}
