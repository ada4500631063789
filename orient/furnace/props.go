package furnace

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
)

// Prop is something that carries the part besides the plane of the setter.
type Prop struct {
	// Shape is a closed mesh in the furnace frame, mm.
	Shape *mesh.Mesh
	// Ceramic makes it a shaped setter or a block: it gives way nowhere, carries
	// what lies on its top (within half a brick), does not hold what lifts, and
	// takes no part in the answer otherwise. It does not shrink, so the part slides
	// over it towards the middle of its foot, and Friction, Coulomb's coefficient,
	// drags at the part the other way.
	Ceramic  bool
	Friction float64
	// Loose makes it a block of the part's own metal, or a bed of sand, that stands on
	// the setter by itself: it too carries only what lies on its top, shrinks with the
	// part or gives way sideways to it, and comes down as upright columns of its
	// stiffness do, under the part and, by Density, under its own weight.
	Loose bool
	// Density is the solid share of a metal support, above 0, at most 1. A prop that is
	// neither ceramic nor loose is a support, or a raft, of the part's own metal that is
	// left on through the firing: it is grown to the part where they touch one above the
	// other, and weighs and gives way by its density. Sideways it touches nothing, as
	// supports keep a gap there.
	Density float64
	// Stiffness is what a metal support carries as a share of solid metal; 0
	// takes Density, which is right for upright walls or columns (their sections
	// side by side). For a foam-like filling take Density squared (Gibson and
	// Ashby, Cellular Solids; from memory).
	Stiffness float64
}

// BoxProp gives a prop in the shape of a box from lo to hi: ceramic where
// density is 0, else a metal support of that density.
func BoxProp(lo, hi r3.Vec, density float64) Prop {
	return Prop{Shape: boxMesh(lo, hi), Ceramic: density == 0, Density: density}
}

// grown reports whether the prop is metal that hangs together with the part.
func (p *Prop) grown() bool { return !p.Ceramic && !p.Loose }

// stiffness gives the share of solid stiffness.
func (p Prop) stiffness() float64 {
	if p.Stiffness == 0 {
		return p.Density
	}
	return p.Stiffness
}

// validate says in words what is wrong with prop number i.
func (p Prop) validate(i int) error {
	switch {
	case p.Shape == nil || len(p.Shape.Facets) == 0:
		return fmt.Errorf("furnace: prop %d has no shape", i+1)
	case !(p.Friction >= 0):
		return fmt.Errorf("furnace: prop %d has friction %g, it must be 0 or more", i+1, p.Friction)
	case p.Ceramic && p.Loose:
		return fmt.Errorf("furnace: prop %d is ceramic and loose metal at once", i+1)
	case p.Ceramic, p.Loose && p.Density == 0 && p.Stiffness > 0 && p.Stiffness <= 1:
		return nil
	case !(p.Density > 0 && p.Density <= 1):
		return fmt.Errorf("furnace: prop %d has density %g, a support needs one above 0 and at most 1", i+1, p.Density)
	case !(p.stiffness() > 0 && p.stiffness() <= 1) || math.IsNaN(p.Stiffness):
		return fmt.Errorf("furnace: prop %d has stiffness %g, a support needs one above 0 and at most 1", i+1, p.Stiffness)
	}
	return nil
}

// boxMesh is a box from lo to hi, facing outward.
func boxMesh(lo, hi r3.Vec) *mesh.Mesh {
	m := &mesh.Mesh{}
	for n := range corners {
		pick := func(a int, low, high float64) float64 {
			if n>>a&1 == 1 {
				return high
			}
			return low
		}
		m.Vertices = append(m.Vertices, r3.Vec{X: pick(0, lo.X, hi.X), Y: pick(1, lo.Y, hi.Y), Z: pick(2, lo.Z, hi.Z)})
	}
	for _, q := range [6][4]int32{{0, 2, 3, 1}, {4, 5, 7, 6}, {0, 1, 5, 4}, {2, 6, 7, 3}, {0, 4, 6, 2}, {1, 3, 7, 5}} {
		m.Facets = append(m.Facets, [3]int32{q[0], q[1], q[2]}, [3]int32{q[0], q[2], q[3]})
	}
	return m
}
