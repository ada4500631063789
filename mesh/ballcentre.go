package mesh

import (
	"cmp"
	"context"
	"math"
	"math/bits"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

const (
	// fewBricks is the depth in bricks below which the lattice alone is too
	// coarse to find the thickest place; below surelyInside the middle of a
	// half-filled brick may even lie outside. candidates is how many places are
	// looked at closely: on the lattice depths differ from the true ones by half a
	// brick either way.
	fewBricks    = 6
	surelyInside = 2
	candidates   = 24
)

// deepPlace is a candidate for the centre of the largest ball, with the distance to
// the surface as far as it is known.
type deepPlace struct {
	at    r3.Vec
	depth float64
}

// wallSurvey is what the thickest places are sought in.
type wallSurvey struct {
	caliper // over the whole surface
	// outside is over what can be reached from outside: all but closed cavities.
	// Without these it is the same as the caliper's; cavity is nil then.
	outside *facetGrid
	cavity  *Mesh
	voxels  *Voxels // the solid with its cavities filled
	chords  []chord
}

// open lays out the grids for a mesh with the given cavities.
func (s *wallSurvey) open(ctx context.Context, m *Mesh, cavity []bool) error {
	grid, err := newFacetGrid(ctx, m, m.Bounds())
	if err != nil {
		return err
	}
	s.caliper = newCaliper(grid)
	s.outside = s.facetGrid
	outside, inner := m.apart(cavity)
	if s.cavity = inner; inner != nil {
		s.outside, err = newFacetGrid(ctx, outside, outside.Bounds())
	}
	return err
}

// apart gives the facets of m that are not marked and those that are, as meshes of
// the same vertices; m itself and nil where none or all are marked.
func (m *Mesh) apart(marked []bool) (rest, chosen *Mesh) {
	rest, chosen = &Mesh{Vertices: m.Vertices}, &Mesh{Vertices: m.Vertices}
	for i, f := range m.Facets[:min(len(marked), len(m.Facets))] {
		if marked[i] {
			chosen.Facets = append(chosen.Facets, f)
		} else {
			rest.Facets = append(rest.Facets, f)
		}
	}
	if len(chosen.Facets) == 0 || len(rest.Facets) == 0 {
		return m, nil
	}
	return rest, chosen
}

// thickest seeks the largest balls that fit inside.
func (s *wallSurvey) thickest(ctx context.Context) ([]Wall, error) {
	depths := s.voxels.Depths()
	starts, bricks := deepest(s.voxels, depths)
	lattice := starts
	if bricks < surelyInside {
		starts = nil
	}
	if bricks < fewBricks || s.cavity != nil {
		depths = nil
	}
	mids, err := s.chordMiddles(ctx, depths)
	if err != nil {
		return nil, err
	}
	if bricks < fewBricks {
		for _, c := range mids[:min(candidates, len(mids))] {
			starts = append(starts, c.deepPlace)
		}
	}
	starts = allWays(starts, mids)
	balls, err := s.ascents(ctx, starts)
	if err != nil {
		return nil, err
	}
	best := 0.0
	for _, b := range balls {
		best = max(best, b.depth)
	}
	pitch := s.voxels.Pitch
	if least := bricks*max(pitch.X, pitch.Y, pitch.Z) - r3.Norm(pitch); least > best && s.cavity == nil {
		return []Wall{fromLattice(s.voxels, lattice[0].at)}, nil
	}
	onCavity, err := s.onCavity(ctx)
	if err != nil {
		return nil, err
	}
	about, err := s.wallsAbout(ctx, balls)
	if err != nil {
		return nil, err
	}
	walls := append(about, onCavity...)
	if len(walls) == 0 {
		return nil, ErrNoSolid
	}
	return telling(walls), nil
}

// ascents moves the starts to the depths nearby. Those that end in a cavity are
// left out: the solid is deepest on its surface then.
func (s *wallSurvey) ascents(ctx context.Context, starts []deepPlace) ([]deepPlace, error) {
	reach := 2 * r3.Norm(s.voxels.Pitch)
	balls := make([]deepPlace, len(starts))
	err := inBatches(ctx, len(starts), 1, func(i, _ int) {
		balls[i] = s.outside.ascend(starts[i], reach)
		if s.cavity != nil && !s.inside(balls[i].at) {
			balls[i] = deepPlace{}
		}
	})
	return balls, err
}

// wallsAbout tells what bounds the balls: those that are held between faces, and the
// largest other one where it is larger by more than they are good to.
func (s *wallSurvey) wallsAbout(ctx context.Context, balls []deepPlace) ([]Wall, error) {
	var held []Wall
	var loosest Wall
	for i, b := range balls {
		if b.depth == 0 || s.crowded() && slices.ContainsFunc(balls[:i], b.samePlace) {
			continue
		}
		w, ok := s.wallAbout(ctx, b)
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		switch {
		case ok:
			held = append(held, w)
		case len(w.Normals) > 0 && w.MM > loosest.MM:
			loosest = w
		}
	}
	best := 0.0
	for _, w := range held {
		best = max(best, w.MM)
	}
	if loosest.MM > (1+2*contactSlack)*best {
		held = append(held, loosest)
	}
	return held, nil
}

// crowdedFacets is from how many facets on balls in about the same place are told
// apart no more: each then takes a good part of a second where facets are long.
const crowdedFacets = 100_000

func (s *wallSurvey) crowded() bool { return len(s.outside.mesh.Facets) >= crowdedFacets }

// samePlace reports whether another place is so near, and as deep, that the same
// facets bound its ball.
func (p deepPlace) samePlace(o deepPlace) bool {
	const near = 0.002 // of the depth: less than contactSlack
	return r3.Norm(r3.Sub(p.at, o.at)) <= near*p.depth && math.Abs(p.depth-o.depth) <= near*p.depth
}

// wallAbout tells what bounds a ball. One that is not held yet goes on along the way
// on which its depth grows most.
func (s *wallSurvey) wallAbout(ctx context.Context, b deepPlace) (w Wall, held bool) {
	const again = 8
	for range again {
		if ctx.Err() != nil {
			return Wall{}, false
		}
		w = Wall{MM: 2 * b.depth, At: b.at}
		way := w.bound(s.outside.contacts(b.at, b.depth))
		if held = way == (r3.Vec{}); held {
			break
		}
		next := s.outside.climb(ctx, b, way)
		if !(next.depth > b.depth) || s.cavity != nil && !s.inside(next.at) {
			break
		}
		b = next
	}
	if s.cavity != nil {
		_, w.AtCavity = s.nearest(w.At, w.MM/2*(1-contactSlack))
	}
	return w, held
}

// climb moves a place along way, as far as it becomes deeper, and then up to the
// ridge there.
func (g *facetGrid) climb(ctx context.Context, p deepPlace, way r3.Vec) deepPlace {
	for step := p.depth / 4; step > 1e-3*p.depth && ctx.Err() == nil; step /= 2 {
		at := r3.Add(p.at, r3.Scale(step, way))
		if q, ok := g.nearest(at, 2*p.depth); ok && r3.Norm(r3.Sub(q, at)) > p.depth {
			return g.ascend(deepPlace{at: at}, step)
		}
	}
	return p
}

// telling sorts walls by thickness and leaves out those that are no thicker than
// another one whatever is done to the size of the part along some axes.
func telling(walls []Wall) []Wall {
	slices.SortStableFunc(walls, func(a, b Wall) int { return cmp.Compare(b.MM, a.MM) })
	var kept []Wall
	for _, w := range walls {
		if w.MM < alsoThick*walls[0].MM || len(kept) == mostWalls {
			break
		}
		if !slices.ContainsFunc(kept, func(k Wall) bool { return k.boundsAs(w) }) {
			kept = append(kept, w)
		}
	}
	return kept
}

// boundsAs reports whether the wall o is bounded, among others, by faces such as
// those that bound w.
func (w Wall) boundsAs(o Wall) bool {
	for _, n := range w.Normals {
		if !slices.ContainsFunc(o.Normals, func(p r3.Vec) bool { return math.Abs(r3.Dot(n, p)) > sameWay }) {
			return false
		}
	}
	return true
}

// fromLattice takes the thickest place as the lattice has it, within a brick.
// It stands in where bodies overlap or touch inside the part: their buried
// faces would be mistaken for the surface.
func fromLattice(v *Voxels, at r3.Vec) Wall {
	best := math.Inf(1)
	var normal r3.Vec
	for i, f := range v.Fill {
		if f >= 0.5 {
			continue
		}
		out := r3.Sub(v.Center(i%v.N[0], i/v.N[0]%v.N[1], i/v.N[0]/v.N[1]), at)
		if d := r3.Norm(out); d < best {
			best, normal = d, r3.Scale(1/d, out)
		}
	}
	for a, out := range axes { // beyond the lattice nothing is solid either
		low := component(at, a) - component(v.Origin, a)
		high := float64(v.N[a])*component(v.Pitch, a) - low
		half := component(v.Pitch, a) / 2
		if d := min(low, high) + half; d < best {
			best, normal = d, out
		}
	}
	return Wall{MM: 2*best - max(v.Pitch.X, v.Pitch.Y, v.Pitch.Z), At: at, Normals: []r3.Vec{normal}}
}

// axes are the unit vectors.
var axes = [3]r3.Vec{{X: 1}, {Y: 1}, {Z: 1}}

// deepest gives a few places deep inside, apart from one another, and how many
// bricks deep the deepest is.
func deepest(v *Voxels, d2 []float32) (places []deepPlace, bricks float64) {
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

// depthAcross is a deep place with a unit vector across the wall there.
type depthAcross struct {
	deepPlace
	across r3.Vec
}

func sortDeepest(places []depthAcross) {
	slices.SortStableFunc(places, func(a, b depthAcross) int { return cmp.Compare(b.depth, a.depth) })
}

// chordMiddles gives the middles of chords, deepest first: in a part of thin walls
// they find what the lattice is too coarse for, elsewhere the walls that lie across
// other ways than the thickest. Their depth is read off the squared depths of the
// lattice, or measured where these are nil.
func (s *wallSurvey) chordMiddles(ctx context.Context, depths []float32) ([]depthAcross, error) {
	const every = 4 // a quarter of the chords is enough here
	mids := make([]depthAcross, len(s.chords)/every)
	err := inBatches(ctx, len(mids), 16, func(lo, hi int) {
		for i := lo; i < hi; i++ {
			c := s.chords[i*every]
			if c.length == 0 {
				continue
			}
			mids[i] = depthAcross{s.deep(c, depths), c.along}
		}
	})
	sortDeepest(mids)
	return mids, err
}

// deep tells how deep the middle of a chord lies.
func (s *wallSurvey) deep(c chord, depths []float32) deepPlace {
	p := deepPlace{c.middle, c.length / 2}
	if depths != nil {
		p.depth = min(p.depth, math.Sqrt(float64(depths[s.voxels.brickAt(c.middle)])))
		return p
	}
	within := p.depth
	if s.cavity != nil { // where the chord ends, the depth need not
		within = math.Inf(1)
	}
	if q, ok := s.outside.nearest(c.middle, within); ok {
		p.depth = r3.Norm(r3.Sub(q, c.middle))
	}
	return p
}

// allWays adds to the starts, of places sorted by depth, those that may be the middle
// of other walls nearly as thick: the deepest few for each way that walls lie, apart
// from what is there.
func allWays(starts []deepPlace, mids []depthAcross) []deepPlace {
	const (
		eachWay = 2
		most    = 24
	)
	best := 0.0
	for _, p := range starts {
		best = max(best, p.depth)
	}
	counts := map[[3]int]int{}
	end := len(starts) + most
	for _, m := range mids {
		if m.depth < alsoThick*best || m.depth == 0 || len(starts) == end {
			break
		}
		way := wayOf(m.across)
		apart := func(p deepPlace) bool { return r3.Norm(r3.Sub(p.at, m.at)) > m.depth/2 }
		if counts[way] < eachWay && all(starts, apart) {
			starts = append(starts, m.deepPlace)
			counts[way]++
		}
		best = max(best, m.depth)
	}
	return starts
}

// wayOf sorts directions into the thirteen from the middle of a cube to its faces,
// edges and corners, opposite ones as one.
func wayOf(d r3.Vec) (way [3]int) {
	big := max(math.Abs(d.X), math.Abs(d.Y), math.Abs(d.Z))
	sign := 0
	for a := range 3 {
		way[a] = int(math.Round(component(d, a) / big))
		if sign == 0 {
			sign = way[a]
		}
	}
	for a := range way {
		way[a] *= sign
	}
	return way
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
	var list []int32
	g.eachWithin(p, r, func(f int32) { list = append(list, f) })
	list = eachOnce(list, len(g.mesh.Facets))
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

// eachOnce gives the numbers below n that are in a list, in order.
func eachOnce(list []int32, n int) []int32 {
	const wide = 64 // bits of a word
	if len(list) < n/wide {
		slices.Sort(list)
		return slices.Compact(list)
	}
	// Of a long list, as of long facets in many cells each, a mark for each number
	// takes less than sorting.
	marks := make([]uint64, n/wide+1)
	for _, f := range list {
		marks[f/wide] |= 1 << (f % wide)
	}
	list = list[:0]
	for k, word := range marks {
		for ; word != 0; word &= word - 1 {
			list = append(list, int32(k*wide+bits.TrailingZeros64(word)))
		}
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
