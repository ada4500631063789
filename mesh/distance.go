package mesh

import (
	"math"
	"runtime"

	"kilnpoise/mesh/parallel"
)

// Depths gives, for every brick that is at least half solid, the squared
// distance in mm2 from its middle to the middle of the nearest brick that is
// not; 0 for the others. Beyond the lattice nothing is solid. The transform is
// exact (Felzenszwalb and Huttenlocher, "Distance Transforms of Sampled
// Functions", Theory of Computing 8 (2012)): one pass along each axis takes the
// lower envelope of parabolas.
func (v *Voxels) Depths() []float32 {
	d := make([]float32, len(v.Fill))
	for i, f := range v.Fill {
		if f >= 0.5 {
			d[i] = float32(math.Inf(1))
		}
	}
	nx, ny, nz := v.N[0], v.N[1], v.N[2]
	overLines(ny*nz, nx, func(e *envelope, line int) { e.pass(d, line*nx, 1, nx, v.Pitch.X) })
	overLines(nx*nz, ny, func(e *envelope, line int) { e.pass(d, line/nx*nx*ny+line%nx, nx, ny, v.Pitch.Y) })
	overLines(nx*ny, nz, func(e *envelope, line int) { e.pass(d, line, nx*ny, nz, v.Pitch.Z) })
	return d
}

// overLines runs pass for each of n lines, shared out among the cores; every
// line is on its own, so the result does not depend on their number.
func overLines(n, length int, pass func(e *envelope, line int)) {
	cores := max(1, min(runtime.GOMAXPROCS(0), n*length>>14))
	var wg parallel.Group
	for c := range cores {
		wg.Go(func() {
			e := newEnvelope(length)
			for line := n * c / cores; line < n*(c+1)/cores; line++ {
				pass(e, line)
			}
		})
	}
	wg.Wait()
}

// envelope is the lower envelope of the parabolas standing on one line.
type envelope struct {
	height []float64 // of the parabolas, with one beyond either end of the line
	foot   []int     // the parabolas on the envelope, left to right
	from   []float64 // where each of them begins to be lowest, in bricks
}

func newEnvelope(length int) *envelope {
	n := length + 2
	return &envelope{height: make([]float64, n), foot: make([]int, n), from: make([]float64, n+1)}
}

// pass replaces n values of d, from first in steps of stride and pitch mm
// apart, by the least over the line of value + squared distance.
func (e *envelope) pass(d []float32, first, stride, n int, pitch float64) {
	p2 := pitch * pitch
	h := e.height
	h[0], h[n+1] = 0, 0 // outside the lattice is not solid
	empty := true
	for i := range n {
		value := float64(d[first+i*stride])
		h[i+1] = value / p2
		empty = empty && value == 0
	}
	if empty {
		return
	}
	k := 0
	e.foot[0], e.from[0], e.from[1] = 0, math.Inf(-1), math.Inf(1)
	for q := 1; q <= n+1; q++ {
		if math.IsInf(h[q], 1) {
			continue
		}
		s := e.meet(e.foot[k], q)
		for s <= e.from[k] {
			k--
			s = e.meet(e.foot[k], q)
		}
		k++
		e.foot[k], e.from[k], e.from[k+1] = q, s, math.Inf(1)
	}
	k = 0
	for q := 1; q <= n; q++ {
		for e.from[k+1] < float64(q) {
			k++
		}
		r := float64(q - e.foot[k])
		d[first+(q-1)*stride] = float32(p2 * (r*r + h[e.foot[k]]))
	}
}

// meet gives where the parabola on q becomes lower than that on p < q.
func (e *envelope) meet(p, q int) float64 {
	a, b := float64(p), float64(q)
	return (e.height[q] + b*b - e.height[p] - a*a) / (2 * (b - a))
}
