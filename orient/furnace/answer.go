package furnace

import (
	"math"
	"sync"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
)

// steady takes the free sliding and turning out of the answer: the feet of each
// body are left where they are on the mean, by least squares.
func (c *contact) steady() {
	f := c.free
	rest := f.modes
	for g := range c.count {
		var modes []slide // they are in the order of the bodies
		for len(rest) > 0 && rest[0].group == g {
			modes, rest = append(modes, rest[0]), rest[1:]
		}
		var rows, moved []float64
		for _, i := range c.feetOf[g] {
			n := c.feet[i].node
			if c.lifted[i] {
				continue
			}
			for k, a := range c.level {
				for _, m := range modes {
					rows = append(rows, m.at(c, n)[k])
				}
				moved = append(moved, c.x[3*int(n)+a])
			}
		}
		if len(modes) == 0 || len(moved) < len(modes) {
			continue
		}
		var by mat.VecDense
		err := by.SolveVec(mat.NewDense(len(moved), len(modes), rows), mat.NewVecDense(len(moved), moved))
		if err != nil { // feet in one spot do not tell a turn: leave it
			continue
		}
		for k := range modes {
			f.each(&modes[k], func(i int, v float64) { c.x[i] -= by.AtVec(k) * v })
		}
	}
}

// read turns the displacements under unit weight into the answer.
func (c *contact) read(m *mesh.Mesh, creep Creep) *Sag {
	scale := creep.sink()
	l := c.model.lattice
	s := &Sag{
		Method:   "solved",
		Elements: len(c.mg.levels[0].nodes),
		PitchMM:  math.Cbrt(l.BrickVolume()),
		Field:    c.field(c.x, scale),
	}
	s.Displacement = make([]r3.Vec, len(m.Vertices))
	for i, v := range m.Vertices {
		s.Displacement[i] = s.Field.At(v)
	}
	var at, moved []r3.Vec
	for n := range int32(len(c.mg.levels[0].place)) {
		p := c.position(n)
		if !c.onPart(n) {
			continue
		}
		u := r3.Scale(scale, c.vector(c.x, n))
		at, moved = append(at, p), append(moved, u)
		if -u.Z > s.MM {
			s.MM, s.At = -u.Z, p
		}
	}
	carries := make([]bool, len(c.model.rests))
	for i, foot := range c.feet {
		if c.lifted[i] {
			s.LiftMM = max(s.LiftMM, scale*c.x[3*int(foot.node)+c.up])
		} else {
			carries[foot.rest] = true
		}
	}
	s.LowMM, s.HighMM = s.MM*creep.LowPerPa/creep.CompliancePerPa, s.MM*creep.HighPerPa/creep.CompliancePerPa
	s.ResidualMM = shapeError(at, moved)
	s.SpanMM = newReach(c.model, func(rest int) bool { return carries[rest] }).spanMM(s.At)
	md := c.model
	s.pillars = sync.OnceValue(func() *pillars { return newPillars(md, func(rest int) bool { return carries[rest] }) })
	s.worst = sync.OnceValue(func() (w drooping) {
		for i, p := range at {
			if moved[i].Z < -w.droopMM {
				if d := s.DroopMM(p); d > w.droopMM {
					w = drooping{d, p}
				}
			}
		}
		return w
	})
	s.Collapses = s.SpanMM > 0 && s.MM > s.CollapseMM()
	return s
}

// CollapseMM is the sag from which a number means nothing but that it collapses.
func (s *Sag) CollapseMM() float64 { return collapseShare * s.SpanMM }

// onPart reports whether half a brick or more of the part is around a node, so
// that its displacement is one of the part and not of a shred at its rim.
func (c *contact) onPart(n int32) bool {
	var fill float32
	p := c.mg.levels[0].place[n]
	var corner [3]int
	for a, o := range c.order {
		corner[o] = int(p[a])
	}
	md := c.model
	nx, ny := md.lattice.N[0]+1, md.lattice.N[1]+1
	for _, b := range md.around((corner[2]*ny+corner[1])*nx + corner[0]) {
		fill += md.part[b]
	}
	return fill >= 0.5
}

// field gives displacements x, scaled.
func (c *contact) field(x []float64, scale float64) *Field {
	g := c.mg.levels[0].grid
	f := &Field{lattice: c.model.lattice, order: c.order, where: c.where, nodes: g.nodes, moved: make([]r3.Vec, len(g.place))}
	for n := range f.moved {
		f.moved[n] = r3.Scale(scale, c.vector(x, int32(n)))
	}
	return f
}
