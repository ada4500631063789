package mesh

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// shell is a unit of the surface: a piece that bounds something by itself.
type shell struct {
	group   int32 // those that hang together over shared edges have the same
	facets  int
	probes  [3]int32 // facets to look out from: the first, the largest, the last
	largest float64  // area of the largest, mm2
	closed  bool
	volume  float64 // mm3, signed: negative where the facets face inward
	vector  r3.Vec  // sum of the area vectors, mm2: zero where closed
	moment  r3.Vec  // sum of area times place, mm3
	area    float64 // mm2
	box     Box

	within []int32 // closed shells that it lies inside of
	turn   bool    // to be turned over as a whole
	kind   shellKind
}

// shellKind is what a shell is to the part.
type shellKind uint8

const (
	openShell   shellKind = iota
	bodyShell             // outward, in the open or in a cavity
	nestedShell           // outward, within the solid of another
	cavityShell           // inward, bounding a void within the solid
)

// shellSurvey is all shells of a mesh.
type shellSurvey struct {
	mesh *Mesh
	of   []int32 // by facet, -1 for collapsed ones
	list []shell
	// unsure says that there were too many to look into all of them.
	unsure bool
}

// surveyShells measures the shells of a mesh without collapsed facets whose
// patches have been made to face one way each.
func surveyShells(t *Topology, p *patches) *shellSurvey {
	byPatch, n := p.units(t)
	group, _ := p.shells(t)
	s := &shellSurvey{mesh: t.mesh, of: make([]int32, len(p.of)), list: make([]shell, n)}
	for i := range s.list {
		s.list[i].box, s.list[i].closed = emptyBox(), true
	}
	for patch, q := range byPatch {
		s.list[q].group = group[patch]
	}
	origin := t.mesh.Bounds().Center()
	for i, q := range p.of {
		s.of[i] = -1
		if q >= 0 {
			s.of[i] = byPatch[q]
			s.list[byPatch[q]].take(t.mesh, int32(i), origin)
		}
	}
	s.markOpen(t)
	for i := range s.list {
		// The volume of an open shell depends on where it is measured from; from
		// the middle of its surface, a flat one has none.
		if a := &s.list[i]; !a.closed && a.area > 0 {
			middle := r3.Scale(1/a.area, a.moment)
			a.volume -= r3.Dot(r3.Sub(middle, origin), a.vector) / 3
		}
	}
	return s
}

// take adds one facet to the measures.
func (s *shell) take(m *Mesh, facet int32, origin r3.Vec) {
	a, b, c := m.Corners(int(facet))
	s.box.take(&a)
	s.box.take(&b)
	s.box.take(&c)
	n := r3.Scale(0.5, r3.Cross(r3.Sub(b, a), r3.Sub(c, a)))
	area := math.Sqrt(r3.Norm2(n))
	s.area += area
	s.volume += r3.Dot(n, r3.Sub(a, origin)) / 3
	s.vector = r3.Add(s.vector, n)
	s.moment = r3.Add(s.moment, r3.Scale(area/3, r3.Add(a, r3.Add(b, c))))
	if s.facets == 0 {
		s.probes[0] = facet
	}
	if area >= s.largest {
		s.largest, s.probes[1] = area, facet
	}
	s.probes[2] = facet
	s.facets++
}

// signedVolume gives the volume of m by the divergence theorem, mm3, measured
// from origin.
func signedVolume(m *Mesh, origin r3.Vec) float64 {
	var six float64
	for i := range m.Facets {
		a, b, c := m.Corners(i)
		a, b, c = r3.Sub(a, origin), r3.Sub(b, origin), r3.Sub(c, origin)
		six += r3.Dot(a, r3.Cross(b, c))
	}
	return six / 6
}

// markOpen finds the shells with edges on which their own sides do not cancel.
func (s *shellSurvey) markOpen(t *Topology) {
	t.eachEdge(func(side int) {
		if twin, ok := t.Twin(side); ok {
			if !t.Agrees(side, twin) {
				s.list[s.of[side/3]].closed = false
			}
			return
		}
		balance := map[int32]int{}
		t.Around(side, func(other int) {
			if t.Agrees(side, other) {
				balance[s.of[other/3]]--
			} else {
				balance[s.of[other/3]]++
			}
		})
		for q, n := range balance {
			if n != 0 {
				s.list[q].closed = false
			}
		}
	})
}

// turnOver reverses the facets of the shells that are marked for it and counts
// them.
func (s *shellSurvey) turnOver() int {
	n := 0
	for i, q := range s.of {
		if q >= 0 && s.list[q].turn {
			f := &s.mesh.Facets[i]
			f[1], f[2] = f[2], f[1]
			n++
		}
	}
	for q := range s.list {
		if s.list[q].turn {
			s.list[q].volume = -s.list[q].volume
			s.list[q].turn = false
		}
	}
	return n
}

// middle gives a point on the shell's largest facet.
func (s *shellSurvey) middle(q int32) r3.Vec {
	a, b, c := s.mesh.Corners(int(s.list[q].probes[1]))
	return r3.Scale(1.0/3, r3.Add(a, r3.Add(b, c)))
}

// sign gives the sense of a closed shell: 1 where it faces outward.
func (s *shell) sign() int {
	if math.Signbit(s.volume) {
		return -1
	}
	return 1
}
