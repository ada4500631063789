package load

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/spatial/r2"
)

// Parts with few, straight edges are also tried by contact: an edge is laid along one that
// stands already, or along the rim of the bed, corner to corner, and of all parts and
// places the one is taken that touches most of its outline. So pieces that belong together
// find each other.

const (
	// mostContactEdges is up to how many edges in all, and mostOutlineEdges in one outline,
	// parts are tried by contact (judgement: some tenths of a second a trial).
	mostContactEdges, mostOutlineEdges = 700, 16
	// flush is how far off its line an edge still touches, mm, and upright how far off its
	// direction, as a sine.
	flush, upright = 0.02, 0.002
)

// byContact reports whether a request can be tried by contact.
func (q *Request) byContact() bool {
	edges := 0
	for _, k := range q.Kinds {
		if len(k.Outline.Edges) > mostOutlineEdges {
			return false
		}
		edges += k.Copies * len(k.Outline.Edges)
	}
	return edges > 0 && edges <= mostContactEdges
}

// touch is a place of a part along something that stands already.
type touch struct {
	kind    int
	t       *turned
	at      r2.Vec
	outline Outline
	box     Box
	share   float64 // of its outline that touches
}

// jigsaw is the work of filling one bed by contact.
type jigsaw struct {
	f       *filling
	b       *bed
	bed     int
	targets []Edge // what stands, and the rim, what is taken on their left
	open    []touch
	left    []int
	turns   map[jigsawTurn]*turned
}

type jigsawTurn struct {
	kind  int
	turns int64 // thousandths of a degree
}

// inContact sets what it can of the copies left, bed by bed; large is how much large parts
// are preferred, r breaks ties where it is not nil.
func (f *filling) inContact(left []int, large float64, r *rand.Rand) {
	turns := map[jigsawTurn]*turned{}
	for f.open() {
		j := &jigsaw{f: f, b: f.beds[len(f.beds)-1], bed: len(f.beds) - 1, left: left, turns: turns}
		j.addTargets(rim4(j.b.size), true)
		for j.step(large, r) {
		}
		for k := range left { // what the corners left over
			for left[k] > 0 && f.carries(j.bed, k) && f.setOn(j.bed, k) {
				left[k]--
			}
		}
		if len(j.b.pieces) == 0 {
			f.beds = f.beds[:j.bed]
			return
		}
		rest := 0
		for _, n := range left {
			rest += n
		}
		if rest == 0 {
			return
		}
	}
}

// rim4 gives the rim of a bed, clockwise: what is outside lies on the left.
func rim4(size r2.Vec) []Edge {
	x, y := size.X/2, size.Y/2
	a, b, c, d := r2.Vec{X: -x, Y: -y}, r2.Vec{X: -x, Y: y}, r2.Vec{X: x, Y: y}, r2.Vec{X: x, Y: -y}
	return []Edge{{a, b}, {b, c}, {c, d}, {d, a}}
}

// step sets the part that touches best; false where none has a place.
func (j *jigsaw) step(large float64, r *rand.Rand) bool {
	best, most := -1, 0.0
	for i := range j.open {
		p := &j.open[i]
		if j.left[p.kind] == 0 || !j.f.carries(j.bed, p.kind) {
			continue
		}
		worth := p.share + large*math.Sqrt(j.f.w.share(p.kind))
		if r != nil {
			worth += 0.15 * r.Float64()
		}
		if worth > most+1e-9 {
			best, most = i, worth
		}
	}
	if best < 0 {
		return false
	}
	p := j.open[best]
	j.b.put(p.kind, p.t, p.at)
	j.left[p.kind]--
	j.f.runs[j.bed/j.f.runBeds()] += j.f.w.q.Kinds[p.kind].MassG
	j.close(&p)
	j.addTargets(p.outline.Edges, false)
	return true
}

// share is how large a part is beside the largest.
func (w *workshop) share(kind int) float64 {
	largest := 0.0
	for k := range w.q.Kinds {
		largest = max(largest, w.q.Kinds[k].Outline.Area())
	}
	return w.q.Kinds[kind].Outline.Area() / max(largest, 1e-9)
}

