package mesh

import (
	"cmp"
	"context"
	"errors"
	"math"
	"runtime"
	"slices"
	"sort"
	"sync/atomic"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh/parallel"
)

// Walls are the extremes of the wall thickness.
type Walls struct {
	// ThickestMM is twice the largest distance from a point inside to the
	// surface: the diameter of the largest ball that fits. ThickestAt is its
	// middle and ThickestOut the unit vector from there to the nearest surface.
	ThickestMM  float64
	ThickestAt  r3.Vec
	ThickestOut r3.Vec
	// ThinnestMM is the thickness that a fiftieth of the surface does not
	// reach, measured between faces that look away from each other; a sharp
	// edge, where the faces meet at an angle, is no wall. ThinnestAt is in the
	// middle of such a wall. Where nothing faces anything it is ThickestMM.
	ThinnestMM float64
	ThinnestAt r3.Vec
	// OpenShare doubts all of these: see Voxels.
	OpenShare float64
}

const (
	// wallBricks bounds the lattice on which the thickest place is sought.
	wallBricks = 500_000
	// wallSamples is the number of places on the surface where the wall is
	// measured; thinShare the share of them that may be thinner than ThinnestMM
	// (judgement: small enough to see a rib, large enough to pass over lettering).
	wallSamples = 4096
	thinShare   = 0.02
	// facing is the least cosine between the inward normal on one side of a
	// wall and the outward one on the other: walls may taper by 20 degrees.
	facing = 0.94
	// fewBricks is the depth in bricks below which the lattice alone is too
	// coarse to find the thickest place; below surelyInside the middle of a
	// half-filled brick may even lie outside. candidates is how many places are
	// looked at closely.
	fewBricks    = 6
	surelyInside = 2
	candidates   = 6
)

// ErrNoSolid is returned where the surface encloses nothing.
var ErrNoSolid = errors.New("the surface encloses no solid")

// Walls measures the thickest and the thinnest wall. The thickest place is found
// by a distance transform on a lattice of bounded size and by chords across the
// walls, then moved to the true centre of the largest ball among the facets, so
// it is good to about a thousandth; a thin wall is measured along chords. It
// returns ErrNoSolid for a surface without inside, and the error of ctx.
func (m *Mesh) Walls(ctx context.Context) (Walls, error) {
	box := m.Bounds()
	size := box.Size()
	if bad := size.X * size.Y * size.Z; !(bad > 0) || math.IsInf(bad, 0) {
		return Walls{}, ErrNoSolid
	}
	lattice := LatticeOver(box, math.Cbrt(size.X*size.Y*size.Z/wallBricks))
	for lattice.Bricks() > 4*wallBricks { // a flat or needle-like box is rounded up
		lattice = LatticeOver(box, 2*max(lattice.Pitch.X, lattice.Pitch.Y, lattice.Pitch.Z))
	}
	var grid *facetGrid
	var wg parallel.Group
	wg.Go(func() { grid = newFacetGrid(m, box) })
	voxels, err := m.Voxels(ctx, lattice, 1)
	wg.Wait()
	if err != nil {
		return Walls{}, err
	}
	chords, err := grid.chords(ctx, wallSamples)
	if err != nil {
		return Walls{}, err
	}
	w := Walls{OpenShare: voxels.OpenShare}
	if err := w.findThickest(ctx, grid, voxels, chords); err != nil {
		return Walls{}, err
	}
	w.findThinnest(chords)
	return w, nil
}

// chord is a straight line through the solid, at right angles to the surface
// at its start.
type chord struct {
	middle r3.Vec
	length float64 // 0: the line never left the solid, or began inside a body
	facing bool
}

// chords measures n places spread evenly over the surface's area.
func (g *facetGrid) chords(ctx context.Context, n int) ([]chord, error) {
	sum := make([]float64, len(g.mesh.Facets)+1)
	for i := range g.mesh.Facets {
		sum[i+1] = sum[i] + r3.Norm(g.mesh.AreaVector(i))
	}
	outward := 1.0
	if g.mesh.insideOut() {
		outward = -1
	}
	total := sum[len(sum)-1]
	out := make([]chord, n)
	const batch = 64
	err := inBatches(ctx, n, batch, func(lo, hi int) {
		hits := make([]rayHit, 0, 32)
		for k := lo; k < hi; k++ {
			area := (float64(k) + 0.5) / float64(n) * total
			f := min(sort.SearchFloat64s(sum, area), len(g.mesh.Facets))
			out[k] = g.chord(max(f-1, 0), k, outward, hits)
		}
	})
	return out, err
}

// chord measures the wall behind place number k of the surface, on facet f.
func (g *facetGrid) chord(f, k int, outward float64, hits []rayHit) chord {
	a, b, c := g.mesh.Corners(f)
	n := g.mesh.AreaVector(f)
	if n == (r3.Vec{}) {
		return chord{}
	}
	dir := r3.Scale(-outward, r3.Unit(n))
	u, v := spread(k)
	from := r3.Add(a, r3.Add(r3.Scale(u, r3.Sub(b, a)), r3.Scale(v, r3.Sub(c, a))))
	h, ok := g.exit(from, dir, int32(f), outward, hits)
	if !ok || g.buried(from, r3.Scale(-1, dir), int32(f), outward, hits) {
		return chord{}
	}
	return chord{middle: r3.Add(from, r3.Scale(h.t/2, dir)), length: h.t, facing: h.along >= facing}
}

// spread gives the k-th point of a sequence that covers a triangle evenly, as
// shares of two of its edges (additive recurrence on the plastic number, M.
// Roberts' R2 sequence, folded).
func spread(k int) (u, v float64) {
	_, u = math.Modf(0.5 + 0.7548776662466927*float64(k))
	_, v = math.Modf(0.5 + 0.5698402909980532*float64(k))
	if u+v > 1 {
		u, v = 1-u, 1-v
	}
	return u, v
}

// inBatches runs work over 0..n in batches, on all cores.
func inBatches(ctx context.Context, n, batch int, work func(lo, hi int)) error {
	var next atomic.Int64
	var wg parallel.Group
	for range runtime.GOMAXPROCS(0) {
		wg.Go(func() {
			for ctx.Err() == nil {
				lo := int(next.Add(int64(batch))) - batch
				if lo >= n {
					return
				}
				work(lo, min(lo+batch, n))
			}
		})
	}
	wg.Wait()
	return ctx.Err()
}

// findThinnest takes the low percentile of the walls between facing sides.
func (w *Walls) findThinnest(chords []chord) {
	walls := make([]chord, 0, len(chords))
	for _, c := range chords {
		if c.facing && c.length > 0 {
			walls = append(walls, c)
		}
	}
	w.ThinnestMM, w.ThinnestAt = w.ThickestMM, w.ThickestAt
	at := int(thinShare * float64(len(chords)))
	if at >= len(walls) {
		return
	}
	slices.SortStableFunc(walls, func(a, b chord) int { return cmp.Compare(a.length, b.length) })
	const more = 1.05 // a wall cannot be thicker than the thickest place, but for rounding
	if c := walls[at]; c.length <= more*w.ThickestMM {
		w.ThinnestMM, w.ThinnestAt = c.length, c.middle
	}
}
