package furnace

import (
	"context"
	"maps"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
)

// seatFill is the fill from which a brick counts as lying on a ceramic prop or
// as part of one.
const seatFill = 0.25

// rest is a corner of the lattice where the part lies on the setter or on a prop:
// there it may lift but not sink, or only as far as what is below gives way.
type rest struct {
	node int // see model.node
	// spring is how stiff a loose prop is under it for Young's modulus 1, mm; 0: it does
	// not give way. sink is what the prop comes down by itself under unit weight, mm2.
	spring, sink float64
	// friction is that of a prop that does not shrink with the part.
	friction float64
	onProp   bool
}

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

// seats gathers the undersides of bricks that lie on something, and the corners
// of them that do so themselves. Only these carry: a corner held beside the
// footprint would carry first where the part rocks over the edge, and make every
// span shorter than it is.
type seats struct {
	md    *model
	faces map[int]int  // by brick: 0 on the setter, else from 1 the prop that it lies on
	keep  map[int]bool // by corner
}

// findRests finds every corner that may be carried: by the setter and by ceramic
// props. foot is the part's footprint.
func (md *model) findRests(ctx context.Context, m *mesh.Mesh, foot []float32, props []Prop) error {
	s := seats{md, map[int]int{}, map[int]bool{}}
	if err := s.onSetter(ctx, m, foot); err != nil {
		return err
	}
	for i := range props {
		p := &props[i]
		if !p.grown() {
			if err := s.onTop(ctx, p.Shape, i+1); err != nil {
				return err
			}
			continue
		}
		foot, err := md.footprint(ctx, p.Shape)
		if err != nil {
			return err
		}
		if err := s.onSetter(ctx, p.Shape, foot); err != nil {
			return err
		}
	}
	md.rests = s.rests(props)
	return nil
}

// onSetter adds the bottom bricks that stand on the setter, and their corners
// over the footprint.
func (s *seats) onSetter(ctx context.Context, m *mesh.Mesh, foot []float32) error {
	if foot == nil {
		return nil
	}
	inside, err := underCorners(ctx, m, sole(s.md.lattice))
	if err != nil {
		return err
	}
	nx := s.md.lattice.N[0] + 1
	for i, f := range foot {
		if f <= 0 || s.md.solid[i] <= 0 {
			continue
		}
		s.faces[i] = 0
		for c, n := range s.under(i) {
			x, y := i%(nx-1)+c&1, i/(nx-1)+c>>1
			if inside[y*nx+x] > 0 {
				s.keep[n] = true
			}
		}
	}
	return nil
}

// onTop finds the bricks that sit on top of a prop that is ceramic or loose: the prop
// fills what is below them, and the part does not.
func (s *seats) onTop(ctx context.Context, prop *mesh.Mesh, number int) error {
	l := s.md.lattice
	sheet := l.N[0] * l.N[1]
	l.Origin.Z -= l.Pitch.Z // one layer more at the foot: what is below layer k
	l.N[2]++                // of the model is layer k here
	fill, err := underCorners(ctx, prop, l)
	if err != nil {
		return err
	}
	for i, f := range s.md.solid {
		if f < seatFill || i >= sheet && s.md.solid[i-sheet] >= seatFill {
			continue
		}
		for _, n := range s.under(i) {
			if fill[n] >= seatFill {
				s.faces[i] = number
				s.keep[n] = true
			}
		}
	}
	return nil
}

// rim is how far beside the footprint a corner may be, in bricks, and still carry.
// Corners that must be within make the foot end up to a brick early; 0.2 brings
// spun parts and discs on rings to where those that fit the grid are.
const rim = 0.2

// underCorners gives how far m fills the bricks of a lattice on the vertical
// lines through its corners, or through one of four points around each.
func underCorners(ctx context.Context, m *mesh.Mesh, l mesh.Lattice) ([]float32, error) {
	var most []float32
	for n := range 4 { // a little to either side along x and y
		c := l
		c.Origin.X += (-0.5 + rim*float64(2*(n&1)-1)) * l.Pitch.X
		c.Origin.Y += (-0.5 + rim*float64(2*(n>>1)-1)) * l.Pitch.Y
		c.N[0]++
		c.N[1]++
		v, err := m.Voxels(ctx, c, 1)
		if err != nil {
			return nil, err
		}
		if most == nil {
			most = v.Fill
		}
		for i, f := range v.Fill {
			most[i] = max(most[i], f)
		}
	}
	return most, nil
}

// sole gives the thin layer at the foot of a lattice that counts as resting on
// the setter.
func sole(l mesh.Lattice) mesh.Lattice {
	l.N[2], l.Pitch.Z = 1, restTolerance
	return l
}

// rests lists the corners that carry. A patch whose corners do not span an area,
// the line under a lying bar or a tip, is carried at all corners of its bricks:
// it must not turn into a hinge that the part does not have.
func (s *seats) rests(props []Prop) []rest {
	for _, bricks := range s.patches() {
		var feet []r2.Vec
		for _, brick := range bricks {
			for _, n := range s.under(brick) {
				if s.keep[n] {
					p := s.md.node(n)
					feet = append(feet, r2.Vec{X: p.X, Y: p.Y})
				}
			}
		}
		if len(mesh.Outline(feet)) > 2 {
			continue
		}
		for _, brick := range bricks {
			for _, n := range s.under(brick) {
				s.keep[n] = true
			}
		}
	}
	var out []rest
	for _, n := range slices.Sorted(maps.Keys(s.keep)) {
		if s.keep[n] {
			out = append(out, s.rest(n, props))
		}
	}
	return out
}

// rest gives what carries a corner, and how it gives way: a loose prop as the columns of
// its stiffness below the faces around the corner (H).
func (s *seats) rest(corner int, props []Prop) rest {
	out := rest{node: corner}
	area := 0.0
	number := 0
	for _, brick := range s.md.around(corner) {
		by, ok := s.faces[brick]
		if under := s.under(brick); !ok || !slices.Contains(under[:], corner) {
			continue
		}
		number, area = by, area+s.md.lattice.Pitch.X*s.md.lattice.Pitch.Y/4
	}
	if number == 0 {
		return out
	}
	p := &props[number-1]
	out.onProp, out.friction = true, p.Friction
	if high := s.md.node(corner).Z; p.Loose && high > 0 {
		out.spring = p.stiffness() * area / high
		out.sink = p.Density / p.stiffness() * high * high / 2
	}
	return out
}

// patches gives the faces in sets that hang together by corners.
func (s *seats) patches() [][]int {
	bricks := slices.Sorted(maps.Keys(s.faces))
	sets := newForest(len(bricks))
	first := map[int]int32{} // a face at every corner
	for i, brick := range bricks {
		for _, n := range s.under(brick) {
			if _, ok := first[n]; !ok {
				first[n] = int32(i)
			}
			sets.join(first[n], int32(i))
		}
	}
	number := map[int32]int{}
	var out [][]int
	for i, brick := range bricks {
		root := sets.root(int32(i))
		if _, ok := number[root]; !ok {
			number[root] = len(out)
			out = append(out, nil)
		}
		out[number[root]] = append(out[number[root]], brick)
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
