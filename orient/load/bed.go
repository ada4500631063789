package load

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// finest is how many squares the longer side of a bed has.
const finest = 250

// safe is what is kept beyond the gap for rounding, mm.
const safe = 1e-5

// bed is a bed that is being filled, from its lower left corner upward.
type bed struct {
	size   r2.Vec
	gap    float64
	grid   *raster
	pieces []laid
	area   float64
	// from is the row from which on a stamp may find a place; lower ones had none.
	from map[*turned]int
}

// laid is one part in its place.
type laid struct {
	placed  Placement
	outline Outline // in its place
	box     Box
}

// turned is a part at one turn about Z.
type turned struct {
	deg   float64
	edges Outline
	box   Box
	stamp stamp
}

func newBed(size r2.Vec, gap, pitch float64) *bed {
	half := gap / 2
	corner := r2.Vec{X: -size.X/2 - half, Y: -size.Y/2 - half}
	count := func(v float64) int { return int(math.Ceil((v+gap)/pitch)) + 1 }
	return &bed{size: size, gap: gap, grid: newRaster(corner, pitch, count(size.X), count(size.Y)), from: map[*turned]int{}}
}

func turnOf(o Outline, deg, gap, pitch float64) *turned {
	t := &turned{deg: deg, edges: o.Placed(deg, r2.Vec{})}
	t.box = t.edges.Bounds()
	t.stamp = stampOf(t.edges.Edges, gap/2, pitch)
	return t
}

// find gives the lowest and then leftmost place for a part at a turn that the raster
// knows.
func (b *bed) find(t *turned, room *scratch) (to r2.Vec, ok bool) {
	most := func(space, takes float64) int { return int(math.Floor((space-takes)/b.grid.pitch + 1e-9)) }
	size := t.box.Size()
	if size.X > b.size.X+1e-9 || size.Y > b.size.Y+1e-9 {
		return to, false
	}
	x, y, ok := b.grid.firstFree(&t.stamp, b.from[t], most(b.size.X, size.X), most(b.size.Y, size.Y), room)
	if !ok {
		b.from[t] = b.grid.ny
		return to, false
	}
	b.from[t] = y
	corner := r2.Vec{X: -b.size.X/2 + float64(x)*b.grid.pitch, Y: -b.size.Y/2 + float64(y)*b.grid.pitch}
	return r2.Sub(corner, t.box.Min), true
}

// settle slides a part from where the raster has it down and to the left until it
// touches, where that keeps it clear.
func (b *bed) settle(t *turned, to r2.Vec) r2.Vec {
	const rounds = 3
	now := to
	for range rounds {
		before := now
		for _, way := range [2]r2.Vec{{Y: -1}, {X: -1}} {
			now = r2.Add(now, r2.Scale(b.slide(t, now, way), way))
		}
		if r2.Norm(r2.Sub(before, now)) < 1e-3 {
			break
		}
	}
	if now != to && !b.clear(t.edges.Placed(0, now)) {
		return to
	}
	return now
}

// slide gives how far a part can be moved along an axis, downward.
func (b *bed) slide(t *turned, at, way r2.Vec) float64 {
	edges := t.edges.Placed(0, at)
	box := Box{r2.Add(t.box.Min, at), r2.Add(t.box.Max, at)}
	free := min(4*b.grid.pitch, max(-r2.Dot(way, r2.Add(box.Min, r2.Scale(0.5, b.size))), 0))
	for i := range b.pieces {
		if apart(box, b.pieces[i].box) <= b.gap+free {
			free = min(free, reachAlong(edges.Edges, b.pieces[i].outline.Edges, way, b.gap, free))
		}
	}
	return free
}

// clear reports whether an outline lies on the bed and keeps the gap to all that are
// there, exactly.
func (b *bed) clear(o Outline) bool {
	box := o.Bounds()
	half := r2.Scale(0.5, b.size)
	const rounding = 1e-6
	if box.Min.X < -half.X-rounding || box.Min.Y < -half.Y-rounding || box.Max.X > half.X+rounding || box.Max.Y > half.Y+rounding {
		return false
	}
	for i := range b.pieces {
		if apart(box, b.pieces[i].box) < b.gap && Clearance(o, b.pieces[i].outline, b.gap) < b.gap-safe/2 {
			return false
		}
	}
	return true
}

// put takes a part into its place.
func (b *bed) put(kind int, t *turned, to r2.Vec) {
	o := t.edges.Placed(0, to)
	b.pieces = append(b.pieces, laid{Placement{Kind: kind, TurnDeg: t.deg, At: to}, o, o.Bounds()})
	b.grid.draw(o.Edges, b.gap/2)
	b.area += o.Area()
}
