package furnace

import "gonum.org/v1/gonum/mat"

// The geometric stiffness
//
// A bar under pressure is softer across than one without: tilted a little, its load
// works to tilt it further. For a solid under the stress s the work of a small
// displacement v is half the integral of s_ab dv_i/dx_a dv_i/dx_b, the same for each
// component i (handbook form, e.g. Zienkiewicz and Taylor, The Finite Element Method,
// chapter on structural stability, from memory). Under the self-weight this makes one
// symmetric 8 x 8 matrix for each brick, from the stresses at its eight Gauss points,
// the parabolas' share in them.

// geometric is the matrix of this work with the opposite sign, so that pressure counts
// as positive.
type geometric struct {
	grid *grid
	held []bool
	// bricks holds the upper half of each brick's matrix, row by row.
	bricks [][corners * (corners + 1) / 2]float32
}

// newGeometric works out the stresses that the displacements x leave in the bricks of
// a level and makes the matrix of them; edge are the bricks' edges.
func newGeometric(l *level, edge [3]float64, poisson float64, x []float64, held []bool) (*geometric, error) {
	stress, err := stresses(edge, poisson)
	if err != nil {
		return nil, err
	}
	var slope [corners][corners][3]float64 // by Gauss point and node
	for g := range corners {
		for n := range corners {
			slope[g][n] = gradient(n, gaussPoint(g), edge)
		}
	}
	k := &geometric{l.grid, held, make([][36]float32, len(l.nodes))}
	weight := edge[0] * edge[1] * edge[2] / 8
	l.crew.run(len(l.slabs), func(i int) {
		for e := l.slabs[i].lo; e < l.slabs[i].hi; e++ {
			var u [3 * corners]float64
			for n, node := range l.nodes[e] {
				copy(u[3*n:], three(x, node)[:])
			}
			share := -weight * float64(l.factor[e])
			var sum [36]float64
			for g := range corners {
				addGeometric(&sum, &slope[g], stressAt(&stress[g], &u), share)
			}
			for i, v := range sum {
				k.bricks[e][i] = float32(v)
			}
		}
	})
	return k, nil
}

// stresses gives for each Gauss point the matrix from the displacements of a brick's
// nodes to the stress there (xx, yy, zz, xy, yz, zx) for Young's modulus 1.
func stresses(edge [3]float64, poisson float64) (out [corners][6][3 * corners]float64, err error) {
	_, amplitudes, err := condensed(edge, poisson)
	if err != nil {
		return out, err
	}
	const own = 3 * corners
	elastic := elasticity(poisson)
	for g := range corners {
		b := strains(edge, g)
		var s, parabolas mat.Dense
		parabolas.Mul(b.Slice(0, 6, own, own+9), amplitudes)
		parabolas.Add(&parabolas, b.Slice(0, 6, 0, own))
		s.Mul(elastic, &parabolas)
		for i := range 6 {
			copy(out[g][i][:], s.RawRowView(i))
		}
	}
	return out, nil
}

// stressAt gives the stress at a Gauss point.
func stressAt(by *[6][3 * corners]float64, u *[3 * corners]float64) (s [6]float64) {
	for i := range by {
		for j, v := range u {
			s[i] += by[i][j] * v
		}
	}
	return s
}

// addGeometric adds the share of one Gauss point to a brick's matrix.
func addGeometric(sum *[36]float64, slope *[corners][3]float64, s [6]float64, share float64) {
	at := 0
	for m := range corners {
		a := &slope[m]
		t := [3]float64{
			share * (s[0]*a[0] + s[3]*a[1] + s[5]*a[2]),
			share * (s[3]*a[0] + s[1]*a[1] + s[4]*a[2]),
			share * (s[5]*a[0] + s[4]*a[1] + s[2]*a[2]),
		}
		for n := m; n < corners; n++ {
			b := &slope[n]
			sum[at] += t[0]*b[0] + t[1]*b[1] + t[2]*b[2]
			at++
		}
	}
}

// apply sets y to the matrix times x. What is held takes no force.
func (k *geometric) apply(y, x []float64) {
	g := k.grid
	g.crew.over(len(y), func(lo, hi int) { clear(y[lo:hi]) })
	for odd := range 2 { // as in grid.apply: no two slabs at a time share a node
		g.crew.run((len(g.slabs)+1-odd)/2, func(i int) {
			s := g.slabs[2*i+odd]
			for e := s.lo; e < s.hi; e++ {
				addProduct(y, x, &g.nodes[e], &k.bricks[e])
			}
		})
	}
	g.crew.over(len(y), func(lo, hi int) {
		for i := lo; i < hi; i++ {
			if k.held[i] {
				y[i] = 0
			}
		}
	})
}

// addProduct adds the product of one brick's matrix, the same for all components.
func addProduct(y, x []float64, nodes *[corners]int32, k *[36]float32) {
	var u, f [corners][3]float64
	for n, node := range nodes {
		u[n] = *three(x, node)
	}
	at := 0
	for m := range corners {
		d := float64(k[at])
		at++
		f[m][0], f[m][1], f[m][2] = f[m][0]+d*u[m][0], f[m][1]+d*u[m][1], f[m][2]+d*u[m][2]
		for n := m + 1; n < corners; n++ {
			v := float64(k[at])
			at++
			f[m][0], f[m][1], f[m][2] = f[m][0]+v*u[n][0], f[m][1]+v*u[n][1], f[m][2]+v*u[n][2]
			f[n][0], f[n][1], f[n][2] = f[n][0]+v*u[m][0], f[n][1]+v*u[m][1], f[n][2]+v*u[m][2]
		}
	}
	for n, node := range nodes {
		t := three(y, node)
		t[0], t[1], t[2] = t[0]+f[n][0], t[1]+f[n][1], t[2]+f[n][2]
	}
}
