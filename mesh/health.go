package mesh

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Health says how sound a part is, after what could be repaired safely was
// repaired. The counts are of the mesh as handed out; AsRead has those of the
// file. It is not changed after it was made.
type Health struct {
	// Watertight is true where every edge joins facets that face the same way,
	// so that the surface has an inside. Volume and all that rests on it are
	// doubtful otherwise.
	Watertight bool
	// OpenEdges have one facet only, SharedEdges more than two.
	OpenEdges, SharedEdges int
	// TornEdges join facets that face different ways, or are open.
	TornEdges int
	// InwardFacets were turned over because they faced inward.
	InwardFacets int
	// Duplicates were stored more than once, as copies or as walls without
	// thickness, and were taken out.
	Duplicates int
	// Slivers are facets thinner than a ten-thousandth of their length.
	Slivers int
	// Bodies are the pieces that hang together over edges and face outward, open
	// ones among them. Cavities are closed voids within them.
	Bodies, Cavities int
	// Nested are bodies that lay wholly in the solid of another and faced outward
	// as it does: no cavities, though they may have been meant so. They are counted
	// also where they were made one with it.
	Nested int
	// CavityVolume is the volume of the cavities together, mm3.
	CavityVolume float64
	// CavityFacets are the facets that bound cavities, ascending.
	CavityFacets []int
	// OverlapVolume is about the volume that is solid twice over, mm3, from a
	// grid of lines; 0 where the mesh is not watertight.
	OverlapVolume float64
	// AsRead counts what the file held, welded but not repaired.
	AsRead Counts
	// GapMM is the widest gap that was to be closed, and the farthest that any
	// repair was allowed to move the surface, mm.
	GapMM float64
	// SeamMM is the widest of the gaps left between rims that run along each
	// other, mm: MendOptions.GapMM of a little more may close them. 0 where there
	// are none.
	SeamMM float64
	// Steps are the repairs one by one; any of them can be left out by mending
	// again. Left are those that were left out.
	Steps []Step
	Left  []StepKind
	// Findings are sentences on what is still to be known about the part,
	// Repairs on what was done to it.
	Findings, Repairs []string
}

// Counts are figures of a mesh before repair.
type Counts struct {
	Facets, OpenEdges, SharedEdges, TornEdges, Shells int
	// Volume is signed, mm3, and doubtful where edges are open.
	Volume float64
}

// find adds a sentence to the findings.
func (h *Health) find(format string, args ...any) {
	h.Findings = append(h.Findings, fmt.Sprintf(format, args...))
}

// edges reports on the edges of the mesh as it is now.
func (h *Health) edges(t *Topology) {
	c := t.count()
	h.OpenEdges, h.SharedEdges, h.TornEdges = c.open, c.shared, c.torn
	h.Watertight = c.torn == 0
	if c.open > 0 {
		h.openEdges(t, c)
	}
	if c.shared > 0 {
		h.find("%s shared by more than two facets, one at %s: bodies touch there along a line, or an inner wall was left standing.",
			count(c.shared, "edge is", "edges are"), place(t.middleOf(c.firstShared)))
	}
	if n := c.torn - c.open; n > 0 {
		h.find("%s facets that face different ways and could not be brought into line; the volume is doubtful.", count(n, "edge joins", "edges join"))
	}
}

func (h *Health) openEdges(t *Topology, c edgeCounts) {
	loops := t.Loops()
	largest, inLoops := 0, 0
	for i, loop := range loops {
		inLoops += len(loop)
		if len(loop) > len(loops[largest]) {
			largest = i
		}
	}
	rims := "where surfaces meet that do not belong together"
	if inLoops == c.open {
		rims = fmt.Sprintf("in %s; the largest has %s, at %s", count(len(loops), "rim", "rims"),
			count(len(loops[largest]), "edge", "edges"), place(t.middleOf(loops[largest][0])))
	}
	h.find("The surface is open: %s no neighbour, %s. The volume and what rests on it are doubtful.", count(c.open, "edge has", "edges have"), rims)
	if c.open > maxTorn {
		return
	}
	if s := findSeam(t.mesh, t, loops); s.width > 0 {
		h.SeamMM = s.width
		h.find("%s of these run along each other up to %s mm apart, at %s: a seam that the export left open. Export with a finer tolerance, or join the faces in the design.",
			count(len(s.loops), "rim", "rims"), short(s.width), place(s.at))
	}
}

