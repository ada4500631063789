package support

import (
	"math"
	"math/bits"
)

// disc is a round neighbourhood of a pixel: for each number of rows away, how
// many pixels it reaches to either side.
type disc []int

// newDisc gives the pixels with some point within radius of some point of the
// middle pixel shrunk to a square of side inner, all in pixels: 0 is a point in
// its middle, 1 all of it. Where touch is false, only pixels whose middle is
// within the radius count.
func newDisc(radius, inner float64, touch bool) disc {
	slack := inner / 2
	if touch {
		slack += 0.5
	}
	var d disc
	for dy := 0; ; dy++ {
		y := max(float64(dy)-slack, 0)
		if y > radius || dy > 0 && y >= radius {
			return d
		}
		d = append(d, int(math.Sqrt(radius*radius-y*y)+slack-1e-9))
	}
}

// reach is the number of pixels that the disc reaches out.
func (d disc) reach() int {
	most := len(d) - 1
	for _, w := range d {
		most = max(most, w)
	}
	return most
}

// highest gives for each pixel the highest value in the disc around it
// (grey-scale dilation; Serra, Image Analysis and Mathematical Morphology, 1982).
// Outside the map there is nothing.
func (d disc) highest(src []float32, nx, ny int) []float32 {
	dst := make([]float32, len(src))
	for i := range dst {
		dst[i] = nothing
	}
	k := d.reach()
	w := newRuns(nx, k)
	best := make([]float32, nx)
	for j := range ny {
		if !w.fill(src[j*nx : (j+1)*nx]) {
			continue
		}
		for dy, half := range d {
			w.window(best, half)
			if j-dy >= 0 {
				raiseRow(dst[(j-dy)*nx:(j-dy+1)*nx], best)
			}
			if dy > 0 && j+dy < ny {
				raiseRow(dst[(j+dy)*nx:(j+dy+1)*nx], best)
			}
		}
	}
	return dst
}

// lowest is highest upside down. Outside the map is no bound.
func (d disc) lowest(src []float32, nx, ny int) []float32 {
	turned := make([]float32, len(src))
	for i, v := range src {
		turned[i] = -v
	}
	out := d.highest(turned, nx, ny)
	for i, v := range out {
		out[i] = -v
	}
	return out
}

// raiseRow compares by hand: max minds NaN, which there is none of, and is slower.
func raiseRow(dst, src []float32) {
	dst = dst[:len(src)]
	for i, v := range src {
		if v > dst[i] {
			dst[i] = v
		}
	}
}

// runs holds, for a row with pad empty pixels on either side, the maximum of the
// 1, 2, 4, ... pixels from each one on.
type runs struct {
	pad   int
	level [][]float32
}

func newRuns(n, pad int) *runs {
	w := &runs{pad: pad}
	for range bits.Len(uint(2*pad + 1)) {
		w.level = append(w.level, make([]float32, n+2*pad))
	}
	return w
}

// fill takes a row; it reports false where there is nothing in it.
func (w *runs) fill(row []float32) bool {
	base := w.level[0]
	for i := range base {
		base[i] = nothing
	}
	copy(base[w.pad:], row)
	some := false
	for _, v := range row {
		some = some || v != nothing
	}
	for k := 1; some && k < len(w.level); k++ {
		step := 1 << (k - 1)
		from, to := w.level[k-1], w.level[k]
		copy(to, from)
		raiseRow(to, from[step:])
	}
	return some
}

// window puts into dst the maximum over half pixels to either side of each.
func (w *runs) window(dst []float32, half int) {
	n := 2*half + 1
	k := bits.Len(uint(n)) - 1
	copy(dst, w.level[k][w.pad-half:])
	raiseRow(dst, w.level[k][w.pad+half+1-1<<k:][:len(dst)])
}
