package mesh

import (
	"context"
	"errors"
	"math"
)

// maxUnited bounds the facets of a mesh that is cut where it meets itself: the
// pieces and their edges take a few hundred bytes each.
const maxUnited = 3_000_000

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
	whole, bodies, err := unite(r.ctx, r.m, r.survey)
	if err == nil && !lines.agree(before, signedVolume(whole, whole.Bounds().Center())) {
		err = errDiffers
	}
	if r.ctx.Err() != nil {
		return r.ctx.Err()
	}
	if err != nil {
		r.health.find("Bodies that overlap could not be made one: %v.", err)
		return nil
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
	return r.survey.runThrough(r.ctx)
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
	a, cut, pieces, err := arrange(ctx, m)
	if err != nil {
		return nil, 0, err
	}
	t, err := newTopology(ctx, cut)
	if err != nil {
		return nil, 0, err
	}
	sides := newSideFinder(a, s)
	out = &Mesh{Vertices: cut.Vertices}
	for _, patch := range equalPatches(t, pieces) {
		keep, err := sides.bounds(cut, pieces, patch)
		if err != nil {
			return nil, 0, err
		}
		if keep {
			for _, i := range patch {
				out.Facets = append(out.Facets, cut.Facets[i])
			}
		}
	}
	out.compact()
	if t, err = newTopology(ctx, out); err != nil {
		return nil, 0, err
	}
	if len(out.Facets) == 0 || t.count().torn > 0 {
		return nil, 0, errNotClosed
	}
	return out, s.bodies(a.cuts), nil
}

// equalPatches gathers the pieces that hang together over edges of two, face one
// way and have as many layers: what lies on either side is the same for all of a
// patch.
func equalPatches(t *Topology, pieces []piece) [][]int32 {
	seen := make([]bool, len(pieces))
	var out [][]int32
	for start := range pieces {
		if seen[start] {
			continue
		}
		seen[start] = true
		patch := []int32{int32(start)}
		for k := 0; k < len(patch); k++ {
			i := int(patch[k])
			for side := 3 * i; side < 3*i+3; side++ {
				twin, ok := t.Twin(side)
				if !ok || !t.Agrees(side, twin) || seen[twin/3] || pieces[twin/3].layers != pieces[i].layers {
					continue
				}
				seen[twin/3] = true
				patch = append(patch, int32(twin/3))
			}
		}
		out = append(out, patch)
	}
	return out
}
