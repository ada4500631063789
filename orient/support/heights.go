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

// raise lays a facet over the map.
func (h *heights) raise(a, b, c r3.Vec) {
	n := r3.Cross(r3.Sub(b, a), r3.Sub(c, a))
	high, low := max(a.Z, b.Z, c.Z), min(a.Z, b.Z, c.Z)
	sx, sy := 0.0, 0.0
	z0 := high
	if math.Abs(n.Z) > 1e-6*r3.Norm(n) {
		sx, sy = -n.X/n.Z, -n.Y/n.Z
		// The plane over the middle of pixel (0, 0), and up to its highest corner.
		z0 = a.Z + sx*(h.x0+h.px/2-a.X) + sy*(h.y0+h.px/2-a.Y) + (math.Abs(sx)+math.Abs(sy))*h.px/2
	}
	first := max(int(math.Floor((min(a.Y, b.Y, c.Y)-h.y0)/h.px)), 0)
	last := min(int(math.Floor((max(a.Y, b.Y, c.Y)-h.y0)/h.px)), h.ny-1)
	for j := first; j <= last; j++ {
		y := h.y0 + float64(j)*h.px
		left, right := band(y, y+h.px, a, b, c)
		i0 := max(int(math.Floor((left-h.x0)/h.px)), 0)
		i1 := min(int(math.Floor((right-h.x0)/h.px)), h.nx-1)
		row := h.z[j*h.nx : (j+1)*h.nx]
		for i := i0; i <= i1; i++ {
			z := z0 + sx*float64(i)*h.px + sy*float64(j)*h.px
			if v := float32(min(max(z, low), high)); v > row[i] {
				row[i] = v
			}
		}
	}
}

// band gives the extent in x of the part of a triangle with y0 <= y <= y1.
func band(y0, y1 float64, corners ...r3.Vec) (left, right float64) {
	left, right = math.Inf(1), math.Inf(-1)
	put := func(x float64) { left, right = min(left, x), max(right, x) }
	for i, p := range corners {
		if p.Y >= y0 && p.Y <= y1 {
			put(p.X)
		}
		q := corners[(i+1)%len(corners)]
		for _, y := range [2]float64{y0, y1} {
			if (p.Y < y) != (q.Y < y) {
				put(p.X + (q.X-p.X)*(y-p.Y)/(q.Y-p.Y))
			}
		}
	}
	return left, right
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
