package furnace

import (
	"math"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r3"
)

// freedom is the ways in which bodies can slide and turn on the setter without
// any force: nothing in the equations says where they end up, so these ways are
// kept out of the answer.
type freedom struct {
	c     *contact
	modes []slide
}

// slide is one way: shift along the level axes plus a turn about (x0, y0).
type slide struct {
	group  int
	shift  [2]float64
	turn   float64
	x0, y0 float64
	size   float64 // sum of squares over what is not held
}

// slidingModes finds the ways left by the feet that are stuck: three for a body
// with none, a turn about it for a body with one.
func (c *contact) slidingModes() *freedom {
	f := &freedom{c: c}
	if c.drag != nil { // the springs of friction leave no way free
		return f
	}
	stuck := math.IsInf(c.friction, 1)
	middles, counts := c.middles()
	for g := range c.count {
		gram := mat.NewSymDense(3, nil)
		base := slide{group: g, x0: middles[g][0], y0: middles[g][1]}
		scale := math.Sqrt(middles[g][2]/counts[g]) + 1e-12 // makes the turn a length
		for _, i := range c.feetOf[g] {
			if stuck && !c.lifted[i] && c.restOf(int(i)).friction == 0 {
				x, y := c.levelPlace(c.feet[i].node)
				u, v := (y-base.y0)/scale, -(x-base.x0)/scale
				addSquare(gram, [3]float64{1, 0, u})
				addSquare(gram, [3]float64{0, 1, v})
			}
		}
		for _, w := range nullVectors(gram) {
			m := base
			m.shift, m.turn = [2]float64{w[0], w[1]}, w[2]/scale
			f.modes = append(f.modes, m)
		}
	}
	for i := range f.modes {
		m := &f.modes[i]
		f.each(m, func(_ int, v float64) { m.size += v * v })
	}
	return f
}

// middles gives for every body the mean of its nodes' level coordinates, the sum
// of squares about it, and the number of nodes.
func (c *contact) middles() (middle [][3]float64, counts []float64) {
	middle, counts = make([][3]float64, c.count), make([]float64, c.count)
	nodes := len(c.mg.levels[0].place)
	for n := range int32(nodes) {
		x, y := c.levelPlace(n)
		g := c.groupOf(n)
		middle[g][0] += x
		middle[g][1] += y
		counts[g]++
	}
	for g := range middle {
		middle[g][0] /= counts[g]
		middle[g][1] /= counts[g]
	}
	for n := range int32(nodes) {
		x, y := c.levelPlace(n)
		g := c.groupOf(n)
		middle[g][2] += (x-middle[g][0])*(x-middle[g][0]) + (y-middle[g][1])*(y-middle[g][1])
	}
	return middle, counts
}

// levelPlace gives the position of a node along the system's level axes, mm.
func (c *contact) levelPlace(n int32) (x, y float64) {
	p := c.mg.levels[0].place[n]
	l := c.model.lattice
	pitch := [3]float64{l.Pitch.X, l.Pitch.Y, l.Pitch.Z}
	a, b := c.level[0], c.level[1]
	return float64(p[a]) * pitch[c.order[a]], float64(p[b]) * pitch[c.order[b]]
}

func addSquare(g *mat.SymDense, v [3]float64) {
	for i := range 3 {
		for j := i; j < 3; j++ {
			g.SetSym(i, j, g.At(i, j)+v[i]*v[j])
		}
	}
}

// nullVectors gives the unit vectors that a 3 x 3 matrix takes to zero.
func nullVectors(g *mat.SymDense) [][3]float64 {
	var eig mat.EigenSym
	if !eig.Factorize(g, true) {
		return nil
	}
	values := eig.Values(nil)
	var v mat.Dense
	eig.VectorsTo(&v)
	var out [][3]float64
	for k, e := range values {
		if e <= 1e-9*max(values[2], 1) {
			out = append(out, [3]float64{v.At(0, k), v.At(1, k), v.At(2, k)})
		}
	}
	return out
}

// at gives the displacement of node n along the level axes.
func (m *slide) at(c *contact, n int32) [2]float64 {
	x, y := c.levelPlace(n)
	return [2]float64{m.shift[0] + m.turn*(y-m.y0), m.shift[1] - m.turn*(x-m.x0)}
}

// each visits the displacements of a mode that are not held.
func (f *freedom) each(m *slide, visit func(i int, v float64)) {
	c := f.c
	for _, n := range c.nodesOf[m.group] {
		at := 3 * int(n)
		v := m.at(c, n)
		for k, a := range c.level {
			if !c.held[at+a] {
				visit(at+a, v[k])
			}
		}
	}
}

// clean takes the free ways out of r.
func (f *freedom) clean(r []float64) {
	for i := range f.modes {
		m := &f.modes[i]
		var dot float64
		f.each(m, func(k int, v float64) { dot += v * r[k] })
		dot /= m.size
		f.each(m, func(k int, v float64) { r[k] -= dot * v })
	}
}

// bestRigid gives the rigid motion, as a turn and a shift, that brings the
// points p nearest to q (Kabsch, Acta Cryst. A32 (1976) 922).
func bestRigid(p, q []r3.Vec) (turn *mat.Dense, shift r3.Vec) {
	pc, qc := mean(p), mean(q)
	h := mat.NewDense(3, 3, nil)
	for i := range p {
		a, b := r3.Sub(p[i], pc), r3.Sub(q[i], qc)
		u, v := [3]float64{a.X, a.Y, a.Z}, [3]float64{b.X, b.Y, b.Z}
		for j := range 3 {
			for k := range 3 {
				h.Set(j, k, h.At(j, k)+u[j]*v[k])
			}
		}
	}
	turn = mat.NewDense(3, 3, nil)
	var svd mat.SVD
	if !svd.Factorize(h, mat.SVDFull) {
		for i := range 3 {
			turn.Set(i, i, 1)
		}
	} else {
		var u, v mat.Dense
		svd.UTo(&u)
		svd.VTo(&v)
		turn.Mul(&v, u.T())
		if mat.Det(turn) < 0 { // a mirror image fits no better than a turn
			for i := range 3 {
				v.Set(i, 2, -v.At(i, 2))
			}
			turn.Mul(&v, u.T())
		}
	}
	return turn, r3.Sub(qc, turned(turn, pc))
}

func turned(m *mat.Dense, v r3.Vec) r3.Vec {
	return r3.Vec{
		X: m.At(0, 0)*v.X + m.At(0, 1)*v.Y + m.At(0, 2)*v.Z,
		Y: m.At(1, 0)*v.X + m.At(1, 1)*v.Y + m.At(1, 2)*v.Z,
		Z: m.At(2, 0)*v.X + m.At(2, 1)*v.Y + m.At(2, 2)*v.Z,
	}
}

func mean(p []r3.Vec) r3.Vec {
	var s r3.Vec
	for _, v := range p {
		s = r3.Add(s, v)
	}
	return r3.Scale(1/float64(len(p)), s)
}

// shapeError gives the largest distance that remains between the points p and
// p + u after the best rigid fit.
func shapeError(p, u []r3.Vec) float64 {
	if len(p) == 0 {
		return 0
	}
	q := make([]r3.Vec, len(p))
	for i := range p {
		q[i] = r3.Add(p[i], u[i])
	}
	turn, shift := bestRigid(p, q)
	var most float64
	for i := range p {
		most = max(most, r3.Norm(r3.Sub(r3.Add(turned(turn, p[i]), shift), q[i])))
	}
	return most
}
