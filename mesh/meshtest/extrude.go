package meshtest

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
)

// Loop is a closed polygon, its corners in order; which way round does not matter.
type Loop [][2]float64

// Rectangle gives the loop of a rectangle with its least corner at x, y.
func Rectangle(x, y, width, height float64) Loop {
	return Loop{{x, y}, {x + width, y}, {x + width, y + height}, {x, y + height}}
}

// Circle gives the loop of n corners on a circle.
func Circle(x, y, radius float64, n int) Loop { return Arc(x, y, radius, 0, 360, n)[:n] }

// Arc gives n+1 corners on a circle between two angles in degrees, part of a loop.
func Arc(x, y, radius, from, to float64, n int) Loop {
	l := make(Loop, n+1)
	for i := range l {
		sin, cos := math.Sincos((from + (to-from)*float64(i)/float64(n)) * math.Pi / 180)
		l[i] = [2]float64{x + radius*cos, y + radius*sin}
	}
	return l
}

// area is positive for a loop that runs counter-clockwise.
func (l Loop) area() float64 {
	var sum float64
	for i, p := range l {
		q := l[(i+1)%len(l)]
		sum += p[0]*q[1] - q[0]*p[1]
	}
	return sum / 2
}

// turning gives the loop counter-clockwise, or clockwise.
func (l Loop) turning(counter bool) Loop {
	l = slices.Clone(l)
	if (l.area() > 0) != counter {
		slices.Reverse(l)
	}
	return l
}

// Extrude gives the prism over an outline with holes, from z = 0 to height. The
// holes lie inside the outline and apart from each other.
func Extrude(outline Loop, height float64, holes ...Loop) *mesh.Mesh {
	loops := []Loop{outline.turning(true)}
	for _, h := range holes {
		loops = append(loops, h.turning(false))
	}
	var flat Loop
	for _, l := range loops {
		flat = append(flat, l...)
	}
	n := int32(len(flat))
	m := &mesh.Mesh{}
	for _, z := range []float64{0, height} {
		for _, p := range flat {
			m.Vertices = append(m.Vertices, r3.Vec{X: p[0], Y: p[1], Z: z})
		}
	}
	for _, t := range fill(loops) {
		m.Facets = append(m.Facets, [3]int32{t[0], t[2], t[1]}, [3]int32{t[0] + n, t[1] + n, t[2] + n})
	}
	first := int32(0)
	for _, l := range loops {
		for i := range l {
			a, b := first+int32(i), first+int32((i+1)%len(l))
			m.Facets = append(m.Facets, [3]int32{a, b, b + n}, [3]int32{a, b + n, a + n})
		}
		first += int32(len(l))
	}
	return m
}

// fill divides the area between the first loop, counter-clockwise, and the others,
// clockwise, into triangles; corners are numbered through all loops.
func fill(loops []Loop) [][3]int32 {
	var at Loop
	var rings [][]int32
	for _, l := range loops {
		var ring []int32
		for i := range l {
			ring = append(ring, int32(len(at)+i))
		}
		rings, at = append(rings, ring), append(at, l...)
	}
	return clip(at, cutOpen(at, rings))
}

// cutOpen makes one ring of all by cutting from each hole to the ring around it,
// the holes farthest along x first, so that no cut crosses another hole.
func cutOpen(at Loop, rings [][]int32) []int32 {
	farthest := func(ring []int32) int {
		best := 0
		for i, v := range ring {
			if at[v][0] > at[ring[best]][0] {
				best = i
			}
		}
		return best
	}
	holes := slices.Clone(rings[1:])
	slices.SortFunc(holes, func(a, b []int32) int {
		if at[a[farthest(a)]][0] > at[b[farthest(b)]][0] {
			return -1
		}
		return 1
	})
	ring := slices.Clone(rings[0])
	for k, h := range holes {
		start := farthest(h)
		h = slices.Concat(h[start:], h[:start])
		to := nearestSeen(at, ring, h[0], append(slices.Clone(holes[k:]), ring))
		ring = slices.Concat(ring[:to+1], h, h[:1], ring[to:])
	}
	return ring
}

