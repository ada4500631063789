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
func (d disc) highest(src []float32, nx, ny int) []float32 { return d.spread(src, nx, ny, 0) }

// lowest is highest upside down. Outside the map is no bound.
func (d disc) lowest(src []float32, nx, ny int) []float32 { return d.spread(src, nx, ny, -1) }

// spread takes the heights as ranks, which processors compare faster, each xor turn:
// -1 turns them upside down.
func (d disc) spread(src []float32, nx, ny int, turn int32) []float32 {
	dst := make([]int32, len(src))
	for i := range dst {
		dst[i] = rankOfNothing
	}
	w := newRuns(nx, d.reach())
	row := func(j int) []int32 {
		if j < 0 || j >= ny {
			return w.beyond
		}
		return dst[j*nx : (j+1)*nx]
	}
	for j := range ny {
		if !w.fill(src[j*nx:(j+1)*nx], turn) {
			continue
		}
		for dy, half := range d {
			w.raise(row(j-dy), row(j+dy), half)
		}
	}
	out := make([]float32, len(src))
	for i, r := range dst {
		out[i] = heightOf(r ^ turn)
	}
	return out
}

// rankOf gives a whole number for a height that is in the same order, and for the
// height turned over its complement; heightOf is the way back. IEEE 754 numbers are in
// the order of their bits, but for the negative ones, which are in the opposite order.
func rankOf(height float32) int32 {
	b := int32(math.Float32bits(height))
	return b ^ b>>31&math.MaxInt32
}

func heightOf(rank int32) float32 {
	return math.Float32frombits(uint32(rank ^ rank>>31&math.MaxInt32))
}

var rankOfNothing = rankOf(nothing)

// runs holds, for a row with pad empty pixels on either side, the maximum of the
// 1, 2, 4, ... pixels from each one on, as ranks.
type runs struct {
	pad    int
	level  [][]int32
	beyond []int32 // stands in for the rows beyond the map
}

func newRuns(n, pad int) *runs {
	w := &runs{pad: pad, beyond: make([]int32, n)}
	for range bits.Len(uint(2*pad + 1)) {
		w.level = append(w.level, make([]int32, n+2*pad))
	}
	return w
}

// fill takes a row; it reports false where there is nothing in it.
func (w *runs) fill(row []float32, turn int32) bool {
	base := w.level[0]
	for i := range base {
		base[i] = rankOfNothing
	}
	some := false
	for i, v := range row {
		r := rankOf(v) ^ turn
		base[w.pad+i] = r
		some = some || r != rankOfNothing
	}
	for k := 1; some && k < len(w.level); k++ {
		step := 1 << (k - 1)
		from, to := w.level[k-1], w.level[k]
		far := from[step:]
		for i, r := range far {
			to[i] = max(from[i], r)
		}
		copy(to[len(far):], from[len(far):])
	}
	return some
}

// raise raises two rows to the maximum over half pixels to either side of each.
func (w *runs) raise(a, b []int32, half int) {
	n := 2*half + 1
	k := bits.Len(uint(n)) - 1
	p := w.level[k][w.pad-half:][:len(a)]
	q := w.level[k][w.pad+half+1-1<<k:][:len(a)]
	b = b[:len(a)]
	for i := range a {
		v := max(p[i], q[i])
		a[i] = max(a[i], v)
		b[i] = max(b[i], v)
	}
}
