package mesh

import (
	"context"
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// cavitySamples is the number of places on the surface of the cavities, beside
// their corners, whose depth below the outside is measured.
const cavitySamples = 4096

// onCavity gives the places on the surface of closed cavities that lie deepest below
// what can be reached from outside. What leaves the solid there has to go all the
// way out, so that the wall counts twice its thickness.
func (s *wallSurvey) onCavity(ctx context.Context) ([]Wall, error) {
	if s.cavity == nil {
		return nil, nil
	}
	places := spreadOver(s.cavity, cavitySamples)
	for i, f := range s.cavity.Facets {
		if i%(1+len(s.cavity.Facets)/cavitySamples) == 0 {
			places = append(places, surfacePlace{s.cavity.Vertices[f[0]], int32(i)})
		}
	}
	deep := make([]depthAcross, len(places))
	err := inBatches(ctx, len(places), 16, func(lo, hi int) {
		for i := lo; i < hi; i++ {
			at := places[i].at
			q, ok := s.outside.nearest(at, math.Inf(1))
			if d := r3.Norm(r3.Sub(q, at)); ok && d > 0 {
				deep[i] = depthAcross{deepPlace{at, d}, r3.Scale(1/d, r3.Sub(q, at))}
			}
		}
	})
	if err != nil {
		return nil, err
	}
	sortDeepest(deep)
	var walls []Wall
	for _, p := range allWays(nil, deep) {
		if n := thinned(s.outside.contacts(p.at, p.depth)); len(n) > 0 {
			walls = append(walls, Wall{MM: 2 * p.depth, At: p.at, Normals: n, AtCavity: true})
		}
	}
	return walls, nil
}
