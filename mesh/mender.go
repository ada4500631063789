package mesh

import (
	"context"
	"errors"
	"fmt"
	"slices"
)

// maxRounds bounds repairs that can uncover more of the same.
const maxRounds = 8

// mender carries a mesh through the repairs.
type mender struct {
	ctx    context.Context
	o      MendOptions
	room   room
	m      *Mesh
	t      *Topology
	p      *patches
	survey *shellSurvey
	health Health
}

// rebuild finds the edges anew after a change of the facets.
func (r *mender) rebuild() (err error) {
	r.t, r.p = nil, nil
	r.t, err = NewTopologyUntil(r.ctx, r.m)
	return err
}

// patches walks the facets when this has not been done since the last change.
func (r *mender) patches() (*patches, error) {
	var err error
	if r.p == nil {
		r.p, err = findPatches(r.ctx, r.t)
	}
	return r.p, err
}

// begin counts what was read, then drops facets with a repeated corner, which
// bound nothing and leave no gap.
func (r *mender) begin() error {
	facets := len(r.m.Facets)
	collapses := r.dropCollapsed()
	if len(r.m.Facets) == 0 {
		return errors.New("all facets have a repeated corner, so that none has an area; export the part again")
	}
	if collapses > 0 {
		r.did(DropCollapsed, collapses, 0, "%s with a repeated corner dropped.", count(collapses, "facet", "facets"))
	}
	r.dropPiles()
	if err := r.rebuild(); err != nil {
		return err
	}
	p, err := r.patches()
	if err != nil {
		return err
	}
	if err := r.room.takePieces(len(p.list)); err != nil {
		return err
	}
	c := r.t.count()
	_, shells := p.shells(r.t)
	r.health.AsRead = Counts{Facets: facets, OpenEdges: c.open, SharedEdges: c.shared, TornEdges: c.torn, Shells: shells, Volume: signedVolume(r.m, r.m.Bounds().Center())}
	r.health.GapMM, r.health.Left = max(weldTolerance(r.m), r.o.GapMM), slices.Clone(r.o.Leave)
	return nil
}

func (r *mender) dropCollapsed() int {
	before := len(r.m.Facets)
	r.m.keep(func(i int) bool { return !collapsed(r.m.Facets[i]) })
	return before - len(r.m.Facets)
}

func (r *mender) joinCracks() error {
	if r.health.AsRead.OpenEdges == 0 || r.o.leaves(CloseGaps) {
		return nil
	}
	tol := weldTolerance(r.m)
	n, moved := joinCracks(r.m, r.t, tol)
	if n == 0 {
		return nil
	}
	r.dropCollapsed()
	r.m.compact()
	r.did(CloseGaps, n, moved, "%s joined across cracks no wider than %s mm.", count(n, "corner", "corners"), fmt.Sprintf("%.1g", tol))
	return r.rebuild()
}

func (r *mender) dropDoubles() error {
	d := findDoubles(r.t)
	if len(d.sets) == 0 || r.o.leaves(DropDoubles) {
		return nil
	}
	drop, same, walls := d.drops()
	odd, before := r.t.oddEdges(), slices.Clone(r.m.Facets)
	r.m.keep(func(i int) bool { return !drop[i] })
	if err := r.rebuild(); err != nil {
		return err
	}
	// Bodies that overlap may share facets: each needs its own. Which way those that
	// stay face is settled later.
	if r.t.oddEdges() > odd {
		r.m.Facets = before
		return r.rebuild()
	}
	r.health.Duplicates += len(before) - len(r.m.Facets)
	if same > 0 {
		r.did(DropDoubles, same, 0, "%s stored more than once taken out.", count(same, "facet", "facets"))
	}
	if walls > 0 {
		r.did(DropDoubles, walls, 0, "%s without thickness (stored from both sides) taken out.", count(walls, "piece of wall", "pieces of wall"))
	}
	return nil
}

// turnFacets makes the facets of each patch face one way, and patches that meet
// at shared edges suit each other.
func (r *mender) turnFacets() error {
	p, err := r.patches()
	if err != nil {
		return err
	}
	for _, a := range p.list {
		if a.twisted {
			b := r.m.Vertices[r.m.Facets[a.first][0]]
			return fmt.Errorf("the surface at %s has one side only, like a Moebius strip, so that nothing is inside; rebuild the part as a solid", place(b))
		}
	}
	if r.o.leaves(TurnFacets) {
		return nil
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
	r.did(TurnFacets, n, 0, "%s turned over that faced against the rest.", count(n, "facet", "facets"))
	return r.rebuild()
}

func (r *mender) dropNeedles() error {
	if r.o.leaves(DropNeedles) {
		return nil
	}
	total := 0
	for range maxRounds {
		n := dropNeedles(r.m, r.t)
		if n == 0 {
			break
		}
		total += n
		if err := r.rebuild(); err != nil {
			return err
		}
	}
	if total > 0 {
		r.did(DropNeedles, total, needleRatio*r.m.Bounds().Diagonal(), "%s without area exchanged or dropped, leaving no gap.", count(total, "facet", "facets"))
	}
	return nil
}

func (r *mender) dropFins() error {
	p, err := r.patches()
	if err != nil || len(p.list) == 1 || r.t.count().open > maxTorn || r.o.leaves(DropFins) {
		return err
	}
	fin, n := findFins(r.t, p, p.sheets(r.t))
	if n == 0 {
		return nil
	}
	r.m.keep(func(i int) bool { return p.of[i] < 0 || !fin[p.of[i]] })
	r.did(DropFins, n, 0, "%s without thickness taken off.", count(n, "fin or loose sheet", "fins and loose sheets"))
	return r.rebuild()
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
	p, err := r.patches()
	if err != nil {
		return err
	}
	s := surveyShells(r.t, p)
	if err := s.nest(r.ctx); err != nil {
		return err
	}
	s.classify()
	if r.o.leaves(TurnBodies) {
		r.health.leftInward(s)
	} else if n := s.turnOver(); n > 0 {
		r.health.InwardFacets += n
		r.did(TurnBodies, n, 0, "%s turned over: a whole body faced inward.", count(n, "facet", "facets"))
		if err := r.rebuild(); err != nil {
			return err
		}
	}
	if r.m.compact() {
		if err := r.rebuild(); err != nil {
			return err
		}
	}
	r.survey = s
	r.health.nested(s)
	return nil
}

// report looks over the mesh as it is handed out.
func (r *mender) report() error {
	r.health.shells(r.survey)
	r.health.edges(r.t)
	if r.health.Watertight {
		r.health.crossing(r.m)
	}
	r.health.thin(slivers(r.m))
	return nil
}
