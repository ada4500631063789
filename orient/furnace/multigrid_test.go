package furnace

import (
	"context"
	"math"
	"testing"

	"gonum.org/v1/gonum/mat"
	"pgregory.net/rapid"
)

// blob is a random block of bricks of random fills.
func blob(t *rapid.T) *block {
	var n [3]int
	for a := range n {
		n[a] = rapid.IntRange(1, 5).Draw(t, "n")
	}
	b := fullBlock(n)
	for i := range b.share {
		b.share[i] = float32(rapid.IntRange(0, 3).Draw(t, "fill")) / 3
	}
	return b
}

// gridOf makes the finest grid of a block, or skips where it is empty.
func gridOf(t *rapid.T, b *block) *grid {
	e, err := newBrick(oddEdge, 0.4)
	if err != nil {
		t.Fatal(err)
	}
	g, _ := newGrid(b, e, alone())
	if len(g.nodes) == 0 {
		t.Skip("nothing solid")
	}
	return g
}

// assembled is the grid's matrix, brick by brick from the whole brick matrix.
func assembled(t *rapid.T, g *grid) *mat.SymDense {
	k, err := stiffness(oddEdge, 0.4)
	if err != nil {
		t.Fatal(err)
	}
	a := mat.NewSymDense(3*len(g.place), nil)
	for e, nodes := range g.nodes {
		for i := range 24 {
			for j := range 24 {
				p, q := 3*int(nodes[i/3])+i%3, 3*int(nodes[j/3])+j%3
				if p <= q {
					a.SetSym(p, q, a.At(p, q)+float64(g.factor[e])*k.At(i, j))
				}
			}
		}
	}
	return a
}

// TestGridIsItsBricks: the product of a grid is that of the assembled matrix, and
// its eigenvalues against the diagonal stay under the brick's bound.
func TestGridIsItsBricks(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		g := gridOf(t, blob(t))
		a := assembled(t, g)
		n := 3 * len(g.place)
		x, y := make([]float64, n), make([]float64, n)
		for i := range x {
			x[i] = math.Sin(float64(3*i + 1))
		}
		g.apply(y, x)
		var want mat.VecDense
		want.MulVec(a, mat.NewVecDense(n, x))
		quotient, weight := 0.0, 0.0
		for i := range y {
			if math.Abs(y[i]-want.AtVec(i)) > 1e-12 {
				t.Fatalf("force %d = %v, want %v", i, y[i], want.AtVec(i))
			}
			d := g.brick.diagonal[i%3] * float64(g.weight[i/3])
			if math.Abs(d-a.At(i, i)) > 1e-6*d {
				t.Fatalf("diagonal %d = %v, want %v", i, d, a.At(i, i))
			}
			quotient, weight = quotient+x[i]*y[i], weight+d*x[i]*x[i]
		}
		if quotient > g.brick.top*weight {
			t.Fatalf("quotient %v above the bound %v", quotient/weight, g.brick.top)
		}
	})
}

// TestSlabsShareNoNode: the slabs that run at the same time stay apart.
func TestSlabsShareNoNode(t *testing.T) {
	e, err := newBrick(oddEdge, 0.4)
	if err != nil {
		t.Fatal(err)
	}
	g, _ := newGrid(fullBlock([3]int{9, 20, 200}), e, alone())
	owner := make([]int, len(g.place))
	for s, slab := range g.slabs {
		for _, nodes := range g.nodes[slab.lo:slab.hi] {
			for _, n := range nodes {
				if o := owner[n] - 1; o >= 0 && o < s-1 {
					t.Fatalf("slabs %d and %d share node %d", o, s, n)
				}
				owner[n] = s + 1
			}
		}
	}
	if len(g.slabs) < 8 {
		t.Errorf("%d slabs for %d bricks", len(g.slabs), len(g.nodes))
	}
}

// TestTransferKeepsLines: interpolation reproduces displacements that go linearly
// with place, gathering is its transpose, and no weight is lost.
func TestTransferKeepsLines(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		g := gridOf(t, blob(t))
		c, up := g.coarser(g.brick)
		linear := func(p [3]int16, scale float64) float64 {
			return 1 + scale*(0.3*float64(p[0])-0.2*float64(p[1])+0.7*float64(p[2]))
		}
		x, y := make([]float64, 3*len(c.place)), make([]float64, 3*len(g.place))
		for n, p := range c.place {
			x[3*n+1] = linear(p, 2)
		}
		up.addUp(y, x)
		for n, p := range g.place {
			if want := linear(p, 1); math.Abs(y[3*n+1]-want) > 1e-12 || y[3*n] != 0 {
				t.Fatalf("node at %v: %v, want %v", p, y[3*n+1], want)
			}
		}
		f, down := make([]float64, len(y)), make([]float64, len(x))
		for i := range f {
			f[i] = math.Cos(float64(5 * i))
		}
		up.down(down, f)
		var above, below float64
		for i := range f {
			above += f[i] * y[i]
		}
		for i := range down {
			below += down[i] * x[i]
		}
		if math.Abs(above-below) > 1e-9*(1+math.Abs(above)) {
			t.Fatalf("work %v above, %v below", above, below)
		}
		var fine, coarse float64
		for _, v := range g.factor {
			fine += float64(v)
		}
		for _, v := range c.factor {
			coarse += corners * float64(v)
		}
		if math.Abs(fine-coarse) > 1e-5*fine {
			t.Fatalf("solid %v became %v", fine, coarse)
		}
	})
}

