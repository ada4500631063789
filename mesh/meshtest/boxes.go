package meshtest

import (
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
)

// Box is an upright box given by two opposite corners, mm.
type Box struct{ From, To [3]float64 }

// At gives the box of the given size with its least corner at x, y, z.
func At(x, y, z, width, depth, height float64) Box {
	return Box{From: [3]float64{x, y, z}, To: [3]float64{x + width, y + depth, z + height}}
}

func (b Box) holds(p [3]float64) bool {
	for a := range p {
		if p[a] < b.From[a] || p[a] > b.To[a] {
			return false
		}
	}
	return true
}

// Boxes gives the union of boxes less the hollows as one closed surface: what most
// fabricated brackets, frames and housings are made of. Boxes that share
// an edge only give a surface that meets itself there.
func Boxes(solid []Box, hollows ...Box) *mesh.Mesh {
	var at [3][]float64
	for _, b := range append(slices.Clone(solid), hollows...) {
		for a := range at {
			at[a] = append(at[a], b.From[a], b.To[a])
		}
	}
	for a := range at {
		slices.Sort(at[a])
		at[a] = slices.Compact(at[a])
	}
	middle := func(a, i int) float64 { return (at[a][i] + at[a][i+1]) / 2 }
	return Blocks(at[0], at[1], at[2], func(i, j, k int) bool {
		p := [3]float64{middle(0, i), middle(1, j), middle(2, k)}
		inside := func(b Box) bool { return b.holds(p) }
		return slices.ContainsFunc(solid, inside) && !slices.ContainsFunc(hollows, inside)
	})
}

// Together puts closed bodies into one mesh, as a drawing program exports a part
// whose bodies were never joined; mesh.Mend makes one of those that run through
// each other.
func Together(bodies ...*mesh.Mesh) *mesh.Mesh {
	all := &mesh.Mesh{}
	for _, b := range bodies {
		all.Append(b)
	}
	return all
}

// Moved gives m moved by x, y, z.
func Moved(m *mesh.Mesh, x, y, z float64) *mesh.Mesh {
	return m.Transform(mesh.Identity(), r3.Vec{X: x, Y: y, Z: z})
}
