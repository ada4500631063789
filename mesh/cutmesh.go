package mesh

import (
	"math/big"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// cutMesh is an arrangement as a mesh: first the facets that were not cut, then the
// pieces.
type cutMesh struct {
	*arrangement
	mesh   *Mesh
	whole  []int32 // which the facets that were not cut are
	pieces []piece
}

// piece gives the piece that facet i is, nil where it is whole.
func (c *cutMesh) piece(i int32) *piece {
	if n := int(i) - len(c.whole); n >= 0 {
		return &c.pieces[n]
	}
	return nil
}

// layers gives how many layers of the surface lie in facet i.
func (c *cutMesh) layers(i int32) int32 {
	if p := c.piece(i); p != nil {
		return p.layers
	}
	return 1
}

// of reports whether facet i may be a piece of a facet of the surface, or is it.
func (c *cutMesh) of(i, facet int32) bool {
	p := c.piece(i)
	if p == nil {
		return c.whole[i] == facet
	}
	_, ok := slices.BinarySearch(p.group, facet)
	return ok
}

// middle gives the exact middle of facet i, and the same rounded, in steps of the
// grid.
func (c *cutMesh) middle(i int32) (exactPoint, r3.Vec) {
	var at [3]exactPoint
	p := c.piece(i)
	for k := range 3 {
		if p != nil {
			at[k] = c.table.points[p.places[k]]
		} else {
			at[k].at = c.corner(c.m.Facets[c.whole[i]][k])
		}
	}
	w := [3]*big.Int{at[0].coordinate(3), at[1].coordinate(3), at[2].coordinate(3)}
	var out exactPoint
	for k := range 3 {
		out.h[k] = new(big.Int)
		for j := range 3 {
			term := new(big.Int).Mul(at[j].coordinate(k), w[(j+1)%3])
			out.h[k].Add(out.h[k], term.Mul(term, w[(j+2)%3]))
		}
	}
	out.h[3] = new(big.Int).Mul(w[0], w[1])
	out.h[3].Mul(out.h[3], w[2]).Mul(out.h[3], big.NewInt(3))
	return out, r3.Vec{X: quotient(out.h[0], out.h[3]), Y: quotient(out.h[1], out.h[3]), Z: quotient(out.h[2], out.h[3])}
}

// patches gathers the facets that hang together over edges of two, face one way and
// have as many layers, and calls visit for each: what lies on either side is the
// same for all of a patch.
func (c *cutMesh) patches(t *Topology, visit func(patch []int32) error) error {
	seen := make([]bool, len(c.mesh.Facets))
	var patch []int32
	for start := range c.mesh.Facets {
		if seen[start] {
			continue
		}
		seen[start] = true
		patch = append(patch[:0], int32(start))
		for k := 0; k < len(patch); k++ {
			i := int(patch[k])
			for side := 3 * i; side < 3*i+3; side++ {
				twin, ok := t.Twin(side)
				if !ok || !t.Agrees(side, twin) || seen[twin/3] || c.layers(int32(twin/3)) != c.layers(int32(i)) {
					continue
				}
				seen[twin/3] = true
				patch = append(patch, int32(twin/3))
			}
		}
		if err := visit(patch); err != nil {
			return err
		}
	}
	return nil
}
