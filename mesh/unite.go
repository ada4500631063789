package mesh

import (
	"context"
	"errors"
	"math"
)

// maxUnited bounds the facets of a mesh that is cut where it meets itself: that
// takes about 240 bytes for each, and more of them more than a small file may
// (measured: TestUniteMemory).
const maxUnited = 2_000_000

// Why bodies that overlap are left as they are.
var (
	errInsideOut = errors.New("parts of the surface are inside out, so that its winding does not show what is inside")
	errUnclear   = errors.New("the winding of the surface does not show what is inside")
	errNotClosed = errors.New("the surface does not close when it is cut along the lines where it meets itself")
	errDiffers   = errors.New("what is left when the surface is cut along the lines where it meets itself does not fit what was inside")
	errLarge     = errors.New("the mesh is too large to be cut along the lines where it meets itself")
)

// uniteBodies makes one surface of a closed mesh that encloses places more than
// once: bodies that run through each other, lie within or repeat one another. The
// surface is cut along the lines where it meets itself, and of the pieces those
// stay that have solid on one side only, by the winding number of both sides. Where
// that does not work out to a closed surface the mesh stays as it is.
func (r *mender) uniteBodies() error {
	if r.t.count().torn > 0 || r.o.leaves(UniteBodies) {
		return nil
	}
	lines := findOverlap(r.m)
	if found, err := r.overlaps(&lines); err != nil || !found {
		return err
	}
	before := signedVolume(r.m, r.m.Bounds().Center())
	r.t, r.p = nil, nil // their memory is wanted
	whole, bodies, err := unite(r.ctx, r.m, r.survey)
	if err == nil && !lines.agree(before, signedVolume(whole, whole.Bounds().Center())) {
		err = errDiffers
	}
	if r.ctx.Err() != nil {
		return r.ctx.Err()
	}
	if err != nil {
		r.health.find("Bodies that overlap could not be made one: %v.", err)
		return r.rebuild()
	}
	r.m = whole
	if err := r.rebuild(); err != nil {
		return err
	}
	p, err := r.patches()
	if err != nil {
		return err
	}
	r.survey = surveyShells(r.t, p)
	if err := r.survey.nest(r.ctx); err != nil {
		return err
	}
	r.survey.classify()
	twice := before - signedVolume(r.m, r.m.Bounds().Center())
	what := count(bodies, "body that ran through itself was", "bodies that ran through, lay within or repeated one another were")
	r.did(UniteBodies, bodies, newSnapGrid(r.m.Bounds()).step, "%s made one surface; %s mm3 that were inside twice count once.", what, short(twice))
	return nil
}

// overlaps reports whether some place is inside more than once.
func (r *mender) overlaps(lines *overlap) (bool, error) {
	if lines.twice.volume > 0 || r.survey.has(nestedShell) {
		return true, nil
	}
	found, crowded, err := r.survey.runThrough(r.ctx)
	if crowded {
		r.health.find("So many bodies lie close together that not all could be looked at for overlaps; the volume counts twice what is inside of two.")
	}
	return found, err
}

// agree holds the volume of bodies that were made one against what the lines found
// before: they know nothing of the cutting. Lines through all of the part see its
// volume to about a hundredth, and the share of it that is inside more than once
// better; where no line was cast, or few, there is nothing to hold it against.
func (o *overlap) agree(before, after float64) bool {
	const doubt = 0.02
	if !(after > 0) || !(o.every > 0) {
		return after > 0
	}
	return math.Abs(after-before*o.once/o.every) <= doubt*before
}

// has reports whether there are shells of a kind.
func (s *shellSurvey) has(kind shellKind) bool {
	for q := range s.list {
		if s.list[q].kind == kind {
			return true
		}
	}
	return false
}

// bodies counts the bodies that others meet or that lie within others.
func (s *shellSurvey) bodies(cuts map[int32]*cutFacet) int {
	groups := map[int32]bool{}
	for i := range cuts {
		if q := s.of[i]; q >= 0 {
			groups[s.list[q].group] = true
		}
	}
	for q := range s.list {
		if s.list[q].kind == nestedShell {
			groups[s.list[q].group] = true
			groups[s.list[s.outermost(int32(q))].group] = true
		}
	}
	return len(groups)
}

// unite gives the surface of what m encloses at least once, and how many bodies met.
func unite(ctx context.Context, m *Mesh, s *shellSurvey) (out *Mesh, bodies int, err error) {
	if len(m.Facets) > maxUnited {
		return nil, 0, errLarge
	}
	cut, err := arrange(ctx, m)
	if err != nil {
		return nil, 0, err
	}
	keep, err := cut.outside(s)
	if err != nil {
		return nil, 0, err
	}
	out = &Mesh{Vertices: cut.mesh.Vertices, Facets: cut.mesh.Facets}
	out.keep(func(i int) bool { return keep[i] })
	bodies = s.bodies(cut.cuts)
	cut = nil // its memory is wanted
	out.compact()
	t, err := NewTopologyUntil(ctx, out)
	if err != nil {
		return nil, 0, err
	}
	if len(out.Facets) == 0 || t.count().torn > 0 {
		return nil, 0, errNotClosed
	}
	return out, bodies, nil
}

// outside marks the facets that have solid behind them and none before.
func (c *cutMesh) outside(s *shellSurvey) ([]bool, error) {
	t, err := NewTopologyUntil(c.ctx, c.mesh)
	if err != nil {
		return nil, err
	}
	keep := make([]bool, len(c.mesh.Facets))
	sides := newSideFinder(c, s)
	err = c.patches(t, func(patch []int32) error {
		yes, err := sides.bounds(patch)
		for _, i := range patch {
			keep[i] = yes
		}
		return err
	})
	return keep, err
}
