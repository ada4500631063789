package mesh

import (
	"cmp"
	"context"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// deepPlace is a candidate for the centre of the largest ball, with the distance to
// the surface as far as it is known.
type deepPlace struct {
	at    r3.Vec
	depth float64
}

// findThickest seeks the largest ball that fits inside.
func (w *Walls) findThickest(ctx context.Context, g *facetGrid, v *Voxels, chords []chord) error {
	starts, bricks := deepest(v)
	if bricks < surelyInside {
		starts = nil
	}
	if bricks < fewBricks {
		thin, err := g.deepestChords(ctx, chords)
		if err != nil {
			return err
		}
		starts = append(starts, thin...)
	}
	reach := 2 * r3.Norm(v.Pitch)
	balls := make([]deepPlace, len(starts))
	err := inBatches(ctx, len(starts), 1, func(i, _ int) { balls[i] = g.ascend(starts[i], reach) })
	if err != nil {
		return err
	}
	best := deepPlace{}
	for _, b := range balls {
		if b.depth > best.depth*(1+1e-9) {
			best = b
		}
	}
	if least := bricks*max(v.Pitch.X, v.Pitch.Y, v.Pitch.Z) - r3.Norm(v.Pitch); least > best.depth {
		w.fromLattice(v, starts[0].at)
		return nil
	}
	if best.depth == 0 {
		return ErrNoSolid
	}
	w.ThickestMM, w.ThickestAt = 2*best.depth, best.at
	if q, ok := g.nearest(best.at, best.depth*(1+1e-6)); ok && q != best.at {
		w.ThickestOut = r3.Unit(r3.Sub(q, best.at))
	}
	return nil
}

// fromLattice takes the thickest place as the lattice has it, within a brick.
// It stands in where bodies overlap or touch inside the part: their buried
// faces would be mistaken for the surface.
func (w *Walls) fromLattice(v *Voxels, at r3.Vec) {
	best := math.Inf(1)
	for i, f := range v.Fill {
		if f >= 0.5 {
			continue
		}
		out := r3.Sub(v.Center(i%v.N[0], i/v.N[0]%v.N[1], i/v.N[0]/v.N[1]), at)
		if d := r3.Norm(out); d < best {
			best, w.ThickestOut = d, r3.Scale(1/d, out)
		}
	}
	for a, out := range axes { // beyond the lattice nothing is solid either
		low := component(at, a) - component(v.Origin, a)
		high := float64(v.N[a])*component(v.Pitch, a) - low
		half := component(v.Pitch, a) / 2
		if low+half < best {
			best, w.ThickestOut = low+half, r3.Scale(-1, out)
		}
		if high+half < best {
			best, w.ThickestOut = high+half, out
		}
	}
	w.ThickestMM, w.ThickestAt = 2*best-max(v.Pitch.X, v.Pitch.Y, v.Pitch.Z), at
}

// axes are the unit vectors.
var axes = [3]r3.Vec{{X: 1}, {Y: 1}, {Z: 1}}

// deepest gives a few places deep inside, apart from one another, and how many
// bricks deep the deepest is.
func deepest(v *Voxels) (places []deepPlace, bricks float64) {
	d2 := v.Depths()
	pitch := max(v.Pitch.X, v.Pitch.Y, v.Pitch.Z)
	most := float64(slices.Max(d2))
	if most == 0 {
		return nil, 0
	}
	floor := max(math.Sqrt(most)-2*pitch, 0.5*math.Sqrt(most))
	var deep []int
	for i, d := range d2 {
		if float64(d) >= floor*floor {
			deep = append(deep, i)
		}
	}
	slices.SortStableFunc(deep, func(a, b int) int { return cmp.Compare(d2[b], d2[a]) })
	for _, i := range deep {
		p := v.Center(i%v.N[0], i/v.N[0]%v.N[1], i/v.N[0]/v.N[1])
		depth := max(math.Sqrt(float64(d2[i]))-pitch/2, pitch/4)
		apart := func(q deepPlace) bool { return r3.Norm(r3.Sub(p, q.at)) > depth }
		if all(places, apart) {
			places = append(places, deepPlace{p, depth})
		}
		if len(places) == candidates {
			break
		}
	}
	return places, math.Sqrt(most) / pitch
}

func all(places []deepPlace, ok func(deepPlace) bool) bool {
	for _, p := range places {
		if !ok(p) {
			return false
		}
	}
	return true
}

// deepestChords gives the middles of chords that lie deepest: in a part of thin
// walls they find what the lattice is too coarse for.
func (g *facetGrid) deepestChords(ctx context.Context, chords []chord) ([]deepPlace, error) {
	const every = 4 // a quarter of the chords is enough here
	places := make([]deepPlace, len(chords)/every)
	err := inBatches(ctx, len(places), 16, func(lo, hi int) {
		for i := lo; i < hi; i++ {
			c := chords[i*every]
			if c.length == 0 {
				continue
			}
			places[i] = deepPlace{c.middle, c.length / 2}
			if q, ok := g.nearest(c.middle, c.length/2); ok {
				places[i].depth = r3.Norm(r3.Sub(q, c.middle))
			}
		}
	})
	if err != nil {
		return nil, err
	}
	slices.SortStableFunc(places, func(a, b deepPlace) int { return cmp.Compare(b.depth, a.depth) })
	return places[:min(candidates, len(places))], nil
}

// mostFacets bounds the facets that one ascent looks at. Where more are near,
// every n-th stands for its neighbours, which are then close beside it.
const mostFacets = 1500

// ascend moves p away from the surface until no move helps, at most reach from
// where it began, and gives the true depth there. A step goes away from the
// nearest point, and steps shrink: on the ridge, where two sides are equally
// near, the place settles as the steps die away.
func (g *facetGrid) ascend(p deepPlace, reach float64) deepPlace {
	q, ok := g.nearest(p.at, math.Inf(1))
	if !ok {
		return deepPlace{}
	}
	p.depth = r3.Norm(r3.Sub(q, p.at))
	reach = min(reach, 2*p.depth)
	near := g.within(p.at, p.depth+2*reach)
	best, at, depth := p, p.at, p.depth
	for step := reach / 2; step > 1e-5*p.depth && depth > 0; step *= 0.8 {
		// Less than the depth, so that no step leads out of the solid.
		at = r3.Add(at, r3.Scale(min(step/depth, 0.9), r3.Sub(at, q)))
		if r3.Norm(r3.Sub(at, p.at)) > reach {
			break
		}
		q, depth = g.nearestOf(at, near)
		if depth > best.depth {
			best = deepPlace{at, depth}
		}
	}
	if len(near) >= mostFacets { // the sample may have passed over the nearest
		if q, ok := g.nearest(best.at, best.depth*1.1); ok {
			best.depth = r3.Norm(r3.Sub(q, best.at))
		}
	}
	return best
}

// within lists the facets of the cells that reach within r of p.
func (g *facetGrid) within(p r3.Vec, r float64) []int32 {
	reach := r3.Vec{X: r, Y: r, Z: r}
	lo, hi := g.cell(r3.Sub(p, reach)), g.cell(r3.Add(p, reach))
	half := r3.Scale(0.5, g.cells.Pitch)
	var list []int32
	for k := lo[2]; k <= hi[2]; k++ {
		for j := lo[1]; j <= hi[1]; j++ {
			for i := lo[0]; i <= hi[0]; i++ {
				c := g.cells.Index(i, j, k)
				if g.first[c] == g.first[c+1] || !boxWithin(r3.Sub(g.cells.Center(i, j, k), p), half, r) {
					continue
				}
				list = append(list, g.in(c)...)
			}
		}
	}
	slices.Sort(list)
	list = slices.Compact(list)
	if every := (len(list) + mostFacets - 1) / mostFacets; every > 1 {
		kept := list[:0]
		for i := 0; i < len(list); i += every {
			kept = append(kept, list[i])
		}
		for len(kept) < mostFacets { // say so to the caller by the length
			kept = append(kept, kept[len(kept)-1])
		}
		list = kept
	}
	return list
}

// boxWithin reports whether a box about c with half edges half reaches within r
// of the origin.
func boxWithin(c, half r3.Vec, r float64) bool {
	gap := r3.Vec{
		X: max(math.Abs(c.X)-half.X, 0),
		Y: max(math.Abs(c.Y)-half.Y, 0),
		Z: max(math.Abs(c.Z)-half.Z, 0),
	}
	return r3.Norm2(gap) <= r*r
}

// nearestOf gives the nearest point on the facets listed, and its distance.
func (g *facetGrid) nearestOf(p r3.Vec, facets []int32) (r3.Vec, float64) {
	best := math.Inf(1)
	var at r3.Vec
	for _, f := range facets {
		a, b, c := g.mesh.Corners(int(f))
		q := nearestOnFacet(p, a, b, c)
		if d2 := r3.Norm2(r3.Sub(q, p)); d2 < best {
			best, at = d2, q
		}
	}
	return at, math.Sqrt(best)
}
