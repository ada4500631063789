package furnace

import (
	"context"
	"maps"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
)

// rest is a corner of the lattice where the part lies on the setter or on a
// ceramic prop: there it may lift but not sink.
type rest struct {
	node  int     // see model.node
	share float32 // of the area around the corner that lies on
}

const (
	// restShare is the share of the four brick faces around a corner that must
	// lie on for the corner to be carried: the corner of a footprint has a
	// quarter, the rest is for footprints that run across the bricks.
	restShare = 0.2
	// seatFill is the fill from which a brick counts as lying on a ceramic prop
	// or as part of one.
	seatFill = 0.25
)

// node gives the position of lattice corner number i; corners are numbered like
// bricks, with one more along each axis.
func (md *model) node(i int) r3.Vec {
	l := md.lattice
	p := md.corner(i)
	return r3.Vec{
		X: l.Origin.X + float64(p[0])*l.Pitch.X,
		Y: l.Origin.Y + float64(p[1])*l.Pitch.Y,
		Z: l.Origin.Z + float64(p[2])*l.Pitch.Z,
	}
}

// corner gives the place of lattice corner i in bricks.
func (md *model) corner(i int) [3]int {
	nx, ny := md.lattice.N[0]+1, md.lattice.N[1]+1
	return [3]int{i % nx, i / nx % ny, i / (nx * ny)}
}

// around lists the bricks that meet in lattice corner i.
func (md *model) around(i int) []int {
	p, n := md.corner(i), md.lattice.N
	bricks := make([]int, 0, corners)
	for c := range corners {
		q := [3]int{p[0] - c&1, p[1] - c>>1&1, p[2] - c>>2}
		if q[0] >= 0 && q[1] >= 0 && q[2] >= 0 && q[0] < n[0] && q[1] < n[1] && q[2] < n[2] {
			bricks = append(bricks, md.lattice.Index(q[0], q[1], q[2]))
		}
	}
	return bricks
}

// seats gathers the undersides of bricks that lie on something.
type seats struct {
	md    *model
	faces map[int]float32 // by brick
}

// findRests finds every corner that may be carried: by the setter and by ceramic
// props. foot is the part's footprint.
func (md *model) findRests(ctx context.Context, foot []float32, props []Prop) error {
	s := seats{md, map[int]float32{}}
	s.onSetter(foot)
	for i := range props {
		p := &props[i]
		if p.Ceramic {
			if err := s.onCeramic(ctx, p.Shape); err != nil {
				return err
			}
			continue
		}
		foot, err := md.footprint(ctx, p.Shape)
		if err != nil {
			return err
		}
		s.onSetter(foot)
	}
	md.rests = s.rests()
	return nil
}

// onSetter adds the bottom bricks that stand on the setter.
func (s *seats) onSetter(foot []float32) {
	for i, f := range foot {
		if f > 0 && s.md.solid[i] > 0 {
			s.faces[i] = max(s.faces[i], f)
		}
	}
}

// footprint gives for every bottom brick the share of its face where m comes
// within the tolerance of the setter: one thin layer of bricks, filled. Bricks
// that only a tip reaches, between the lines, get a trifle.
func (md *model) footprint(ctx context.Context, m *mesh.Mesh) ([]float32, error) {
	l := md.lattice
	if l.Origin.Z > restTolerance {
		return nil, nil
	}
	l.N[2], l.Pitch.Z = 1, restTolerance
	v, err := m.Voxels(ctx, l, linesPerBrick)
	if err != nil {
		return nil, err
	}
	for i := range m.Facets {
		a, b, c := m.Corners(i)
		for _, p := range [3]r3.Vec{a, b, c} {
			if p.Z <= restTolerance {
				md.touchDown(v, p)
			}
		}
	}
	return v.Fill, nil
}

// touchDown gives a trifle of footprint to the brick above point p of the
// setter, unless a brick that has p in its face, or on its rim, has some already.
func (md *model) touchDown(foot *mesh.Voxels, p r3.Vec) {
	const trifle, rim = 1e-6, 1e-6
	l := foot.Lattice
	u, v := (p.X-l.Origin.X)/l.Pitch.X, (p.Y-l.Origin.Y)/l.Pitch.Y
	best := -1
	for _, i := range [2]int{int(math.Floor(u - rim)), int(math.Floor(u + rim))} {
		for _, j := range [2]int{int(math.Floor(v - rim)), int(math.Floor(v + rim))} {
			if i < 0 || j < 0 || i >= l.N[0] || j >= l.N[1] {
				continue
			}
			at := l.Index(i, j, 0)
			if foot.Fill[at] > 0 {
				return
			}
			if best < 0 || md.solid[at] > md.solid[best] {
				best = at
			}
		}
	}
	if best >= 0 {
		foot.Fill[best] = trifle
	}
}

// onCeramic finds the bricks that sit on top of a ceramic prop: the prop fills
// the brick below them, and the part does not.
func (s *seats) onCeramic(ctx context.Context, prop *mesh.Mesh) error {
	l := s.md.lattice
	sheet := l.N[0] * l.N[1]
	l.Origin.Z -= l.Pitch.Z // one layer more at the foot:
	l.N[2]++                // brick i of this lattice is below brick i of the model
	v, err := prop.Voxels(ctx, l, 1)
	if err != nil {
		return err
	}
	for i, f := range s.md.solid {
		if f < seatFill || v.Fill[i] < seatFill {
			continue
		}
		if i < sheet || s.md.solid[i-sheet] < seatFill {
			s.faces[i] = 1
		}
	}
	return nil
}

// rests turns faces into corners. A small patch that carries no corner by its
// share, a point or a tip, is carried at all corners of its bricks.
func (s *seats) rests() []rest {
	bricks := slices.Sorted(maps.Keys(s.faces))
	shares := map[int]float32{}
	for _, brick := range bricks {
		for _, n := range s.under(brick) {
			shares[n] += s.faces[brick] / 4
		}
	}
	keep := map[int]bool{}
	for _, brick := range bricks {
		c := s.under(brick)
		small := true
		for _, n := range c {
			keep[n] = keep[n] || shares[n] >= restShare
			small = small && shares[n] < restShare
		}
		for _, n := range c {
			keep[n] = keep[n] || small
		}
	}
	var out []rest
	for _, n := range slices.Sorted(maps.Keys(keep)) {
		if keep[n] {
			out = append(out, rest{n, shares[n]})
		}
	}
	return out
}

// under gives the four corners of the underside of a brick.
func (s *seats) under(brick int) [4]int {
	n := s.md.lattice.N
	i, j, k := brick%n[0], brick/n[0]%n[1], brick/(n[0]*n[1])
	first := (k*(n[1]+1)+j)*(n[0]+1) + i
	return [4]int{first, first + 1, first + n[0] + 1, first + n[0] + 2}
}