// middleOf gives the middle of a side.
func (t *Topology) middleOf(side int) r3.Vec {
	a, b := t.Ends(side)
	return r3.Scale(0.5, r3.Add(t.mesh.Vertices[a], t.mesh.Vertices[b]))
}

// shells reports on bodies and cavities.
func (h *Health) shells(s *shellSurvey) {
	var cavityAt r3.Vec
	bodies, closed := map[int32]bool{}, map[int32]bool{}
	for _, a := range s.list {
		if a.kind == cavityShell {
			if h.Cavities++; h.Cavities == 1 {
				cavityAt = a.box.Center()
			}
			h.CavityVolume += math.Abs(a.volume)
			continue
		}
		bodies[a.group] = true
		if a.closed {
			closed[a.group] = true
		}
	}
	if s.unsure {
		h.find("So many bodies lie over one another that not all cavities could be told from bodies; the volume is doubtful.")
	}
	h.Bodies = len(bodies)
	h.CavityFacets = s.facetsBounding(cavityShell)
	if len(closed) > 1 {
		h.find("The part consists of %d separate bodies.", len(closed))
	}
	if h.Cavities > 0 {
		h.find("%s of %s mm3 in all, at %s: nothing gets in or out.", count(h.Cavities, "closed cavity", "closed cavities"), short(h.CavityVolume), place(cavityAt))
	}
	s.findTouch(h)
}

// nested reports on bodies within others that face outward like these.
func (h *Health) nested(s *shellSurvey) {
	var at r3.Vec
	for q, a := range s.list {
		if a.kind == nestedShell {
			if h.Nested++; h.Nested == 1 {
				at = s.middle(int32(q))
			}
		}
	}
	if h.Nested > 0 {
		h.find("%s within another, facing outward like it, at %s: that counts as solid, not as a cavity. If a hollow is meant, turn the facets over in the design.",
			count(h.Nested, "body lies", "bodies lie"), place(at))
	}
}

// leftInward reports on bodies that face inward and are to stay so.
func (h *Health) leftInward(s *shellSurvey) {
	n := 0
	for q := range s.list {
		if s.list[q].turn {
			n += int(s.list[q].facets)
			s.list[q].turn = false
		}
	}
	if n > 0 {
		h.find("%s of whole bodies that face inward, and were left so: the volume counts them as missing.", count(n, "facet is", "facets are"))
	}
}

// facetsBounding lists the facets of the shells of one kind.
func (s *shellSurvey) facetsBounding(kind shellKind) []int {
	var out []int
	for i, q := range s.of {
		if q >= 0 && s.list[q].kind == kind {
			out = append(out, i)
		}
	}
	return out
}

// findTouch reports bodies that meet in single points only.
func (s *shellSurvey) findTouch(h *Health) {
	if len(s.list) < 2 {
		return
	}
	owner := make([]int32, len(s.mesh.Vertices)) // group plus one
	points := 0
	var at r3.Vec
	for i, f := range s.mesh.Facets {
		if s.of[i] < 0 || !s.list[s.of[i]].closed {
			continue
		}
		for _, v := range f {
			switch own := s.list[s.of[i]].group + 1; {
			case owner[v] == 0:
				owner[v] = own
			case owner[v] > 0 && owner[v] != own:
				if points++; points == 1 {
					at = s.mesh.Vertices[v]
				}
				owner[v] = -1 // counted
			}
		}
	}
	if points > 0 {
		h.find("Bodies touch in %s only, the first at %s: they will not hold together there.", count(points, "single point", "single points"), place(at))
	}
}

// crossing reports on a surface that runs through itself.
func (h *Health) crossing(m *Mesh) {
	o := findOverlap(m)
	h.OverlapVolume = o.twice.volume
	if o.blind {
		h.find("So many faces lie over one another that overlaps could not be looked for; the volume counts them twice, if there are any.")
	}
	if v := o.twice; v.volume > 0 && h.Nested == 0 {
		h.find("The surface runs through itself or bodies overlap: about %s mm3 are inside twice, the deepest place at %s. The volume counts them twice.", short(v.volume), place(v.at))
	}
	if v := o.reversed; v.volume > 0 {
		h.find("The surface runs through itself: about %s mm3 are inside out, the deepest place at %s. The volume counts them as missing.", short(v.volume), place(v.at))
	}
}

// thin reports slivers.
func (h *Health) thin(n int) {
	h.Slivers = n
	if n > 0 {
		h.find("%s thinner than a ten-thousandth of their length, which does no harm to the measures.", count(n, "facet is a sliver,", "facets are slivers,"))
	}
}
