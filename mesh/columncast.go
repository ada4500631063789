package mesh

import "gonum.org/v1/gonum/spatial/r3"

// cast adds the crossings of one facet.
func (c *Columns) cast(facet int32, p, q, r r3.Vec) {
	first := c.line(min(p.Y, q.Y, r.Y), c.Y0, c.DY, c.NY)
	last := c.line(max(p.Y, q.Y, r.Y), c.Y0, c.DY, c.NY)
	c.castRows(facet, &p, &q, &r, first, last)
}

// castRows is cast for a facet known to meet the rows from first to before last:
// those at or above its lowest corner and below its highest.
func (c *Columns) castRows(facet int32, p, q, r *r3.Vec, first, last int) {
	nz := (q.X-p.X)*(r.Y-p.Y) - (q.Y-p.Y)*(r.X-p.X)
	if nz == 0 {
		return
	}
	var plane plane
	bottom, middle, top := byY(p, q, r)
	// One side of the cut runs along bottom-top, the other along the two others.
	long, short, upper := newEdge(bottom, top), newEdge(bottom, middle), false
	for j := first; j < last; j++ {
		y := lineAt(j, c.Y0, c.DY)
		if !upper && y >= middle.Y {
			short, upper = newEdge(middle, top), true
		}
		left, right := long.at(y), short.at(y)
		if left > right {
			left, right = right, left
		}
		i := c.line(left, c.X0, c.DX, c.NX)
		for x := lineAt(i, c.X0, c.DX); i < c.NX && x < right; x = lineAt(i, c.X0, c.DX) {
			if !plane.known {
				plane = newPlane(p, q, r, nz)
			}
			c.unsorted = append(c.unsorted, placed{
				column:   int32(j*c.NX + i),
				Crossing: Crossing{Z: plane.at(x, y), Facet: facet, Up: nz > 0},
			})
			i++
		}
	}
}

// byY gives three corners in the order of y.
func byY(a, b, c *r3.Vec) (bottom, middle, top *r3.Vec) {
	if b.Y < a.Y {
		a, b = b, a
	}
	if c.Y < b.Y {
		b, c = c, b
		if b.Y < a.Y {
			a, b = b, a
		}
	}
	return a, b, c
}

// plane gives the height of a facet. Steep facets make its slope huge: the height
// stays between low and high.
type plane struct {
	x, y, z, slopeX, slopeY, low, high float64
	known                              bool
}

func newPlane(p, q, r *r3.Vec, nz float64) plane {
	nx := (q.Y-p.Y)*(r.Z-p.Z) - (q.Z-p.Z)*(r.Y-p.Y)
	ny := (q.Z-p.Z)*(r.X-p.X) - (q.X-p.X)*(r.Z-p.Z)
	return plane{
		x: p.X, y: p.Y, z: p.Z, slopeX: -nx / nz, slopeY: -ny / nz,
		low: min(p.Z, q.Z, r.Z), high: max(p.Z, q.Z, r.Z), known: true,
	}
}

func (p *plane) at(x, y float64) float32 {
	return float32(min(max(p.z+p.slopeY*(y-p.y)+p.slopeX*(x-p.x), p.low), p.high))
}

// lineAt gives the place of grid line k. The conversion keeps the product from
// being fused with the sum on some processors only.
func lineAt(k int, origin, step float64) float64 { return origin + float64((float64(k)+0.5)*step) }

// line gives the index of the first grid line at or beyond v, within 0..n. It
// depends on v alone, so that two facets agree about the edge they share, and
// agrees with lineAt to the last bit.
func (c *Columns) line(v, origin, step float64, n int) int {
	x := (v-origin)/step + 0.5
	if !(x > 0) {
		return 0
	}
	k := n
	if x < float64(n) {
		k = int(x)
		const sure = 1e-9 // so far from a line rounding decides nothing
		if f := x - float64(k); f > sure && f < 1-sure {
			return k
		}
	}
	for k > 0 && lineAt(k-1, origin, step) >= v {
		k--
	}
	for k < n && lineAt(k, origin, step) < v {
		k++
	}
	return k
}

// edge is one side of a facet in the xy plane, from x at the level low up to
// upper: the same numbers whichever way round the facet gives it.
type edge struct{ x, upper, low, slope float64 }

func newEdge(a, b *r3.Vec) edge {
	return edge{x: a.X, upper: b.X, low: a.Y, slope: (b.X - a.X) / (b.Y - a.Y)}
}

// at gives where the edge is at the level y: between its ends, whatever the
// rounding, so that a facet between two lines meets neither. It is called a great
// deal; min and max are slower, since they mind what is no number.
func (e *edge) at(y float64) float64 {
	x := e.x + float64((y-e.low)*e.slope)
	lo, hi := e.x, e.upper
	if lo > hi {
		lo, hi = hi, lo
	}
	if x < lo {
		return lo
	}
	if x > hi {
		return hi
	}
	return x
}
