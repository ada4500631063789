package furnace

import (
	"errors"
	"slices"

	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/lapack/lapack64"
)

// bottom solves the coarsest level by elimination. Nodes are numbered layer by
// layer along the longest axis, so the matrix is a narrow band.
type bottom struct {
	n, width int
	factor   blas64.TriangularBand
}

// bandwidth gives the largest distance between unknowns that share a brick.
func bandwidth(g *grid) int {
	var width int32
	for i := range g.nodes {
		width = max(width, slices.Max(g.nodes[i][:])-slices.Min(g.nodes[i][:]))
	}
	return 3*int(width) + 2
}

// bottomWork estimates the multiplications of the elimination.
func bottomWork(g *grid) float64 {
	w := float64(bandwidth(g))
	return 3 * float64(len(g.place)) * w * w
}

func newBottom(g *grid) *bottom {
	n := 3 * len(g.place)
	return &bottom{n: n, width: min(bandwidth(g), n-1)}
}

// factorize assembles and eliminates the level's matrix. A whisper of a spring
// everywhere keeps it regular where rigid motions are free: it is a
// preconditioner, and the iteration around it sets right what this changes.
func (b *bottom) factorize(l *level) error {
	const whisper = 1e-7
	k := b.width
	a := blas64.SymmetricBand{N: b.n, K: k, Stride: k + 1, Uplo: blas.Upper, Data: make([]float64, b.n*(k+1))}
	full := l.brick.matrix()
	for e := range l.nodes {
		f := float64(l.factor[e])
		for m := range corners {
			for n := range corners {
				addNode(a, l.nodes[e][m], l.nodes[e][n], f, &full[m][n])
			}
		}
	}
	for i := range b.n {
		a.Data[i*a.Stride] += whisper*a.Data[i*a.Stride] + l.spring[i]
	}
	var ok bool
	if b.factor, ok = lapack64.Pbtrf(a); !ok {
		return errors.New("furnace: the coarsest grid cannot be solved: the part is too loosely connected")
	}
	return nil
}

// addNode adds f times the 3 x 3 stiffness between nodes i and j, upper half.
func addNode(a blas64.SymmetricBand, i, j int32, f float64, k *[3][3]float64) {
	if i > j {
		return
	}
	for c := range 3 {
		for d := range 3 {
			if p, q := 3*int(i)+c, 3*int(j)+d; p <= q {
				a.Data[p*a.Stride+q-p] += f * k[c][d]
			}
		}
	}
}

// solve sets x to the solution for the right-hand side v: down the rows of the
// factor's transpose, then up the rows of the factor.
func (b *bottom) solve(x, v []float64) {
	copy(x, v)
	row := func(i int) []float64 {
		return b.factor.Data[i*b.factor.Stride:][:min(b.width, b.n-1-i)+1]
	}
	for i := range b.n {
		u := row(i)
		x[i] /= u[0]
		f64axpy(-x[i], u[1:], x[i+1:])
	}
	for i := b.n - 1; i >= 0; i-- {
		u := row(i)
		x[i] = (x[i] - f64dot(u[1:], x[i+1:])) / u[0]
	}
}

func f64axpy(a float64, x, y []float64) {
	n := len(x)
	blas64.Axpy(a, blas64.Vector{N: n, Data: x, Inc: 1}, blas64.Vector{N: n, Data: y[:n], Inc: 1})
}

func f64dot(x, y []float64) float64 {
	n := len(x)
	return blas64.Dot(blas64.Vector{N: n, Data: x, Inc: 1}, blas64.Vector{N: n, Data: y[:n], Inc: 1})
}

// matrix gives the brick's whole matrix, node by node.
func (b *brick) matrix() (k [corners][corners][3][3]float64) {
	for m := range corners {
		for n := range corners {
			for i := range 3 {
				for j := range 3 {
					for q := range 8 {
						k[m][n][i][j] += product(q^1<<i, m) * b.block[q][i][j] * product(q^1<<j, n)
					}
				}
			}
		}
	}
	return k
}
