package furnace

import (
	"container/heap"
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// reach measures how far the solid at a place leans out over what carries it: the
// way through the solid to the nearest foot, of which only the level distance
// counts, from the place where the way left the pillar above the foot. Up a
// pillar costs nothing, out along an arm its length.
type reach struct {
	md     *model
	far    []float32 // mm, by brick; +Inf where nothing leads
	launch []int32   // the brick above a foot from which the way goes out
	root   []int32   // that foot, of rests
	open   wayHeap
}

// newReach finds the ways from the feet that carry.
func newReach(md *model, carries func(rest int) bool) *reach {
	n := len(md.solid)
	r := &reach{md: md, far: make([]float32, n), launch: make([]int32, n), root: make([]int32, n)}
	for i := range r.far {
		r.far[i] = float32(math.Inf(1))
	}
	for i, f := range md.rests {
		if !carries(i) {
			continue
		}
		for _, k := range md.around(f.node) {
			r.offer(k, 0, int32(k), int32(i))
		}
	}
	for len(r.open) > 0 {
		w := heap.Pop(&r.open).(way)
		if w.far <= r.far[w.brick] {
			r.goOn(w)
		}
	}
	return r
}

// offer notes a way to a brick if it is the shortest so far.
func (r *reach) offer(brick int, far float32, launch, root int32) {
	if r.md.solid[brick] <= 0 || far >= r.far[brick] {
		return
	}
	r.far[brick], r.launch[brick], r.root[brick] = far, launch, root
	heap.Push(&r.open, way{far, int32(brick)})
}

// goOn leads the way to the neighbours.
func (r *reach) goOn(w way) {
	l := r.md.lattice
	at := int(w.brick)
	i, j, k := at%l.N[0], at/l.N[0]%l.N[1], at/(l.N[0]*l.N[1])
	launch, root := r.launch[at], r.root[at]
	li, lj := int(launch)%l.N[0], int(launch)/l.N[0]%l.N[1]
	for dj := -1; dj <= 1; dj++ {
		for di := -1; di <= 1; di++ {
			a, b := i+di, j+dj
			if a < 0 || b < 0 || a >= l.N[0] || b >= l.N[1] || di == 0 && dj == 0 {
				continue
			}
			straight := float32(math.Hypot(float64(a-li)*l.Pitch.X, float64(b-lj)*l.Pitch.Y))
			r.offer(l.Index(a, b, k), max(w.far, straight), launch, root)
		}
	}
	if k > 0 {
		r.offer(at-l.N[0]*l.N[1], w.far, launch, root)
	}
	if k < l.N[2]-1 {
		r.offer(at+l.N[0]*l.N[1], w.far, launch, root)
	}
}

// spanMM gives the free span at a place: twice the reach where feet on two sides
// are about equally near, the place being in the middle of a bridge; else the
// reach itself, the place being out on an arm.
func (r *reach) spanMM(at r3.Vec) float64 {
	const around = 2 // bricks beside the place that are looked at
	l := r.md.lattice
	q := r3.Sub(at, l.Origin)
	best, least := -1, math.Inf(1)
	var roots []int32
	cell := [3]int{int(q.X / l.Pitch.X), int(q.Y / l.Pitch.Y), int(q.Z / l.Pitch.Z)}
	eachNear(cell, around, l.N, func(i, j, k int) {
		b := l.Index(i, j, k)
		if math.IsInf(float64(r.far[b]), 1) {
			return
		}
		roots = append(roots, r.root[b])
		if d := r3.Norm(r3.Sub(l.Center(i, j, k), at)); d < least {
			best, least = b, d
		}
	})
	if best < 0 {
		return 0
	}
	far := float64(r.far[best])
	for _, root := range roots {
		if r.apart(root, r.root[best]) > far {
			return 2 * far
		}
	}
	return far
}

// eachNear visits the places within reach of cell along each axis that are in a
// box of n bricks.
func eachNear(cell [3]int, reach int, n [3]int, visit func(i, j, k int)) {
	for k := max(cell[2]-reach, 0); k <= min(cell[2]+reach, n[2]-1); k++ {
		for j := max(cell[1]-reach, 0); j <= min(cell[1]+reach, n[1]-1); j++ {
			for i := max(cell[0]-reach, 0); i <= min(cell[0]+reach, n[0]-1); i++ {
				visit(i, j, k)
			}
		}
	}
}

// apart gives the level distance between two feet.
func (r *reach) apart(a, b int32) float64 {
	d := r3.Sub(r.md.node(r.md.rests[a].node), r.md.node(r.md.rests[b].node))
	return math.Hypot(d.X, d.Y)
}

// way is a brick reached, and how far the level part of the way to it is.
type way struct {
	far   float32
	brick int32
}

// wayHeap hands out the shortest way first (container/heap).
type wayHeap []way

func (h wayHeap) Len() int { return len(h) }
func (h wayHeap) Less(i, j int) bool {
	return h[i].far < h[j].far || h[i].far == h[j].far && h[i].brick < h[j].brick
}
func (h wayHeap) Swap(i, j int) { h[i], h[j] = h[j], h[i] }

// Push is part of heap.Interface.
func (h *wayHeap) Push(x any) { *h = append(*h, x.(way)) }

// Pop is part of heap.Interface.
func (h *wayHeap) Pop() any {
	old := *h
	w := old[len(old)-1]
	*h = old[:len(old)-1]
	return w
}
