package furnace

import (
	"errors"

	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/lapack/lapack64"
)

// bottom solves the coarsest level by elimination. Nodes are numbered layer by
// layer along the longest axis, and body by body, so the matrix is a narrow band.
type bottom struct {
	n, width int
	factor   blas64.TriangularBand
	row      []int32   // of the matrix, for every node
	work     []float64 // the solution in the order of the rows
}

// bodyByBody numbers the nodes so that those of a body follow one another, each
// body's as they were: side by side in the layers, many bodies would make the band
// as wide as all of them together.
func bodyByBody(g *grid) (row []int32) {
	body := newForest(len(g.place))
	for i := range g.nodes {
		for _, n := range g.nodes[i] {
			body.join(g.nodes[i][0], n)
		}
	}
	row = make([]int32, len(g.place))
	for n := range row { // first how many nodes each body has, at its root
		row[body.root(int32(n))]++
	}
	next := int32(0)
	start := make([]int32, len(row))
	for n, size := range row {
		start[n] = next
		next += size
	}
	for n := range row {
		r := body.root(int32(n))
		row[n] = start[r]
		start[r]++
	}
	return row
}

// bandwidth gives the largest distance between unknowns that share a brick.
func bandwidth(g *grid, row []int32) int {
	var width int32
	for i := range g.nodes {
		low, high := row[g.nodes[i][0]], row[g.nodes[i][0]]
		for _, n := range g.nodes[i] {
			low, high = min(low, row[n]), max(high, row[n])
		}
		width = max(width, high-low)
	}
	return 3*int(width) + 2
}

// newBottom gives the elimination, and false where it would take more than so many
// multiplications.
func newBottom(g *grid, most float64) (*bottom, bool) {
	b := &bottom{n: 3 * len(g.place), row: bodyByBody(g)}
	width := bandwidth(g, b.row)
	b.width = min(width, b.n-1)
	return b, float64(b.n)*float64(width)*float64(width) <= most
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
				addNode(a, b.row[l.nodes[e][m]], b.row[l.nodes[e][n]], f, &full[m][n])
			}
		}
	}
	for n, row := range b.row {
		for c := range 3 {
			i := 3*int(row) + c
			a.Data[i*a.Stride] += whisper*a.Data[i*a.Stride] + l.spring[3*n+c]
		}
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

// solve sets the solution for the right-hand side v: down the rows of the
// factor's transpose, then up the rows of the factor.
func (b *bottom) solve(solution, v []float64) {
	if b.work == nil {
		b.work = make([]float64, b.n)
	}
	x := b.work
	for n, row := range b.row {
		copy(x[3*row:3*row+3], v[3*n:3*n+3])
	}
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
	for n, row := range b.row {
		copy(solution[3*n:3*n+3], x[3*row:3*row+3])
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
