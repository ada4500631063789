package support

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// heights is a map of the highest point over each pixel of a window. What only
// touches a pixel fills it.
type heights struct {
	x0, y0, px float64
	nx, ny     int
	z          []float32
}

// rock bottom: nothing over the pixel.
var nothing = float32(math.Inf(-1))

// newHeights makes an empty map over the window lo, hi in whole pixels.
func newHeights(lo, hi r3.Vec, px float64) *heights {
	h := &heights{x0: lo.X, y0: lo.Y, px: px}
	h.nx, h.ny = int((hi.X-lo.X)/px)+1, int((hi.Y-lo.Y)/px)+1
	h.z = make([]float32, h.nx*h.ny)
	for i := range h.z {
		h.z[i] = nothing
	}
	return h
}

// raise lays a facet over the map, and gives how many pixels it looked at.
func (h *heights) raise(a, b, c *r3.Vec) (pixels int) {
	first := max(h.row(least(a.Y, b.Y, c.Y)), 0)
	last := min(h.row(-least(-a.Y, -b.Y, -c.Y)), h.ny-1)
	if first > last || -least(-a.X, -b.X, -c.X) < h.x0 || least(a.X, b.X, c.X) >= h.x0+float64(h.nx)*h.px {
		return 0
	}
	high, low := -least(-a.Z, -b.Z, -c.Z), least(a.Z, b.Z, c.Z)
	nx := (b.Y-a.Y)*(c.Z-a.Z) - (b.Z-a.Z)*(c.Y-a.Y)
	ny := (b.Z-a.Z)*(c.X-a.X) - (b.X-a.X)*(c.Z-a.Z)
	nz := (b.X-a.X)*(c.Y-a.Y) - (b.Y-a.Y)*(c.X-a.X)
	sx, sy := 0.0, 0.0
	z0 := high
	if nz*nz > 1e-12*(nx*nx+ny*ny+nz*nz) {
		sx, sy = -nx/nz, -ny/nz
		// The plane over the middle of pixel (0, 0), and up to its highest corner.
		z0 = a.Z + sx*(h.x0+h.px/2-a.X) + sy*(h.y0+h.px/2-a.Y) + (math.Abs(sx)+math.Abs(sy))*h.px/2
	}
	for j := first; j <= last; j++ {
		var t band
		if first == last { // as most that are small
			t.left, t.right = least(a.X, b.X, c.X), -least(-a.X, -b.X, -c.X)
		} else {
			y := h.y0 + float64(j)*h.px
			t = band{y0: y, y1: y + h.px, left: math.Inf(1), right: math.Inf(-1)}
			t.take(a, b)
			t.take(b, c)
			t.take(c, a)
		}
		i0 := max(int(math.Floor((t.left-h.x0)/h.px)), 0)
		i1 := min(int(math.Floor((t.right-h.x0)/h.px)), h.nx-1)
		pixels += 1 + max(i1-i0, 0)
		row := h.z[j*h.nx : (j+1)*h.nx]
		zj := sy * float64(j) * h.px
		for i := i0; i <= i1; i++ {
			z := z0 + sx*float64(i)*h.px + zj
			if z > high {
				z = high
			} else if z < low {
				z = low
			}
			if v := float32(z); v > row[i] {
				row[i] = v
			}
		}
	}
	return pixels
}

// least compares by hand: min minds NaN, which there is none of, and is slower.
func least(a, b, c float64) float64 {
	if b < a {
		a = b
	}
	if c < a {
		a = c
	}
	return a
}

// row gives the row of pixels that y lies in, also beyond the map.
func (h *heights) row(y float64) int { return int(math.Floor((y - h.y0) / h.px)) }

// band is the extent in x of the part of a triangle with y0 <= y <= y1.
type band struct{ y0, y1, left, right float64 }

// take widens the band for the corner p and the side from there to q.
func (t *band) take(p, q *r3.Vec) {
	if p.Y >= t.y0 && p.Y <= t.y1 {
		t.put(p.X)
	}
	if (p.Y < t.y0) != (q.Y < t.y0) {
		t.put(p.X + (q.X-p.X)*(t.y0-p.Y)/(q.Y-p.Y))
	}
	if (p.Y < t.y1) != (q.Y < t.y1) {
		t.put(p.X + (q.X-p.X)*(t.y1-p.Y)/(q.Y-p.Y))
	}
}

func (t *band) put(x float64) {
	if x < t.left {
		t.left = x
	}
	if x > t.right {
		t.right = x
	}
}

// pixel gives the index of the pixel that holds x, y, and false outside.
func (h *heights) pixel(x, y float64) (int, bool) {
	i, j := int(math.Floor((x-h.x0)/h.px)), int(math.Floor((y-h.y0)/h.px))
	return j*h.nx + i, i >= 0 && j >= 0 && i < h.nx && j < h.ny
}

// center gives the middle of pixel i, j.
func (h *heights) center(i, j int) (x, y float64) {
	return h.x0 + (float64(i)+0.5)*h.px, h.y0 + (float64(j)+0.5)*h.px
}
