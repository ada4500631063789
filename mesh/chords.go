package mesh

import (
	"context"
	"math"
	"runtime"
	"sort"
	"sync/atomic"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh/parallel"
)

// caliper measures through the solid from face to face.
type caliper struct {
	*facetGrid
	outward float64 // 1, or -1 where the facets of the mesh face inward
}

func newCaliper(g *facetGrid) caliper {
	if g.mesh.insideOut() {
		return caliper{g, -1}
	}
	return caliper{g, 1}
}

// chord is a straight line through the solid, at right angles to the surface
// at its start.
type chord struct {
	middle r3.Vec
	along  r3.Vec  // unit vector from its start to its end
	length float64 // 0: the line never left the solid, or began inside a body
	facing float64 // cosine between the inward normal at its start and the outward one at its end
}

// chords measures through the solid from places on its surface, up to a length.
func (c caliper) chords(ctx context.Context, places []surfacePlace, longest float64) ([]chord, error) {
	out := make([]chord, len(places))
	const batch = 64
	err := inBatches(ctx, len(places), batch, func(lo, hi int) {
		hits := make([]rayHit, 0, 32)
		for k := lo; k < hi; k++ {
			out[k] = c.chord(places[k], longest, hits)
		}
	})
	return out, err
}

// chord measures the wall behind one place of the surface.
func (c caliper) chord(p surfacePlace, longest float64, hits []rayHit) chord {
	n := c.mesh.AreaVector(int(p.facet))
	if n == (r3.Vec{}) {
		return chord{}
	}
	dir := r3.Scale(-c.outward, r3.Unit(n))
	h, ok := c.exit(p.at, dir, longest, p.facet, c.outward, hits)
	if !ok || c.buried(p.at, r3.Scale(-1, dir), p.facet, c.outward, hits) {
		return chord{}
	}
	return chord{middle: r3.Add(p.at, r3.Scale(h.t/2, dir)), along: dir, length: h.t, facing: h.along}
}

// inside reports whether p lies in the solid.
func (c caliper) inside(p r3.Vec) bool {
	askew := r3.Vec{X: 0.36, Y: 0.48, Z: 0.8} // along no edge that parts are wont to have
	return c.buried(p, askew, -1, c.outward, nil)
}

// surfacePlace is a point on a facet.
type surfacePlace struct {
	at    r3.Vec
	facet int32
}

// spreadOver gives n places spread evenly over the area of m.
func spreadOver(m *Mesh, n int) []surfacePlace {
	sum := make([]float64, len(m.Facets)+1)
	for i := range m.Facets {
		sum[i+1] = sum[i] + r3.Norm(m.AreaVector(i))
	}
	total := sum[len(sum)-1]
	out := make([]surfacePlace, n)
	for k := range out {
		area := (float64(k) + 0.5) / float64(n) * total
		f := max(min(sort.SearchFloat64s(sum, area), len(m.Facets))-1, 0)
		out[k] = m.placeOn(f, k)
	}
	return out
}

// onEachFacet gives n places, as many on each facet of m, or on every so-manieth.
func onEachFacet(m *Mesh, n int) []surfacePlace {
	out := make([]surfacePlace, n)
	for k := range out {
		out[k] = m.placeOn(int(int64(k)*int64(len(m.Facets))/int64(n)), k)
	}
	return out
}

// placeOn gives a point within facet f, another one for each k.
func (m *Mesh) placeOn(f, k int) surfacePlace {
	a, b, c := m.Corners(f)
	u, v := spread(k)
	return surfacePlace{r3.Add(a, r3.Add(r3.Scale(u, r3.Sub(b, a)), r3.Scale(v, r3.Sub(c, a)))), int32(f)}
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