// close leaves out the places that are taken now and counts what the part just set adds to
// the others.
func (j *jigsaw) close(set *touch) {
	open := j.open[:0]
	for _, p := range j.open {
		if j.left[p.kind] == 0 {
			continue
		}
		if apart(p.box, set.box) < j.b.gap+flush {
			if Clearance(p.outline, set.outline, j.b.gap) < j.b.gap-safe/2 {
				continue
			}
			p.share += contact(p.outline.Edges, set.outline.Edges, j.b.gap) / length(p.outline.Edges)
		}
		open = append(open, p)
	}
	j.open = open
}

// addTargets finds the places along new edges.
func (j *jigsaw) addTargets(edges []Edge, rim bool) {
	j.targets = append(j.targets, edges...)
	gap := j.b.gap
	if rim {
		gap = 0
	}
	for _, t := range edges {
		way := r2.Unit(r2.Sub(t.B, t.A))
		off := r2.Scale(gap, r2.Vec{X: way.Y, Y: -way.X})
		for k, n := range j.left {
			if n == 0 {
				continue
			}
			for _, e := range j.f.w.q.Kinds[k].Outline.Edges {
				d := r2.Sub(e.B, e.A)
				turn := (math.Atan2(way.Y, way.X) - math.Atan2(d.Y, d.X)) * 180 / math.Pi
				turned := j.turn(k, turn+180)
				sin, cos := sincosDeg(turned.deg)
				at := func(p, to r2.Vec) r2.Vec {
					return r2.Sub(r2.Add(to, off), r2.Vec{X: cos*p.X - sin*p.Y, Y: sin*p.X + cos*p.Y})
				}
				j.try(k, turned, at(e.A, t.B))
				j.try(k, turned, at(e.B, t.A))
			}
		}
	}
}

// turn gives a part at a turn, which many places share.
func (j *jigsaw) turn(kind int, deg float64) *turned {
	deg = math.Mod(math.Mod(deg, 360)+360, 360)
	if nearest := 90 * math.Round(deg/90); math.Abs(deg-nearest) < 1e-9 {
		deg = nearest
	}
	key := jigsawTurn{kind, int64(math.Round(deg * 1e9))}
	if t, ok := j.turns[key]; ok {
		return t
	}
	t := &turned{deg: deg, edges: j.f.w.q.Kinds[kind].Outline.Placed(deg, r2.Vec{})}
	t.box = t.edges.Bounds()
	j.turns[key] = t
	return t
}

// try keeps a place where the part is clear of everything.
func (j *jigsaw) try(kind int, t *turned, at r2.Vec) {
	box := Box{r2.Add(t.box.Min, at), r2.Add(t.box.Max, at)}
	half := r2.Scale(0.5, j.b.size)
	const rounding = 1e-7
	if box.Min.X < -half.X-rounding || box.Min.Y < -half.Y-rounding || box.Max.X > half.X+rounding || box.Max.Y > half.Y+rounding {
		return
	}
	o := t.edges.Placed(0, at)
	if !j.b.clear(o) {
		return
	}
	touches := contact(o.Edges, rim4(j.b.size), 0)
	for i := range j.b.pieces {
		if apart(box, j.b.pieces[i].box) < j.b.gap+flush {
			touches += contact(o.Edges, j.b.pieces[i].outline.Edges, j.b.gap)
		}
	}
	j.open = append(j.open, touch{kind, t, at, o, box, touches / length(o.Edges)})
}

// contact gives how much of two outlines runs along one another, gap apart.
func contact(a, b []Edge, gap float64) float64 {
	sum := 0.0
	for i := range a {
		d := r2.Sub(a[i].B, a[i].A)
		long := r2.Norm(d)
		way := r2.Scale(1/long, d)
		for k := range b {
			o := r2.Sub(b[k].B, b[k].A)
			if r2.Dot(way, o) >= 0 || math.Abs(r2.Cross(way, o)) > upright*r2.Norm(o) {
				continue
			}
			middle := r2.Sub(r2.Scale(0.5, r2.Add(b[k].A, b[k].B)), a[i].A)
			if math.Abs(math.Abs(r2.Cross(way, middle))-gap) > flush {
				continue
			}
			from, to := r2.Dot(way, r2.Sub(b[k].B, a[i].A)), r2.Dot(way, r2.Sub(b[k].A, a[i].A))
			sum += max(min(to, long)-max(from, 0), 0)
		}
	}
	return sum
}

func length(edges []Edge) float64 {
	sum := 0.0
	for _, e := range edges {
		sum += r2.Norm(r2.Sub(e.B, e.A))
	}
	return sum
}
