package furnace

import (
	"context"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
)

// footprint gives for every bottom brick the share of its face where m comes
// within the tolerance of the setter: one thin layer of bricks, filled. Bricks
// that only a tip reaches, between the lines, get a trifle. It is nil where the
// lattice begins above the setter.
func (md *model) footprint(ctx context.Context, m *mesh.Mesh) ([]float32, error) {
	if md.lattice.Origin.Z > restTolerance {
		return nil, nil
	}
	v, err := m.Voxels(ctx, sole(md.lattice), linesPerBrick)
	if err != nil {
		return nil, err
	}
	for i := range m.Facets {
		a, b, c := m.Corners(i)
		for _, p := range [3]r3.Vec{a, b, c} {
			if p.Z <= restTolerance {
				md.touchDown(v, p)
			}
		}
	}
	return v.Fill, nil
}

// touchDown gives a trifle of footprint to the brick above point p of the
// setter, unless a brick that has p in its face, or on its rim, has some already.
func (md *model) touchDown(foot *mesh.Voxels, p r3.Vec) {
	const trifle, rim = 1e-6, 1e-6
	l := foot.Lattice
	u, v := (p.X-l.Origin.X)/l.Pitch.X, (p.Y-l.Origin.Y)/l.Pitch.Y
	best := -1
	for _, i := range [2]int{int(math.Floor(u - rim)), int(math.Floor(u + rim))} {
		for _, j := range [2]int{int(math.Floor(v - rim)), int(math.Floor(v + rim))} {
			if i < 0 || j < 0 || i >= l.N[0] || j >= l.N[1] {
				continue
			}
			at := l.Index(i, j, 0)
			if foot.Fill[at] > 0 {
				return
			}
			if best < 0 || md.solid[at] > md.solid[best] {
				best = at
			}
		}
	}
	if best >= 0 {
		foot.Fill[best] = trifle
	}
}
