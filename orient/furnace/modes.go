package furnace

import (
	"math"
	"math/bits"

	"gonum.org/v1/gonum/mat"
)

// The brick in its own modes
//
// A rectangular brick of an isotropic material looks the same in three mirrors.
// Written in the right coordinates its 24 x 24 matrix therefore falls apart. The
// coordinates are the eight products 1, x, y, z, xy, yz, zx, xyz (each factor +1
// or -1 at the corners) for each displacement component, that is the
// Walsh-Hadamard transform over the corners. A mirror across x changes the sign
// of the x displacement and of every product that holds x; so mode (component c,
// product p) is odd or even in the three mirrors by the bits of p with bit c
// flipped, and only modes that agree in all three can act on one another. For
// each of the eight sign patterns q there are three: (x, q^1), (y, q^2), (z,
// q^4). Hence eight 3 x 3 blocks instead of one 24 x 24 matrix:
//
//	q = 0        stretches along x, y, z
//	q = 1, 2, 4  a shift (no force), and two bendings
//	q = 3, 5, 6  two shears that only count by their sum, and a warping
//	q = 7        the twists
//
// With the transform done by butterflies (24 additions per component and way)
// a brick costs about a fifth of the plain product, and needs 24 numbers of
// stiffness that all bricks of the grid share. Coarse grids use the same form
// with longer edges.

// brick is the stiffness of one brick of Young's modulus 1.
type brick struct {
	// block[q][i][j] couples mode (j, q^bit j) to the force of (i, q^bit i).
	block [8][3][3]float64
	// diagonal is the stiffness of any node of a lone brick in x, y and z.
	diagonal [3]float64
	// top bounds the eigenvalues of diagonal^-1 stiffness, and with it those
	// of every grid of such bricks, whatever their fills (see rayleigh).
	top float64
}

// newBrick derives the modes of a brick. Poisson must lie in 0 to under 0.5.
func newBrick(edge [3]float64, poisson float64) (*brick, error) {
	k, err := stiffness(edge, poisson)
	if err != nil {
		return nil, err
	}
	b := &brick{diagonal: [3]float64{k.At(0, 0), k.At(1, 1), k.At(2, 2)}}
	for q := range 8 {
		for i := range 3 {
			for j := range 3 {
				b.block[q][i][j] = modal(k, i, q^1<<i, j, q^1<<j)
			}
		}
	}
	b.top = rayleigh(k)
	return b, nil
}

// modal gives the coupling of mode (j, q) to mode (i, p): the energy between the
// two, over 64 since the transform is not normalised (8 from each side).
func modal(k *mat.SymDense, i, p, j, q int) float64 {
	var sum float64
	for m := range corners {
		for n := range corners {
			sum += product(p, m) * k.At(3*m+i, 3*n+j) * product(q, n)
		}
	}
	return sum / 64
}

// product is the sign at node n of the product of the axes whose bits are in p,
// counting the low end of an axis as +1, as the Walsh transform does.
func product(p, n int) float64 {
	return float64(1 - 2*(bits.OnesCount(uint(p&n))&1))
}

// rayleigh gives the largest eigenvalue of diagonal^-1 k. Since both the
// assembled matrix and its diagonal are sums over bricks with the same factor
// for each, no vector can have a larger quotient in the assembly than in the
// worst of its bricks: this one number serves every grid and every fill.
func rayleigh(k *mat.SymDense) float64 {
	n := k.SymmetricDim()
	scaled := mat.NewSymDense(n, nil)
	for i := range n {
		for j := i; j < n; j++ {
			scaled.SetSym(i, j, k.At(i, j)/math.Sqrt(k.At(i, i)*k.At(j, j)))
		}
	}
	var eig mat.EigenSym
	if !eig.Factorize(scaled, false) {
		return float64(n) // the trace is a bound too
	}
	return eig.Values(nil)[n-1]
}

// walsh is the Walsh-Hadamard transform of four numbers: the sums with the signs
// of product. Two of them and their sums and differences make the transform of
// eight; it is kept this small so that the compiler puts it in line.
func walsh(a, b, c, d float64) (p, q, r, s float64) {
	a, b, c, d = a+b, a-b, c+d, c-d
	return a + c, b + d, a - c, b - d
}

// three gives the components of node n.
func three(x []float64, n int32) *[3]float64 { return (*[3]float64)(x[3*int(n):][:3]) }

