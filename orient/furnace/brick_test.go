package furnace

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r3"
)

var (
	oddEdge  = [3]float64{0.7, 1.1, 1.6}
	oneBrick = [][corners]int32{{0, 1, 2, 3, 4, 5, 6, 7}}
)

// cornerOf gives node n of a brick with its low corner at the origin.
func cornerOf(edge [3]float64, n int) r3.Vec {
	return r3.Vec{X: edge[0] * float64(n&1), Y: edge[1] * float64(n>>1&1), Z: edge[2] * float64(n>>2&1)}
}

// TestStiffnessNullSpace: six rigid motions make no force, and nothing else
// does: the brick has no hourglass modes.
func TestStiffnessNullSpace(t *testing.T) {
	for _, nu := range []float64{0, 0.3, 0.45, 0.49} {
		k, err := stiffness(oddEdge, nu)
		if err != nil {
			t.Fatal(err)
		}
		var eig mat.EigenSym
		if !eig.Factorize(k, false) {
			t.Fatal("no eigenvalues")
		}
		v := eig.Values(nil)
		if math.Abs(v[5]) > 1e-12*v[23] || v[6] < 1e-3*v[23]*(1-2*nu) {
			t.Errorf("Poisson %v: eigenvalues %v", nu, v)
		}
	}
}

// TestStiffnessUniformStrain: under a uniform strain the forces are those of the
// uniform stress, on every node (patch test of one brick).
func TestStiffnessUniformStrain(t *testing.T) {
	const nu = 0.4
	k, err := stiffness(oddEdge, nu)
	if err != nil {
		t.Fatal(err)
	}
	g := mat.NewDense(3, 3, []float64{0.3, -0.2, 0.5, 0.1, 0.7, -0.4, 0.2, 0.6, -0.9}) // displacement gradient
	strain := mat.NewVecDense(6, []float64{0.3, 0.7, -0.9, -0.1, 0.2, 0.7})
	var s mat.VecDense
	s.MulVec(elasticity(nu), strain)
	stress := mat.NewDense(3, 3, []float64{
		s.AtVec(0), s.AtVec(3), s.AtVec(5), s.AtVec(3), s.AtVec(1), s.AtVec(4), s.AtVec(5), s.AtVec(4), s.AtVec(2),
	})
	u := mat.NewVecDense(24, nil)
	for n := range corners {
		p := cornerOf(oddEdge, n)
		for c := range 3 {
			u.SetVec(3*n+c, g.At(c, 0)*p.X+g.At(c, 1)*p.Y+g.At(c, 2)*p.Z)
		}
	}
	var f mat.VecDense
	f.MulVec(k, u)
	for n := range corners {
		for c := range 3 {
			var want float64 // a quarter of each of the three faces that meet in the node
			for a := range 3 {
				area := oddEdge[(a+1)%3] * oddEdge[(a+2)%3]
				want += stress.At(c, a) * side(n, a) * area / 4
			}
			if got := f.AtVec(3*n + c); math.Abs(got-want) > 1e-12 {
				t.Errorf("force on node %d, component %d = %v, want %v", n, c, got, want)
			}
		}
	}
}

// TestStiffnessBending: one brick under pure bending stores the energy of beam
// theory, E I L / (2 R^2), and no more: what the parabolas are for. With the
// sides free to contract this holds for every Poisson ratio.
func TestStiffnessBending(t *testing.T) {
	for _, nu := range []float64{0, 0.3, 0.45} {
		k, err := stiffness(oddEdge, nu)
		if err != nil {
			t.Fatal(err)
		}
		// Least energy at given curvature about y of the end faces x = 0 and L.
		const curvature = 0.01
		l, b, h := oddEdge[0], oddEdge[1], oddEdge[2]
		free, held := []int{}, []int{}
		u := mat.NewVecDense(24, nil)
		for n := range corners {
			p := cornerOf(oddEdge, n)
			u.SetVec(3*n, curvature*(p.Z-h/2)*(p.X-l/2))
			held = append(held, 3*n)
			free = append(free, 3*n+1, 3*n+2)
		}
		energy := leastEnergy(k, u, held, free)
		want := b * h * h * h / 12 * l * curvature * curvature / 2
		if math.Abs(energy-want) > 1e-9*want {
			t.Errorf("Poisson %v: energy = %v, want %v", nu, energy, want)
		}
	}
}

// leastEnergy minimises u k u / 2 over the free entries; rigid motions left free
// do no harm.
func leastEnergy(k *mat.SymDense, u *mat.VecDense, held, free []int) float64 {
	a := mat.NewDense(len(free), len(free), nil)
	r := mat.NewVecDense(len(free), nil)
	for i, p := range free {
		for j, q := range free {
			a.Set(i, j, k.At(p, q))
		}
		a.Set(i, i, a.At(i, i)+1e-12)
		for _, q := range held {
			r.SetVec(i, r.AtVec(i)-k.At(p, q)*u.AtVec(q))
		}
	}
	var x mat.VecDense
	if err := x.SolveVec(a, r); err != nil {
		if _, ok := err.(mat.Condition); !ok {
			return math.NaN()
		}
	}
	for i, p := range free {
		u.SetVec(p, x.AtVec(i))
	}
	return mat.Inner(u, k, u) / 2
}

// TestModesAreTheMatrix: the blocks hold the whole matrix, and the product by
// butterflies is the product with it.
func TestModesAreTheMatrix(t *testing.T) {
	const nu = 0.45
	k, err := stiffness(oddEdge, nu)
	if err != nil {
		t.Fatal(err)
	}
	for i := range 3 {
		for p := range 8 {
			for j := range 3 {
				for q := range 8 {
					if p^1<<i != q^1<<j && math.Abs(modal(k, i, p, j, q)) > 1e-15 {
						t.Errorf("mode (%d, %d) acts on (%d, %d)", j, q, i, p)
					}
				}
			}
		}
	}
	b, err := newBrick(oddEdge, nu)
	if err != nil {
		t.Fatal(err)
	}
	x, y := make([]float64, 24), make([]float64, 24)
	for i := range x {
		x[i] = math.Sin(float64(7*i + 1))
	}
	b.addForces(y, x, oneBrick, []float32{0.5})
	var want mat.VecDense
	want.MulVec(k, mat.NewVecDense(24, x))
	for i := range y {
		if math.Abs(y[i]-0.5*want.AtVec(i)) > 1e-14 {
			t.Errorf("force %d = %v, want %v", i, y[i], 0.5*want.AtVec(i))
		}
	}
	if b.top < 1 || b.top > 24 {
		t.Errorf("bound %v", b.top)
	}
	t.Logf("bound of diagonal^-1 K: %.3f", b.top)
}

func BenchmarkAddForces(b *testing.B) {
	k, err := newBrick(oddEdge, 0.45)
	if err != nil {
		b.Fatal(err)
	}
	const n = 10000
	nodes, factor := make([][corners]int32, n), make([]float32, n)
	for i := range nodes {
		j := int32(i)
		nodes[i], factor[i] = [corners]int32{j, j + 1, j + 22, j + 23, j + 500, j + 501, j + 522, j + 523}, 1
	}
	x, y := make([]float64, 3*(n+600)), make([]float64, 3*(n+600))
	b.ReportAllocs()
	for b.Loop() {
		k.addForces(y, x, nodes, factor)
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/n, "ns/brick")
}
