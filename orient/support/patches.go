package support

import (
	"gonum.org/v1/gonum/spatial/r3"
)

// creaseCos is the cosine of the angle between two faces beyond which an outer
// edge between them parts two regions, 50 degrees: the wall of a leaning tube and
// its end face are two matters, the facets of a round are one (judgement).
const creaseCos = 0.6428

// patches sorts the overhanging facets into patches.
type patches struct {
	site   *Site
	parent []int32 // union-find over facets; -1 for those that do not hang over
	area   []float64
}

// group gives for each facet the number of its region, -1 for none, and how many
// there are. Overhanging facets that share an edge are of one region, unless the
// edge is a sharp outer one. What is smaller than smallMM2 and touches a larger
// patch, if only at a corner, is counted to that.
func (s *Site) group(smallMM2 float64) (of []int32, n int) {
	p := &patches{site: s, parent: make([]int32, len(s.Stance.Facets))}
	for i, k := range s.Stance.Kinds {
		p.parent[i] = -1
		if k == Overhang {
			p.parent[i] = int32(i)
		}
	}
	for i := range p.parent {
		if p.parent[i] >= 0 {
			p.joinNeighbours(int32(i))
		}
	}
	p.measure()
	p.absorb(smallMM2)
	return p.number()
}

// joinNeighbours joins a facet with those across its edges.
func (p *patches) joinNeighbours(i int32) {
	t := p.site.Topology
	for side := 3 * int(i); side < 3*int(i)+3; side++ {
		t.Around(side, func(other int) {
			g := int32(other / 3)
			if g != i && p.parent[g] >= 0 && !p.creased(i, g, side, other) {
				p.join(i, g)
			}
		})
	}
}

// creased reports whether two facets meet in a sharp outer edge.
func (p *patches) creased(i, g int32, side, other int) bool {
	s := p.site.Stance
	a, b := unit(s.areaVector(i)), unit(s.areaVector(g))
	if r3.Dot(a, b) >= creaseCos {
		return false
	}
	from, _ := p.site.Topology.Ends(side)
	tip := s.Vertices[p.site.Topology.Opposite(other)]
	return r3.Dot(a, r3.Sub(tip, s.Vertices[from])) < 0
}

func (p *patches) root(i int32) int32 {
	for p.parent[i] != i {
		p.parent[i] = p.parent[p.parent[i]]
		i = p.parent[i]
	}
	return i
}

// join makes the lower root that of both.
func (p *patches) join(i, g int32) {
	a, b := p.root(i), p.root(g)
	if a == b {
		return
	}
	low, high := min(a, b), max(a, b)
	p.parent[high] = low
	if p.area != nil {
		p.area[low] += p.area[high]
	}
}

// measure adds up the area of each patch at its root.
func (p *patches) measure() {
	p.area = make([]float64, len(p.parent))
	for i, parent := range p.parent {
		if parent >= 0 {
			p.area[p.root(int32(i))] += r3.Norm(p.site.Stance.areaVector(int32(i)))
		}
	}
}

// absorb joins small patches with the largest one that they touch at a corner.
func (p *patches) absorb(smallMM2 float64) {
	s := p.site.Stance
	largest := make([]int32, len(s.Vertices)) // root plus one at each vertex
	var small []int32                         // facets of small patches
	for i, parent := range p.parent {
		if parent < 0 {
			continue
		}
		r := p.root(int32(i))
		if p.area[r] < smallMM2 {
			small = append(small, int32(i))
		}
		for _, v := range s.Facets[i] {
			if l := largest[v]; l == 0 || p.area[r] > p.area[l-1] {
				largest[v] = r + 1
			}
		}
	}
	// Where to is decided by the patches as they were found, so that the order
	// of joining does not matter.
	target := map[int32]int32{}
	was := make([]int32, len(small))
	for n, i := range small {
		was[n] = p.root(i)
		for _, v := range s.Facets[i] {
			best, ok := target[was[n]]
			if l := largest[v] - 1; l != was[n] && (!ok || p.area[l] > p.area[best]) {
				target[was[n]] = l
			}
		}
	}
	for _, r := range was {
		if t, ok := target[r]; ok {
			p.join(r, t)
		}
	}
}

// number counts the patches by their first facet.
func (p *patches) number() (of []int32, n int) {
	of = make([]int32, len(p.parent))
	for i, parent := range p.parent {
		of[i] = -1
		if parent < 0 {
			continue
		}
		if r := p.root(int32(i)); int(r) == i { // roots are the lowest of their patch
			of[i] = int32(n)
			n++
		} else {
			of[i] = of[r]
		}
	}
	return of, n
}