// addForces adds to y the forces of the given bricks under the displacements x.
// nodes holds the corners of each, factor its share of full stiffness. What
// follows is one long stretch of arithmetic on purpose: nearly all time of a
// solution goes here.
func (b *brick) addForces(y, x []float64, nodes [][corners]int32, factor []float32) {
	k := &b.block
	for i := range nodes {
		n := &nodes[i]
		u0, u1, u2, u3 := three(x, n[0]), three(x, n[1]), three(x, n[2]), three(x, n[3])
		u4, u5, u6, u7 := three(x, n[4]), three(x, n[5]), three(x, n[6]), three(x, n[7])

		// Into modes: x3 is the displacement along x by the product of axes 1 + 2.
		p0, p1, p2, p3 := walsh(u0[0], u1[0], u2[0], u3[0])
		q0, q1, q2, q3 := walsh(u4[0], u5[0], u6[0], u7[0])
		x1, x2, x3, x4, x5, x6, x7 := p1+q1, p2+q2, p3+q3, p0-q0, p1-q1, p2-q2, p3-q3
		p0, p1, p2, p3 = walsh(u0[1], u1[1], u2[1], u3[1])
		q0, q1, q2, q3 = walsh(u4[1], u5[1], u6[1], u7[1])
		y1, y2, y3, y4, y5, y6, y7 := p1+q1, p2+q2, p3+q3, p0-q0, p1-q1, p2-q2, p3-q3
		p0, p1, p2, p3 = walsh(u0[2], u1[2], u2[2], u3[2])
		q0, q1, q2, q3 = walsh(u4[2], u5[2], u6[2], u7[2])
		z1, z2, z3, z4, z5, z6, z7 := p1+q1, p2+q2, p3+q3, p0-q0, p1-q1, p2-q2, p3-q3

		// Forces of the modes, block by block.
		f := float64(factor[i])
		x1, y2, z4 = f*(k[0][0][0]*x1+k[0][0][1]*y2+k[0][0][2]*z4),
			f*(k[0][1][0]*x1+k[0][1][1]*y2+k[0][1][2]*z4),
			f*(k[0][2][0]*x1+k[0][2][1]*y2+k[0][2][2]*z4)
		y3, z5 = f*(k[1][1][1]*y3+k[1][1][2]*z5), f*(k[1][2][1]*y3+k[1][2][2]*z5)
		x3, z6 = f*(k[2][0][0]*x3+k[2][0][2]*z6), f*(k[2][2][0]*x3+k[2][2][2]*z6)
		x5, y6 = f*(k[4][0][0]*x5+k[4][0][1]*y6), f*(k[4][1][0]*x5+k[4][1][1]*y6)
		x2, y1, z7 = f*(k[3][0][0]*x2+k[3][0][1]*y1), f*(k[3][1][0]*x2+k[3][1][1]*y1), f*k[3][2][2]*z7
		x4, z1, y7 = f*(k[5][0][0]*x4+k[5][0][2]*z1), f*(k[5][2][0]*x4+k[5][2][2]*z1), f*k[5][1][1]*y7
		y4, z2, x7 = f*(k[6][1][1]*y4+k[6][1][2]*z2), f*(k[6][2][1]*y4+k[6][2][2]*z2), f*k[6][0][0]*x7
		x6, y5, z3 = f*(k[7][0][0]*x6+k[7][0][1]*y5+k[7][0][2]*z3),
			f*(k[7][1][0]*x6+k[7][1][1]*y5+k[7][1][2]*z3),
			f*(k[7][2][0]*x6+k[7][2][1]*y5+k[7][2][2]*z3)

		// Back to nodes. Shifts, mode 0 of each component, make no force.
		v0, v1, v2, v3 := three(y, n[0]), three(y, n[1]), three(y, n[2]), three(y, n[3])
		v4, v5, v6, v7 := three(y, n[4]), three(y, n[5]), three(y, n[6]), three(y, n[7])
		p0, p1, p2, p3 = walsh(0, x1, x2, x3)
		q0, q1, q2, q3 = walsh(x4, x5, x6, x7)
		v0[0], v1[0], v2[0], v3[0] = v0[0]+p0+q0, v1[0]+p1+q1, v2[0]+p2+q2, v3[0]+p3+q3
		v4[0], v5[0], v6[0], v7[0] = v4[0]+p0-q0, v5[0]+p1-q1, v6[0]+p2-q2, v7[0]+p3-q3
		p0, p1, p2, p3 = walsh(0, y1, y2, y3)
		q0, q1, q2, q3 = walsh(y4, y5, y6, y7)
		v0[1], v1[1], v2[1], v3[1] = v0[1]+p0+q0, v1[1]+p1+q1, v2[1]+p2+q2, v3[1]+p3+q3
		v4[1], v5[1], v6[1], v7[1] = v4[1]+p0-q0, v5[1]+p1-q1, v6[1]+p2-q2, v7[1]+p3-q3
		p0, p1, p2, p3 = walsh(0, z1, z2, z3)
		q0, q1, q2, q3 = walsh(z4, z5, z6, z7)
		v0[2], v1[2], v2[2], v3[2] = v0[2]+p0+q0, v1[2]+p1+q1, v2[2]+p2+q2, v3[2]+p3+q3
		v4[2], v5[2], v6[2], v7[2] = v4[2]+p0-q0, v5[2]+p1-q1, v6[2]+p2-q2, v7[2]+p3-q3
	}
}