// TestSlotStaysOpen: two walls with a slot between them that is narrower than a
// coarse brick are two pieces on every coarser grid, while a wall is one.
func TestSlotStaysOpen(t *testing.T) {
	e, err := newBrick([3]float64{1, 1, 1}, 0.4)
	if err != nil {
		t.Fatal(err)
	}
	for _, slot := range []bool{true, false} {
		b := fullBlock([3]int{1, 3, 8})
		if slot {
			for k := 1; k < 8; k++ { // the walls hang together at one end
				b.share[k*b.stride[2]+b.stride[1]] = 0
			}
		}
		g, _ := newGrid(b, e, alone())
		for range 2 {
			g, _ = g.coarser(e)
		}
		want := 2 // places along the wall
		if slot {
			want = 3 // and a second wall beyond the joined end
		}
		if len(g.nodes) != want {
			t.Errorf("slot %v: %d coarse bricks, want %d", slot, len(g.nodes), want)
		}
	}
}

// TestCycleIsSymmetric: conjugate gradients want a symmetric, positive
// preconditioner. With two levels the cycle is linear, so it can be written out.
func TestCycleIsSymmetric(t *testing.T) {
	mg, _, err := newMultigrid(fullBlock([3]int{2, 3, 4}), oddEdge, 0.45, alone())
	if err != nil {
		t.Fatal(err)
	}
	n := 3 * len(mg.levels[0].place)
	held := make([]bool, n)
	for i := range 20 {
		held[i] = true
	}
	if err := mg.hold(held, nil); err != nil {
		t.Fatal(err)
	}
	a := mat.NewDense(n, n, nil)
	x, b := make([]float64, n), make([]float64, n)
	for j := range n {
		if held[j] {
			continue
		}
		clear(b)
		b[j] = 1
		mg.cycle(0, x, b)
		for i := range x {
			a.Set(i, j, x[i])
		}
	}
	for i := range n {
		if held[i] {
			continue
		}
		if a.At(i, i) <= 0 {
			t.Fatalf("entry %d on the diagonal is %v", i, a.At(i, i))
		}
		for j := range i {
			if d := math.Abs(a.At(i, j) - a.At(j, i)); d > 1e-10*a.At(i, i) {
				t.Fatalf("entries %d, %d differ by %v", i, j, d)
			}
		}
	}
}

// TestSolveMatchesElimination: the iteration and a direct solution agree.
func TestSolveMatchesElimination(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := blob(t)
		for i := range b.share { // one piece
			b.share[i] = max(b.share[i], 0.25)
		}
		mg, _, err := newMultigrid(b, oddEdge, 0.4, alone())
		if err != nil {
			t.Fatal(err)
		}
		g := mg.levels[0].grid
		n := 3 * len(g.place)
		held, springs := make([]bool, n), make([]float64, n)
		f := make([]float64, n)
		a := assembled(t, g)
		for i := range n {
			f[i] = math.Sin(float64(i * i))
			if g.place[i/3][2] == 0 {
				held[i], f[i] = true, 0
				a.SetSym(i, i, 1e12)
			} else if i%7 == 0 {
				springs[i] = 0.3
				a.SetSym(i, i, a.At(i, i)+springs[i])
			}
		}
		if err := mg.hold(held, springs); err != nil {
			t.Fatal(err)
		}
		x := make([]float64, n)
		if _, err := mg.solve(context.Background(), task{x: x, b: f, within: 1e-8, most: 200}); err != nil {
			t.Fatal(err)
		}
		var chol mat.Cholesky
		var want mat.VecDense
		if !chol.Factorize(a) {
			t.Fatal("no factor")
		}
		if err := chol.SolveVecTo(&want, mat.NewVecDense(n, f)); err != nil {
			if _, ok := err.(mat.Condition); !ok {
				t.Fatal(err)
			}
		}
		scale := mat.Norm(&want, math.Inf(1))
		for i := range x {
			if math.Abs(x[i]-want.AtVec(i)) > 1e-5*scale {
				t.Fatalf("displacement %d = %v, want %v", i, x[i], want.AtVec(i))
			}
		}
	})
}

func TestCrewIsTheSameForAll(t *testing.T) {
	n := 5*piece + 17
	x := make([]float64, n)
	for i := range x {
		x[i] = math.Sin(float64(i)) * math.Exp(math.Mod(float64(i), 30))
	}
	want := alone().dot(x, x)
	for _, cores := range []int{2, 3, 8} {
		if got := (crew{t.Context(), cores}).dot(x, x); got != want {
			t.Errorf("%d cores: %v, one: %v", cores, got, want)
		}
	}
}

// alone is a crew of one.
func alone() crew { return crew{context.Background(), 1} }
