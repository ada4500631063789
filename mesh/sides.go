package mesh

import (
	"cmp"
	"math"
	"math/big"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

const (
	// maxAngles bounds the solid angles worked out, some ten seconds' worth.
	maxAngles = 400_000_000
	// windingDoubt is how far a winding number may be from a whole one.
	windingDoubt = 0.2
)

// sideFinder finds how many times over the places on both sides of a facet of a cut
// mesh are inside. It works on the grid, on which the pieces are exact.
type sideFinder struct {
	*cutMesh
	boxes  []Box     // of the shells, in steps
	facets [][]int32 // by shell
	angles int
}

func newSideFinder(c *cutMesh, s *shellSurvey) *sideFinder {
	f := &sideFinder{cutMesh: c, boxes: make([]Box, len(s.list)), facets: make([][]int32, len(s.list))}
	for q := range f.boxes {
		f.boxes[q] = emptyBox()
	}
	for i, q := range s.of {
		if q < 0 {
			continue
		}
		f.facets[q] = append(f.facets[q], int32(i))
		for _, v := range c.m.Facets[i] {
			f.boxes[q].take(&c.steps.Vertices[v])
		}
	}
	return f
}

// bounds reports whether a patch has solid on its back and none before it. Any of
// its facets tells; the largest do so most clearly.
func (f *sideFinder) bounds(patch []int32) (bool, error) {
	for _, i := range f.largest(patch) {
		middle, err := f.winding(i)
		if err != nil {
			return false, err
		}
		// The facets of the place itself are left out: halfway between both sides.
		front := middle - float64(f.layers(i))/2
		if math.Abs(front-math.Round(front)) > windingDoubt {
			continue
		}
		n := int32(math.Round(front))
		if n < 0 {
			return false, errInsideOut
		}
		return n == 0, nil
	}
	return false, errUnclear
}

// largest gives the few largest facets of a patch, the largest first.
func (f *sideFinder) largest(patch []int32) []int32 {
	const few = 5
	var out []int32
	var areas []float64
	for _, i := range patch {
		a := r3.Norm2(f.mesh.AreaVector(int(i)))
		if len(out) == few && a <= areas[few-1] {
			continue
		}
		at, _ := slices.BinarySearchFunc(areas, a, func(x, y float64) int { return cmp.Compare(y, x) })
		out, areas = slices.Insert(out, at, i), slices.Insert(areas, at, a)
		out, areas = out[:min(len(out), few)], areas[:min(len(areas), few)]
	}
	return out
}

// winding gives the winding number of all facets but those that facet i of the cut
// mesh may be of, at its middle. A closed shell adds nothing outside of its box.
func (f *sideFinder) winding(i int32) (float64, error) {
	exact, middle := f.middle(i)
	here := Box{Min: middle, Max: middle}
	var sum float64
	wait := pause{ctx: f.ctx}
	for q := range f.boxes {
		if !f.boxes[q].meets(&here) {
			continue
		}
		if f.angles += len(f.facets[q]); f.angles > maxAngles {
			return 0, errCrowded
		}
		for _, j := range f.facets[q] {
			if wait.over() {
				return 0, f.ctx.Err()
			}
			if !f.of(i, j) {
				sum += f.angle(j, &exact, middle)
			}
		}
	}
	return sum / (4 * math.Pi), nil
}

// closeBy is the sine below which a place so near to a facet's plane that rounding
// could put it on the wrong side is looked at exactly.
const closeBy = 1e-6

// angle gives the solid angle of a facet seen from a place, which is given exactly
// and rounded. Before a facet that is almost touched the angle is half the sphere,
// one way or the other.
func (f *sideFinder) angle(i int32, exact *exactPoint, from r3.Vec) float64 {
	a, b, c := f.steps.Corners(int(i))
	a, b, c = r3.Sub(a, from), r3.Sub(b, from), r3.Sub(c, from)
	det, cosines, volume := angleParts(a, b, c)
	if math.Abs(det) > closeBy*volume || cosines > closeBy*volume {
		return 2 * math.Atan2(det, cosines)
	}
	facet := f.facet(i)
	side := facet.sideOf(exact)
	if side == 0 {
		return 0
	}
	return 2 * math.Atan2(math.Copysign(det, -float64(side)), cosines)
}

// sideOf gives on which side of the facet's plane a place lies.
func (f *gridFacet) sideOf(p *exactPoint) int {
	sum := new(big.Int)
	for k := range 3 {
		d := new(big.Int).Mul(p.coordinate(3), big.NewInt(f.at[0][k]))
		d.Sub(p.coordinate(k), d)
		sum.Add(sum, d.Mul(d, big.NewInt(f.normal[k])))
	}
	return sum.Sign()
}
