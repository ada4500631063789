package furnace

import (
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// system is the equations of a model. Its own axes are the lattice's in another
// order, the one with most bricks last, so that layers across it are many and
// small.
type system struct {
	model *model
	order [3]int // order[a] is the lattice axis behind axis a
	up    int    // the axis behind which z is
	mg    *multigrid
	where *brickMap
	force []float64 // weight of metal of unit weight, mm3 on every displacement
	feet  []foot
	group []int32 // body of every node, by nodes shared; nil when there is one
	count int     // bodies
	// nodesOf and feetOf list the nodes and the feet of every body.
	nodesOf, feetOf [][]int32
}

// foot is a node that may be carried, and the model's rest it belongs to. A rest
// has more than one where bricks meet in an edge only.
type foot struct {
	node int32
	rest int
}

// newSystem sets the equations up.
func newSystem(md *model, poisson float64, c crew) (*system, error) {
	s := &system{model: md, order: [3]int{0, 1, 2}}
	l := md.lattice
	slices.SortStableFunc(s.order[:], func(a, b int) int { return l.N[a] - l.N[b] })
	s.up = slices.Index(s.order[:], 2)
	pitch := [3]float64{l.Pitch.X, l.Pitch.Y, l.Pitch.Z}
	var edge [3]float64
	for a, o := range s.order {
		edge[a] = pitch[o]
	}
	var err error
	solid := s.block(md.solid)
	if md.prop != nil {
		sheet := l.N[0] * l.N[1]
		solid.apart = func(a, b int) bool { return b-a != sheet && md.apart(a, b) }
	}
	if s.mg, s.where, err = newMultigrid(solid, edge, poisson, c); err != nil {
		return nil, err
	}
	s.weigh()
	s.findFeet()
	s.findGroups()
	return s, nil
}

// block shows shares in lattice order along the system's axes.
func (s *system) block(share []float32) *block {
	n := s.model.lattice.N
	stride := [3]int{1, n[0], n[0] * n[1]}
	b := &block{share: share}
	for a, o := range s.order {
		b.n[a], b.stride[a] = n[o], stride[o]
	}
	return b
}

// findFeet finds the nodes of the bricks that stand on the model's rests.
func (s *system) findFeet() {
	g := s.mg.levels[0].grid
	for r, rest := range s.model.rests {
		at := s.model.corner(rest.node)
		for c := range 4 { // the corner is corner c of the underside of a brick
			p := [3]int{at[0] - c&1, at[1] - c>>1, at[2]}
			brick := s.where.at(p[s.order[0]], p[s.order[1]], p[s.order[2]])
			if brick < 0 {
				continue
			}
			var corner int // the same in the system's axes
			for a, o := range s.order {
				corner |= c >> o & 1 << a
			}
			f := foot{g.nodes[brick][corner], r}
			if !slices.Contains(s.feet[max(len(s.feet)-3, 0):], f) {
				s.feet = append(s.feet, f)
			}
		}
	}
}

// vector gives the three components at node n of a vector over the nodes, in
// lattice axes.
func (s *system) vector(x []float64, n int32) r3.Vec {
	var v [3]float64
	for a, o := range s.order {
		v[o] = x[3*int(n)+a]
	}
	return r3.Vec{X: v[0], Y: v[1], Z: v[2]}
}

// position gives where node n is, mm.
func (s *system) position(n int32) r3.Vec {
	var v [3]float64
	for a, o := range s.order {
		v[o] = float64(s.mg.levels[0].place[n][a])
	}
	l := s.model.lattice
	return r3.Vec{X: l.Origin.X + v[0]*l.Pitch.X, Y: l.Origin.Y + v[1]*l.Pitch.Y, Z: l.Origin.Z + v[2]*l.Pitch.Z}
}

// weigh spreads the weight of every brick evenly over its nodes. The parabolas
// get none, as is usual: it would bend each brick within itself only.
func (s *system) weigh() {
	g := s.mg.levels[0].grid
	load := s.block(s.model.load)
	s.force = make([]float64, 3*len(g.place))
	volume := s.model.lattice.BrickVolume()
	for i, p := range g.cell {
		w := float64(load.at(int(p[0]), int(p[1]), int(p[2]))) * volume / corners
		for _, n := range g.nodes[i] {
			s.force[3*int(n)+s.up] -= w
		}
	}
}

// findGroups labels the nodes by the bodies they belong to.
func (s *system) findGroups() {
	g := s.mg.levels[0].grid
	f := newForest(len(g.place))
	for i := range g.nodes {
		for _, n := range g.nodes[i] {
			f.join(g.nodes[i][0], n)
		}
	}
	label := make([]int32, len(g.place))
	for n := range label {
		if r := f.root(int32(n)); r < int32(n) {
			label[n] = label[r]
		} else {
			label[n] = int32(s.count)
			s.count++
		}
	}
	if s.count > 1 {
		s.group = label
	}
	s.nodesOf = make([][]int32, s.count)
	for n, b := range label {
		s.nodesOf[b] = append(s.nodesOf[b], int32(n))
	}
	s.sortFeet()
}

// sortFeet lists the feet of every body.
func (s *system) sortFeet() {
	s.feetOf = make([][]int32, s.count)
	for i, foot := range s.feet {
		b := s.groupOf(foot.node)
		s.feetOf[b] = append(s.feetOf[b], int32(i))
	}
}

// on gives the same equations with other rests. The two share their memory: only one of
// them can be solved at a time.
func (s *system) on(rests []rest) *system {
	out, md := *s, *s.model
	md.rests, out.model, out.feet = rests, &md, nil
	out.findFeet()
	out.sortFeet()
	return &out
}

// groupOf gives the body of node n.
func (s *system) groupOf(n int32) int {
	if s.group == nil {
		return 0
	}
	return int(s.group[n])
}
