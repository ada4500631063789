package furnace

import (
	"context"
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
)

// rig is a grid with loads and holds put on by hand, for comparison with theory.
// Its axes are the grid's; its weight is 1 N/mm3 for Young's modulus 1 N/mm2.
type rig struct {
	t     testing.TB
	mg    *multigrid
	where *brickMap
	edge  [3]float64
	held  []bool
	force []float64
	x     []float64
}

func newRig(t testing.TB, b *block, edge [3]float64, poisson float64) *rig {
	t.Helper()
	mg, where, err := newMultigrid(b, edge, poisson, newCrew(context.Background()))
	if err != nil {
		t.Fatal(err)
	}
	n := 3 * len(mg.levels[0].place)
	return &rig{t, mg, where, edge, make([]bool, n), make([]float64, n), make([]float64, n)}
}

// fullBlock is a box of solid bricks.
func fullBlock(n [3]int) *block {
	b := &block{n: n, stride: [3]int{1, n[0], n[0] * n[1]}, share: make([]float32, n[0]*n[1]*n[2])}
	for i := range b.share {
		b.share[i] = 1
	}
	return b
}

// weigh puts the weight on, down along the axis.
func (r *rig) weigh(axis int) {
	volume := r.edge[0] * r.edge[1] * r.edge[2]
	for n, w := range r.mg.levels[0].weight {
		r.force[3*n+axis] -= float64(w) * volume / corners
	}
}

// corner calls visit with every corner of the brick around p, or of the nearest
// beside it, and its share.
func (r *rig) corner(p r3.Vec, visit func(node int, share float64)) {
	var cell [3]int
	var part [3]float64
	for a, v := range [3]float64{p.X / r.edge[0], p.Y / r.edge[1], p.Z / r.edge[2]} {
		cell[a] = int(min(max(math.Floor(v), 0), float64(r.where.n[a]-1)))
		part[a] = v - float64(cell[a])
	}
	brick := r.where.at(cell[0], cell[1], cell[2])
	for n := 0; brick < 0 && n < 27; n++ {
		d := [3]int{n%3 - 1, n/3%3 - 1, n/9 - 1}
		if brick = r.where.at(cell[0]+d[0], cell[1]+d[1], cell[2]+d[2]); brick >= 0 {
			for a := range part {
				part[a] -= float64(d[a])
			}
		}
	}
	if brick < 0 {
		r.t.Fatalf("no solid at %v", p)
	}
	for n, node := range r.mg.levels[0].nodes[brick] {
		w := 1.0
		for a := range 3 {
			if n>>a&1 == 1 {
				w *= part[a]
			} else {
				w *= 1 - part[a]
			}
		}
		visit(int(node), w)
	}
}

// push puts a force on a point.
func (r *rig) push(p, f r3.Vec) {
	r.corner(p, func(n int, w float64) {
		r.force[3*n] += w * f.X
		r.force[3*n+1] += w * f.Y
		r.force[3*n+2] += w * f.Z
	})
}

// at gives the displacement of a point.
func (r *rig) at(p r3.Vec) r3.Vec {
	var v r3.Vec
	r.corner(p, func(n int, w float64) {
		v = r3.Add(v, r3.Scale(w, r3.Vec{X: r.x[3*n], Y: r.x[3*n+1], Z: r.x[3*n+2]}))
	})
	return v
}

// hold holds the displacements for which want is true.
func (r *rig) hold(want func(p r3.Vec, axis int) bool) {
	for n, q := range r.mg.levels[0].place {
		p := r3.Vec{X: float64(q[0]) * r.edge[0], Y: float64(q[1]) * r.edge[1], Z: float64(q[2]) * r.edge[2]}
		for a := range 3 {
			r.held[3*n+a] = r.held[3*n+a] || want(p, a)
		}
	}
}

// pin takes the six rigid motions away at three corners of a box, without
// straining it. The box must have solid in these corners.
func (r *rig) pin() {
	n := r.where.n
	r.pinAt(0, 0, 0, 0, 0, 1, 2)
	r.pinAt(0, 0, n[2]-1, 4, 0, 1)
	r.pinAt(0, n[1]-1, 0, 2, 0)
}

// pinAt holds displacements of one corner of the brick at (i, j, k).
func (r *rig) pinAt(i, j, k, corner int, axes ...int) {
	r.t.Helper()
	brick := r.where.at(i, j, k)
	if brick < 0 {
		r.t.Fatalf("no brick to pin at %d %d %d", i, j, k)
	}
	for _, a := range axes {
		r.held[3*int(r.mg.levels[0].nodes[brick][corner])+a] = true
	}
}

// solve finds the displacements.
func (r *rig) solve() {
	r.t.Helper()
	for i, h := range r.held {
		if h {
			r.force[i] = 0
		}
	}
	if err := r.mg.hold(r.held, nil); err != nil {
		r.t.Fatal(err)
	}
	_, err := r.mg.solve(context.Background(), task{x: r.x, b: r.force, within: 1e-5, most: 1000})
	if err != nil {
		r.t.Fatal(err)
	}
}
