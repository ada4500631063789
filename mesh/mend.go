package mesh

import (
	"context"
	"errors"
	"fmt"
	"slices"
)

const (
	// maxRounds bounds repairs that can uncover more of the same.
	maxRounds = 8
	// maxTorn is the number of open edges beyond which a mesh is more of a heap
	// than a surface with faults, and is reported as it is (judgement).
	maxTorn = 100_000
)

// mender carries a mesh through the repairs.
type mender struct {
	ctx    context.Context
	m      *Mesh
	t      *Topology
	p      *patches
	health Health
}

// Mend gives a welded and safely repaired copy of m, and says what was wrong and
// what was done. Safe is what leaves the solid that was meant as it is: joining
// cracks of rounding width, taking out copies, walls and fins without thickness
// and needles without area, turning facets over that face against their
// neighbours or inward, matching the corners on both sides of a seam, and filling
// small flat holes in a face. It takes time linear in the facets for meshes that
// are nearly sound, and stops with ctx.Err().
func Mend(ctx context.Context, m *Mesh) (*Mesh, Health, error) {
	r := &mender{ctx: ctx, m: Weld(m)}
	steps := []func() error{
		r.begin, r.joinCracks, r.dropDoubles, r.turnFacets, r.dropNeedles,
		r.splitSeams, r.fillHoles, r.dropFins, r.checkSolid, r.settleShells, r.report,
	}
	for _, step := range steps {
		if err := ctx.Err(); err != nil {
			return nil, Health{}, err
		}
		if err := step(); err != nil {
			return nil, Health{}, err
		}
	}
	return r.m, r.health, nil
}

func (r *mender) say(format string, args ...any) {
	r.health.Repairs = append(r.health.Repairs, fmt.Sprintf(format, args...))
}

// rebuild finds the edges anew after a change of the facets.
func (r *mender) rebuild() {
	r.t, r.p = nil, nil
	r.t = NewTopology(r.m)
}

// patches walks the facets when this has not been done since the last change.
func (r *mender) patches() *patches {
	if r.p == nil {
		r.p = findPatches(r.t)
	}
	return r.p
}

// begin counts what was read, then drops facets with a repeated corner, which
// bound nothing and leave no gap.
func (r *mender) begin() error {
	facets := len(r.m.Facets)
	collapses := r.dropCollapsed()
	if len(r.m.Facets) == 0 {
		return errors.New("all facets have a repeated corner, so that none has an area; export the part again")
	}
	r.rebuild()
	c := r.t.count()
	_, shells := r.patches().shells(r.t)
	r.health.AsRead = Counts{Facets: facets, OpenEdges: c.open, SharedEdges: c.shared, TornEdges: c.torn, Shells: shells, Volume: signedVolume(r.m, r.m.Bounds().Center())}
	if collapses > 0 {
		r.say("%s with a repeated corner dropped.", count(collapses, "facet", "facets"))
	}
	return nil
}

func (r *mender) dropCollapsed() int {
	before := len(r.m.Facets)
	r.m.keep(func(i int) bool { return !collapsed(r.m.Facets[i]) })
	return before - len(r.m.Facets)
}

func (r *mender) joinCracks() error {
	if r.health.AsRead.OpenEdges == 0 {
		return nil
	}
	tol := weldTolerance(r.m)
	n := joinCracks(r.m, r.t, tol)
	if n == 0 {
		return nil
	}
	r.dropCollapsed()
	r.m.compact()
	r.rebuild()
	r.say("%s joined across cracks no wider than %s mm.", count(n, "corner", "corners"), fmt.Sprintf("%.1g", tol))
	return nil
}

func (r *mender) dropDoubles() error {
	d := findDoubles(r.t)
	if len(d.sets) == 0 {
		return nil
	}
	drop, same, walls := d.drops()
	before := len(r.m.Facets)
	r.m.keep(func(i int) bool { return !drop[i] })
	r.health.Duplicates = before - len(r.m.Facets)
	r.rebuild()
	if same > 0 {
		r.say("%s stored more than once taken out.", count(same, "facet", "facets"))
	}
	if walls > 0 {
		r.say("%s without thickness (stored from both sides) taken out.", count(walls, "piece of wall", "pieces of wall"))
	}
	return nil
}

