package support

import (
	"context"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
)

const (
	// openingBricks bounds the lattice on which the ways in are sought, and
	// bricksPerRadius is how fine it is where the bound allows.
	openingBricks   = 3_000_000
	bricksPerRadius = 4
	// openingWork is what a brick costs in all, in the steps of MostReachWork.
	openingWork = 8
	// widthLevels is in how many steps of width the ways in are told apart, up to
	// widestRadii cutter radii.
	widthLevels = 100
	widestRadii = 1.25
)

// openings says how wide the ways in from outside are.
type openings struct {
	lattice mesh.Lattice
	// clear is about how far the middle of each brick is from the part, mm; 0
	// inside the part.
	clear []float32
	// way is, for each brick, the radius of the widest ball that gets there from
	// outside, in levels of step mm, none wider than widthLevels.
	way    []uint8
	step   float64
	radius float64 // of the cutter
	pitch  float64
}

// newOpenings looks at the space in and around the part.
func (s *Site) newOpenings(ctx context.Context, radius float64) (*openings, error) {
	box := mesh.Box{Min: s.Stance.Lo, Max: s.Stance.Hi}
	o := &openings{radius: radius, step: widestRadii * radius / widthLevels}
	o.pitch = radius / bricksPerRadius
	var margin float64
	for range 32 { // the margin grows with the pitch
		margin = 2*widestRadii*radius + 4*o.pitch
		size := box.Size()
		bricks := (size.X + 2*margin) * (size.Y + 2*margin) * (size.Z + 2*margin) / (o.pitch * o.pitch * o.pitch)
		if bricks <= openingBricks {
			break
		}
		o.pitch *= 1.02 * max(math.Cbrt(bricks/openingBricks), 1)
	}
	m := r3.Vec{X: margin, Y: margin, Z: margin}
	o.lattice = mesh.LatticeOver(mesh.Box{Min: r3.Sub(box.Min, m), Max: r3.Add(box.Max, m)}, o.pitch)
	part := &mesh.Mesh{Vertices: s.Stance.Vertices, Facets: s.Stance.Facets}
	v, err := part.Voxels(ctx, o.lattice, 1)
	if err != nil {
		return nil, err
	}
	for i, f := range v.Fill {
		v.Fill[i] = 1 - f
	}
	o.clear = v.Depths()
	for i, d := range o.clear {
		o.clear[i] = float32(max(math.Sqrt(float64(d))-o.pitch/2, 0))
	}
	o.flood()
	return o, ctx.Err()
}

// flood follows the widest ways in from outside: bricks are taken up in falling
// order of how wide a ball got there, so that each is settled once.
func (o *openings) flood() {
	o.way = make([]uint8, len(o.clear))
	seen := make([]bool, len(o.clear))
	var queue [widthLevels + 1][]int32
	seed := o.seed()
	seen[seed] = true
	queue[widthLevels] = append(queue[widthLevels], int32(seed))
	for level := widthLevels; level > 0; level-- {
		for len(queue[level]) > 0 {
			last := len(queue[level]) - 1
			at := int(queue[level][last])
			queue[level] = queue[level][:last]
			o.way[at] = uint8(level)
			aroundBrick(o.lattice, at, func(next int) {
				if seen[next] {
					return
				}
				seen[next] = true
				l := min(level, int(float64(o.clear[next])/o.step))
				queue[l] = append(queue[l], int32(next))
			})
		}
	}
}

// seed is a brick in the open, half way between the part and the rim.
func (o *openings) seed() int {
	var c [3]int
	margin := widestRadii*o.radius + 2*o.pitch
	for a, p := range [3]float64{o.lattice.Pitch.X, o.lattice.Pitch.Y, o.lattice.Pitch.Z} {
		c[a] = min(int(margin/p), o.lattice.N[a]-1)
	}
	return o.lattice.Index(c[0], c[1], c[2])
}

// aroundBrick visits the bricks that share a face with the one at an index.
func aroundBrick(l mesh.Lattice, at int, visit func(next int)) {
	nx, ny, nz := l.N[0], l.N[1], l.N[2]
	i, j, k := at%nx, at/nx%ny, at/nx/ny
	if i > 0 {
		visit(at - 1)
	}
	if i < nx-1 {
		visit(at + 1)
	}
	if j > 0 {
		visit(at - nx)
	}
	if j < ny-1 {
		visit(at + nx)
	}
	if k > 0 {
		visit(at - nx*ny)
	}
	if k < nz-1 {
		visit(at + nx*ny)
	}
}

// brick gives the brick that holds p, and false outside the lattice.
func (o *openings) brick(p r3.Vec) (c [3]int, ok bool) {
	q := r3.Sub(p, o.lattice.Origin)
	ok = true
	for a, v := range [3]float64{q.X / o.lattice.Pitch.X, q.Y / o.lattice.Pitch.Y, q.Z / o.lattice.Pitch.Z} {
		c[a] = int(math.Floor(v))
		ok = ok && c[a] >= 0 && c[a] < o.lattice.N[a]
	}
	return c, ok
}

// nearest gives the place within so many mm of p that the widest ball reaches,
// among these the one farthest from the part, and the width, mm.
func (o *openings) nearest(p r3.Vec, within float64) (at r3.Vec, wayIn float64) {
	c, _ := o.brick(p)
	l := o.lattice
	var reach [3]int
	for a, v := range [3]float64{l.Pitch.X, l.Pitch.Y, l.Pitch.Z} {
		reach[a] = int(within/v + 0.5)
	}
	far := (within + o.pitch/2) * (within + o.pitch/2)
	best, bestClear := -1, float32(-1)
	at = p
	for k := max(c[2]-reach[2], 0); k <= min(c[2]+reach[2], l.N[2]-1); k++ {
		for j := max(c[1]-reach[1], 0); j <= min(c[1]+reach[1], l.N[1]-1); j++ {
			for i := max(c[0]-reach[0], 0); i <= min(c[0]+reach[0], l.N[0]-1); i++ {
				n := l.Index(i, j, k)
				way, clear := int(o.way[n]), o.clear[n]
				if way < best || way == best && clear <= bestClear {
					continue
				}
				if m := l.Center(i, j, k); r3.Norm2(r3.Sub(m, p)) <= far {
					best, bestClear, at = way, clear, m
				}
			}
		}
	}
	return at, 2 * o.step * float64(max(best, 0))
}

// narrow reports whether no ball of the cutter's diameter gets to p, within what
// the lattice tells, and how wide the way there is.
func (o *openings) narrow(p r3.Vec) (wayIn float64, narrow bool) {
	enough := o.radius - o.pitch/2
	if c, ok := o.brick(p); ok { // most are open to it where they are
		if w := o.step * float64(o.way[o.lattice.Index(c[0], c[1], c[2])]); w >= enough {
			return 2 * w, false
		}
	}
	_, wayIn = o.nearest(p, o.radius)
	return wayIn, wayIn/2 < enough
}
