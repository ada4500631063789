package render

import "math"

// mask marks pixels, without colour or depth.
type mask struct {
	w, h int
	on   []bool
}

func newMask(w, h int) *mask { return &mask{w: w, h: h, on: make([]bool, w*h)} }

// row gives the marks of a row of the picture.
func (m *mask) row(y int) []bool { return m.on[y*m.w:][:m.w] }

// fill empties the mask and marks the pixels whose middle lies in the triangles
// listed.
func (m *mask) fill(lists *bins, corners func(i int32) [3]spot) {
	step := bandStep(m.h)
	each((m.h+step-1)/step, func(k int) {
		y0, y1 := k*step, min((k+1)*step, m.h)
		clear(m.on[y0*m.w : y1*m.w])
		for _, i := range lists.band(k) {
			m.triangle(corners(i), y0, y1)
		}
	})
}

// triangle marks one triangle in the rows y0 to y1.
func (m *mask) triangle(c [3]spot, y0, y1 int) {
	top, bottom := pixels(c[0].y, c[1].y, c[2].y)
	for y := within(top, y0, y1); y <= within(bottom, y0-1, y1-1); y++ {
		lo, hi, ok := rowOf(c[:], float64(y)+0.5)
		if !ok {
			continue
		}
		row := m.row(y)
		for x := within(math.Ceil(lo-0.5), 0, m.w); x < m.w && float64(x)+0.5 <= hi; x++ {
			row[x] = true
		}
	}
}