// turnFacets makes the facets of each patch face one way, and patches that meet
// at shared edges suit each other.
func (r *mender) turnFacets() error {
	p := r.patches()
	for _, a := range p.list {
		if a.twisted {
			b := r.m.Vertices[r.m.Facets[a.first][0]]
			return fmt.Errorf("the surface at %s has one side only, like a Moebius strip, so that nothing is inside; rebuild the part as a solid", place(b))
		}
	}
	p.settle(r.t)
	n := p.turned()
	if n == 0 {
		return nil
	}
	for i, turn := range p.turn {
		if turn {
			f := &r.m.Facets[i]
			f[1], f[2] = f[2], f[1]
		}
	}
	r.health.InwardFacets += n
	r.rebuild()
	r.say("%s turned over that faced against the rest.", count(n, "facet", "facets"))
	return nil
}

func (r *mender) dropNeedles() error {
	total := 0
	for range maxRounds {
		n := dropNeedles(r.m, r.t)
		if n == 0 {
			break
		}
		total += n
		r.rebuild()
	}
	if total > 0 {
		r.say("%s without area exchanged or dropped, leaving no gap.", count(total, "facet", "facets"))
	}
	return nil
}

// attempt keeps what a repair did to the facets only where it pays: each of its
// steps must leave more than one edge fewer open, and none more shared.
func (r *mender) attempt(repair func() int) int {
	before, facets := r.t.count(), slices.Clone(r.m.Facets)
	n := repair()
	if n == 0 {
		return 0
	}
	r.dropCollapsed()
	r.rebuild()
	if after := r.t.count(); before.open-after.open <= n || after.shared > before.shared {
		r.m.Facets = facets
		r.rebuild()
		return 0
	}
	return n
}

// worthMending reports whether there are open edges, and not too many.
func (r *mender) worthMending() bool {
	n := r.t.count().open
	return n > 0 && n <= maxTorn
}

// splitSeams first divides the sides that then match piece by piece, next those
// where both sides have corners that the other has not, if that works out.
func (r *mender) splitSeams() error {
	if !r.worthMending() {
		return nil
	}
	tol, n := weldTolerance(r.m), 0
	for _, whole := range []bool{true, false} {
		n += r.attempt(func() (total int) {
			for range maxRounds {
				n := newSeamSplitter(r.m, r.t, tol, whole).split()
				if n == 0 {
					break
				}
				total += n
				r.dropCollapsed()
				r.rebuild()
			}
			return total
		})
	}
	if n > 0 {
		r.say("%s divided along seams where the corners of the two sides did not match.", count(n, "facet", "facets"))
	}
	return r.dropNeedles()
}

func (r *mender) fillHoles() error {
	if !r.worthMending() {
		return nil
	}
	var area float64
	n := r.attempt(func() (n int) {
		loops := r.t.Loops()
		f := &filler{m: r.m, t: r.t, p: r.patches(), sheets: r.patches().sheets(r.t)}
		n, area = f.fillHoles(loops, findSeam(r.m, r.t, loops))
		return n
	})
	if n > 0 {
		r.say("%s in a flat face filled, %s mm2 in all.", count(n, "small hole", "small holes"), short(area))
	}
	return nil
}

func (r *mender) dropFins() error {
	p := r.patches()
	if len(p.list) == 1 || r.t.count().open > maxTorn {
		return nil
	}
	fin, n := findFins(r.t, p, p.sheets(r.t))
	if n == 0 {
		return nil
	}
	r.m.keep(func(i int) bool { return p.of[i] < 0 || !fin[p.of[i]] })
	r.rebuild()
	r.say("%s without thickness taken off.", count(n, "fin or loose sheet", "fins and loose sheets"))
	return nil
}

// checkSolid refuses what encloses nothing.
func (r *mender) checkSolid() error {
	if isFlat(r.m) {
		return errors.New("all corners lie in one plane, so that the part has no volume; export a solid")
	}
	return nil
}

// settleShells turns bodies to face outward and cavities inward.
func (r *mender) settleShells() error {
	s := surveyShells(r.t, r.patches())
	if err := s.nest(r.ctx); err != nil {
		return err
	}
	s.classify()
	if n := s.turnOver(); n > 0 {
		r.health.InwardFacets += n
		r.say("%s turned over: a whole body faced inward.", count(n, "facet", "facets"))
		r.rebuild()
	}
	if r.m.compact() {
		r.rebuild()
	}
	r.health.shells(s)
	return nil
}

// report looks over the mesh as it is handed out.
func (r *mender) report() error {
	r.health.edges(r.t)
	if r.health.Watertight {
		r.health.crossing(r.m)
	}
	r.health.thin(slivers(r.m))
	return nil
}
