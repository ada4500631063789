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

// walsh is the Walsh-Hadamard transform of eight numbers: the sums with the
// signs of product. Done twice it gives eight times the input.
func walsh(a, b, c, d, e, f, g, h float64) (r, s, t, u, v, w, x, y float64) {
	a, b, c, d, e, f, g, h = a+b, a-b, c+d, c-d, e+f, e-f, g+h, g-h
	a, b, c, d, e, f, g, h = a+c, b+d, a-c, b-d, e+g, f+h, e-g, f-h
	return a + e, b + f, c + g, d + h, a - e, b - f, c - g, d - h
}

// addForces adds to y the forces of the given bricks under the displacements x.
// A brick's nodes come in pairs along the fastest axis; pairs holds the first
// of each, factor the brick's share of full stiffness.
func (b *brick) addForces(y, x []float64, pairs [][4]int32, factor []float32) {
	k := &b.block
	for i := range pairs {
		p := &pairs[i]
		n0, n2, n4, n6 := 3*int(p[0]), 3*int(p[1]), 3*int(p[2]), 3*int(p[3])
		u0, u2 := (*[6]float64)(x[n0:n0+6]), (*[6]float64)(x[n2:n2+6])
		u4, u6 := (*[6]float64)(x[n4:n4+6]), (*[6]float64)(x[n6:n6+6])
		_, x1, x2, x3, x4, x5, x6, x7 := walsh(u0[0], u0[3], u2[0], u2[3], u4[0], u4[3], u6[0], u6[3])
		_, y1, y2, y3, y4, y5, y6, y7 := walsh(u0[1], u0[4], u2[1], u2[4], u4[1], u4[4], u6[1], u6[4])
		_, z1, z2, z3, z4, z5, z6, z7 := walsh(u0[2], u0[5], u2[2], u2[5], u4[2], u4[5], u6[2], u6[5])

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

		v0, v2 := (*[6]float64)(y[n0:n0+6]), (*[6]float64)(y[n2:n2+6])
		v4, v6 := (*[6]float64)(y[n4:n4+6]), (*[6]float64)(y[n6:n6+6])
		g0, g1, g2, g3, g4, g5, g6, g7 := walsh(0, x1, x2, x3, x4, x5, x6, x7)
		v0[0], v0[3], v2[0], v2[3] = v0[0]+g0, v0[3]+g1, v2[0]+g2, v2[3]+g3
		v4[0], v4[3], v6[0], v6[3] = v4[0]+g4, v4[3]+g5, v6[0]+g6, v6[3]+g7
		g0, g1, g2, g3, g4, g5, g6, g7 = walsh(0, y1, y2, y3, y4, y5, y6, y7)
		v0[1], v0[4], v2[1], v2[4] = v0[1]+g0, v0[4]+g1, v2[1]+g2, v2[4]+g3
		v4[1], v4[4], v6[1], v6[4] = v4[1]+g4, v4[4]+g5, v6[1]+g6, v6[4]+g7
		g0, g1, g2, g3, g4, g5, g6, g7 = walsh(0, z1, z2, z3, z4, z5, z6, z7)
		v0[2], v0[5], v2[2], v2[5] = v0[2]+g0, v0[5]+g1, v2[2]+g2, v2[5]+g3
		v4[2], v4[5], v6[2], v6[5] = v4[2]+g4, v4[5]+g5, v6[2]+g6, v6[5]+g7
	}
}