// nearestSeen gives the place in the ring of the nearest corner that the cut from
// corner v reaches without crossing any edge.
func nearestSeen(at Loop, ring []int32, v int32, edges [][]int32) int {
	best, least := -1, math.Inf(1)
	for i, w := range ring {
		d := math.Hypot(at[v][0]-at[w][0], at[v][1]-at[w][1])
		if d < least && opensInward(at, ring, i, v) && !crossesAny(at, v, w, edges) {
			best, least = i, d
		}
	}
	return best
}

// opensInward reports whether v lies within the angle of the ring at place i, which
// tells apart the two copies of a corner where the ring was cut before.
func opensInward(at Loop, ring []int32, i int, v int32) bool {
	n := len(ring)
	before, here, after := at[ring[(i+n-1)%n]], at[ring[i]], at[ring[(i+1)%n]]
	if turn(before, here, after) >= 0 {
		return turn(before, here, at[v]) > 0 && turn(here, after, at[v]) > 0
	}
	return turn(before, here, at[v]) > 0 || turn(here, after, at[v]) > 0
}

func crossesAny(at Loop, v, w int32, rings [][]int32) bool {
	for _, ring := range rings {
		for i, a := range ring {
			b := ring[(i+1)%len(ring)]
			if a == v || a == w || b == v || b == w {
				continue
			}
			if turn(at[v], at[w], at[a])*turn(at[v], at[w], at[b]) <= 0 && turn(at[a], at[b], at[v])*turn(at[a], at[b], at[w]) <= 0 {
				return true
			}
		}
	}
	return false
}

// turn is positive where a, b, c turn left: twice their area.
func turn(a, b, c [2]float64) float64 {
	return (b[0]-a[0])*(c[1]-a[1]) - (b[1]-a[1])*(c[0]-a[0])
}

// clip cuts ears off a ring that runs counter-clockwise until nothing is left, the
// bluntest ear first.
func clip(at Loop, ring []int32) [][3]int32 {
	var out [][3]int32
	for len(ring) > 3 {
		best, fattest := -1, 0.0
		for i := range ring {
			if f := fatness(at, ring, i); f > fattest && isEar(at, ring, i) {
				best, fattest = i, f
			}
		}
		if best < 0 {
			panic("meshtest: the loops cross")
		}
		n := len(ring)
		out = append(out, [3]int32{ring[(best+n-1)%n], ring[best], ring[(best+1)%n]})
		ring = slices.Delete(ring, best, best+1)
	}
	return append(out, [3]int32(ring))
}

// fatness is the height of the ear at place i over its longest side; not above zero
// where the ring turns right.
func fatness(at Loop, ring []int32, i int) float64 {
	n := len(ring)
	a, b, c := at[ring[(i+n-1)%n]], at[ring[i]], at[ring[(i+1)%n]]
	longest := max(math.Hypot(a[0]-b[0], a[1]-b[1]), math.Hypot(b[0]-c[0], b[1]-c[1]), math.Hypot(c[0]-a[0], c[1]-a[1]))
	f := turn(a, b, c) / (longest * longest)
	if f < 1e-9 {
		return 0
	}
	return f
}

// isEar reports whether no corner of the ring lies in the ear at place i.
func isEar(at Loop, ring []int32, i int) bool {
	n := len(ring)
	a, b, c := at[ring[(i+n-1)%n]], at[ring[i]], at[ring[(i+1)%n]]
	return !slices.ContainsFunc(ring, func(v int32) bool {
		p := at[v]
		return p != a && p != b && p != c && turn(a, b, p) >= 0 && turn(b, c, p) >= 0 && turn(c, a, p) >= 0
	})
}
