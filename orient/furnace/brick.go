package furnace

import (
	"errors"

	"gonum.org/v1/gonum/mat"
)

// The eight-node brick with incompatible modes
//
// A plain eight-node brick carries its displacement as products of linear
// functions. Bent, it cannot curve: it shears instead, and a wall one or two
// bricks thick comes out several times too stiff. The cure is nearly as old as
// the brick: add to each displacement component the three parabolas
// 1 - x^2, 1 - y^2, 1 - z^2 (x, y, z from -1 to 1), let every brick find their
// nine amplitudes for itself by least energy, and eliminate them. Neighbours
// then no longer fit exactly along their faces, hence "incompatible", but bend
// rightly (Wilson, Taylor, Doherty and Ghaboussi 1973; the condition under which
// this still passes the patch test, which a rectangular brick always meets:
// Taylor, Beresford and Wilson, Int. J. Numer. Meth. Eng. 10 (1976) 1211).
//
// All bricks of a grid have one shape, so the elimination is done once. What is
// left is one symmetric 24 x 24 matrix, and modes.go shows why even that is far
// more than needs to be multiplied.

// corners is the number of nodes of a brick. Node n sits at the low or high end
// of axis a as bit a of n is 0 or 1.
const corners = 8

// stiffness gives the matrix that takes the displacements of a brick's nodes
// (node by node, three components each) to the forces on them, for Young's
// modulus 1 and the given Poisson ratio and edge lengths.
func stiffness(edge [3]float64, poisson float64) (*mat.SymDense, error) {
	k, _, err := condensed(edge, poisson)
	return k, err
}

// condensed gives the stiffness, and the matrix that takes the displacements of the
// nodes to the amplitudes that the parabolas find for themselves.
func condensed(edge [3]float64, poisson float64) (*mat.SymDense, *mat.Dense, error) {
	const own, inner = 3 * corners, 9
	var k mat.Dense // over nodal displacements, then amplitudes of the parabolas
	k.ReuseAs(own+inner, own+inner)
	elastic := elasticity(poisson)
	weight := edge[0] * edge[1] * edge[2] / 8
	for g := range corners {
		b := strains(edge, g)
		var db, bdb mat.Dense
		db.Mul(elastic, b)
		bdb.Mul(b.T(), &db)
		bdb.Scale(weight, &bdb)
		k.Add(&k, &bdb)
	}
	var chol mat.Cholesky
	if !chol.Factorize(symmetric(k.Slice(own, own+inner, own, own+inner))) {
		return nil, nil, errors.New("furnace: brick cannot be condensed: check edges and Poisson ratio")
	}
	coupling := k.Slice(own, own+inner, 0, own)
	var amplitudes, relief, left mat.Dense
	if err := chol.SolveTo(&amplitudes, coupling); err != nil {
		return nil, nil, err
	}
	relief.Mul(coupling.T(), &amplitudes)
	left.Sub(k.Slice(0, own, 0, own), &relief)
	amplitudes.Scale(-1, &amplitudes)
	return symmetric(&left), &amplitudes, nil
}

// elasticity gives the isotropic matrix from strains (xx, yy, zz, xy, yz, zx;
// engineering shear) to stresses for Young's modulus 1.
func elasticity(poisson float64) *mat.Dense {
	shear := 1 / (2 * (1 + poisson))
	lame := poisson / ((1 + poisson) * (1 - 2*poisson))
	d := mat.NewDense(6, 6, nil)
	for i := range 3 {
		for j := range 3 {
			d.Set(i, j, lame)
		}
		d.Set(i, i, lame+2*shear)
		d.Set(3+i, 3+i, shear)
	}
	return d
}

// strains gives the matrix from displacements and amplitudes to strains at
// Gauss point g: two points along each axis integrate the products exactly.
func strains(edge [3]float64, g int) *mat.Dense {
	at := gaussPoint(g)
	b := mat.NewDense(6, 3*corners+9, nil)
	for n := range corners {
		setStrain(b, 3*n, gradient(n, at, edge))
	}
	for a := range 3 { // parabola 1 - x_a^2
		var slope [3]float64
		slope[a] = -2 * at[a] * 2 / edge[a]
		setStrain(b, 3*corners+3*a, slope)
	}
	return b
}

// gaussPoint gives the place of Gauss point g in the brick, -1 to 1 along each axis.
func gaussPoint(g int) (at [3]float64) {
	const point = 0.57735026918962576 // 1/sqrt(3)
	for a := range at {
		at[a] = point * side(g, a)
	}
	return at
}

// side is +1 where bit a of n is set, else -1.
func side(n, a int) float64 { return float64(n>>a&1)*2 - 1 }

// gradient gives the gradient of the shape function of node n at a point.
func gradient(n int, at, edge [3]float64) (slope [3]float64) {
	for a := range 3 {
		slope[a] = side(n, a) / edge[a] / 4
		for o := range 3 {
			if o != a {
				slope[a] *= 1 + side(n, o)*at[o]
			}
		}
	}
	return slope
}

// setStrain fills the three columns from col on with the strains of a shape
// function of the given gradient.
func setStrain(b *mat.Dense, col int, slope [3]float64) {
	for a := range 3 {
		next := (a + 1) % 3
		b.Set(a, col+a, slope[a])
		b.Set(3+a, col+a, slope[next])
		b.Set(3+a, col+next, slope[a])
	}
}

// symmetric copies a square matrix whose halves agree up to rounding.
func symmetric(m mat.Matrix) *mat.SymDense {
	n, _ := m.Dims()
	s := mat.NewSymDense(n, nil)
	for i := range n {
		for j := i; j < n; j++ {
			s.SetSym(i, j, (m.At(i, j)+m.At(j, i))/2)
		}
	}
	return s
}
