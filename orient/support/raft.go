package support

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
)

// ErrNoFoot is returned where nothing stands on the plate that a raft could carry.
var ErrNoFoot = errors.New("support: nothing rests on the plate, so there is nothing for a raft to carry")

// Raft builds a plate below the part and the bodies that stand on the plate: the
// hull of their feet, grown by the margin, with RaftGapMM of air over it. It lies
// below z = 0: whoever prints it lifts everything by RaftMM + RaftGapMM.
func (s *Site) Raft(p *Plan, b BodySettings, bodies []Body) (Body, error) {
	points := s.feet(bodies)
	if len(points) == 0 {
		return Body{}, ErrNoFoot
	}
	if !(b.RaftMM > 0 && b.RaftGapMM >= 0 && b.RaftMarginMM > 0) {
		return Body{}, errors.New("support: a raft needs a thickness and a margin above 0, and a gap of 0 or more")
	}
	const round = 24 // corners of the margin about a point
	var grown []r2.Vec
	for _, f := range mesh.Outline(points) {
		for k := range round {
			sin, cos := math.Sincos(2 * math.Pi * float64(k) / round)
			grown = append(grown, r2.Vec{X: f.X + b.RaftMarginMM*cos, Y: f.Y + b.RaftMarginMM*sin})
		}
	}
	raft := Body{Name: RaftBody.String(), Kind: RaftBody, Item: -1}
	raft.Mesh = slab(mesh.Outline(grown), -b.RaftGapMM-b.RaftMM, -b.RaftGapMM)
	p.weigh(&raft)
	return raft, nil
}

// feet gives where the part and the bodies stand on the plate.
func (s *Site) feet(bodies []Body) []r2.Vec {
	var points []r2.Vec
	for i, k := range s.Stance.Kinds {
		if k == Base {
			a, b, c := s.Stance.corners(int32(i))
			points = append(points, plan(a), plan(b), plan(c))
		}
	}
	for _, b := range bodies {
		for _, v := range b.Mesh.Vertices {
			if math.Abs(v.Z) <= BaseTolerance {
				points = append(points, plan(v))
			}
		}
	}
	return points
}

// slab is the upright prism over a convex outline that turns to the left.
func slab(outline []r2.Vec, low, high float64) *mesh.Mesh {
	m := &mesh.Mesh{}
	n := int32(len(outline))
	for _, z := range []float64{low, high} {
		for _, p := range outline {
			m.Vertices = append(m.Vertices, r3.Vec{X: p.X, Y: p.Y, Z: z})
		}
	}
	for i := range n {
		k := (i + 1) % n
		m.Facets = append(m.Facets, [3]int32{i, k, n + k}, [3]int32{i, n + k, n + i})
		if i > 0 && k > 0 {
			m.Facets = append(m.Facets, [3]int32{0, k, i}, [3]int32{n, n + i, n + k})
		}
	}
	return m
}
