package furnace

import (
	"container/heap"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
)

// pillars knows for every brick the foot that carries it: the one with the shortest way
// through the solid to it, of which only the level steps count. Straight above that foot
// stands the pillar.
type pillars struct {
	lattice mesh.Lattice
	foot    []int32 // the brick above the foot; -1 where nothing is carried
}

// newPillars finds the feet from those that carry.
func newPillars(md *model, carries func(rest int) bool) *pillars {
	p := &pillars{lattice: md.lattice, foot: make([]int32, len(md.solid))}
	far := make([]float32, len(md.solid))
	for i := range far {
		p.foot[i], far[i] = -1, float32(math.Inf(1))
	}
	var open wayHeap
	offer := func(brick int, far32 float32, foot int32) {
		if md.solid[brick] > 0 && far32 < far[brick] {
			far[brick], p.foot[brick] = far32, foot
			heap.Push(&open, way{far32, int32(brick)})
		}
	}
	for i, f := range md.rests {
		if carries(i) {
			for _, k := range md.around(f.node) {
				offer(k, 0, int32(k))
			}
		}
	}
	n, pitch := md.lattice.N, md.lattice.Pitch
	for len(open) > 0 {
		w := heap.Pop(&open).(way)
		if w.far > far[w.brick] {
			continue
		}
		at, foot := int(w.brick), p.foot[w.brick]
		i, j, k := at%n[0], at/n[0]%n[1], at/(n[0]*n[1])
		for _, s := range [6][3]int{{-1}, {1}, {0, -1}, {0, 1}, {0, 0, -1}, {0, 0, 1}} {
			a, b, c := i+s[0], j+s[1], k+s[2]
			if a >= 0 && b >= 0 && c >= 0 && a < n[0] && b < n[1] && c < n[2] {
				step := math.Abs(float64(s[0]))*pitch.X + math.Abs(float64(s[1]))*pitch.Y
				offer(md.lattice.Index(a, b, c), w.far+float32(step), foot)
			}
		}
	}
	return p
}

// beside gives the place in the pillar that carries the solid at a place, at the same
// height, or at the pillar's top where that is lower; false where nothing carries it.
func (p *pillars) beside(at r3.Vec) (r3.Vec, bool) {
	const around = 1 // bricks beside the place that are looked at
	l := p.lattice
	q := r3.Sub(at, l.Origin)
	cell := [3]int{int(math.Floor(q.X / l.Pitch.X)), int(math.Floor(q.Y / l.Pitch.Y)), int(math.Floor(q.Z / l.Pitch.Z))}
	foot, least := int32(-1), math.Inf(1)
	eachNear(cell, around, l.N, func(i, j, k int) {
		b := l.Index(i, j, k)
		if d := r3.Norm(r3.Sub(l.Center(i, j, k), at)); p.foot[b] >= 0 && d < least {
			foot, least = p.foot[b], d
		}
	})
	if foot < 0 {
		return r3.Vec{}, false
	}
	i, j, k := int(foot)%l.N[0], int(foot)/l.N[0]%l.N[1], int(foot)/(l.N[0]*l.N[1])
	for k+1 < l.N[2] && l.Origin.Z+float64(k+1)*l.Pitch.Z < at.Z && p.foot[l.Index(i, j, k+1)] >= 0 {
		k++
	}
	place := l.Center(i, j, k)
	place.Z = min(at.Z, l.Origin.Z+float64(k+1)*l.Pitch.Z)
	return place, true
}

// WorstDroop gives the largest droop of the part, mm, and where.
func (s *Sag) WorstDroop() (droopMM float64, at r3.Vec) {
	w := s.worst()
	return w.droopMM, w.at
}

// drooping is a place with its droop.
type drooping struct {
	droopMM float64
	at      r3.Vec
}

// DroopMM gives how far the part comes down at a place against the pillar that carries
// it, mm: what the pillar itself shortens does not count, since a prop beside it would
// not be shorter. Where nothing is known to carry the place it is all that it comes down.
func (s *Sag) DroopMM(at r3.Vec) float64 {
	down := -s.Field.At(at).Z
	if beside, ok := s.pillars().beside(at); ok {
		down += s.Field.At(beside).Z
	}
	return max(down, 0)
}
