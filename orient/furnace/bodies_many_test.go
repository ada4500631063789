package furnace

import (
	"context"
	"errors"
	"fmt"
	"math"
	"testing"

	"kilnpoise/mesh"
	"kilnpoise/mesh/parallel/endtest"
)

// posts are n by n slender upright bodies that do not touch.
func posts(n int) *mesh.Mesh {
	all := &mesh.Mesh{}
	pitch := 60 / float64(n)
	for k := range n * n {
		x, y := pitch*float64(k%n), pitch*float64(k/n)
		all.Append(boxes([6]float64{x, y, 0, x + 0.4*pitch, y + 0.4*pitch, 40}))
	}
	return all
}

// The elimination on the last grid goes body by body: its band is no wider for many
// bodies side by side than for one.
func TestManyBodiesAreEliminatedOneByOne(t *testing.T) {
	width := func(bodies int) int {
		last, _ := newBottom(slabs(t, bodies), 1e18)
		return last.width
	}
	if one, many := width(1), width(20); many != one {
		t.Errorf("band of 20 bodies is %d wide, of one %d", many, one)
	}
}

// The elimination solves the equations of its grid, however many bodies there are.
func TestEliminationOfManyBodies(t *testing.T) {
	for _, bodies := range []int{1, 2, 5} {
		g := slabs(t, bodies)
		l := newLevel(g)
		l.spring = make([]float64, len(l.inverse))
		x, v, back := make([]float64, len(l.spring)), make([]float64, len(l.spring)), make([]float64, len(l.spring))
		for i := range v {
			l.spring[i], l.inverse[i], v[i] = 0.3, 1, math.Sin(float64(i))
		}
		last, _ := newBottom(g, 1e18)
		if err := last.factorize(l); err != nil {
			t.Fatal(err)
		}
		last.solve(x, v)
		l.apply(back, x)
		for i := range v {
			if d := math.Abs(back[i] - v[i]); d > 1e-5 {
				t.Fatalf("%d bodies: force %d is off by %g", bodies, i, d)
			}
		}
	}
}

// slabs is a grid of upright slabs side by side.
func slabs(t *testing.T, n int) *grid {
	t.Helper()
	b := fullBlock([3]int{3*n - 1, 2, 9})
	for i := range b.share {
		if i%b.n[0]%3 == 2 {
			b.share[i] = 0
		}
	}
	e, err := newBrick([3]float64{1, 1, 1}, 0.4)
	if err != nil {
		t.Fatal(err)
	}
	g, _ := newGrid(b, e, alone())
	return g
}

// What would take too long is given up by a count of the work, and says so.
func TestSolvingIsGivenUpByWork(t *testing.T) {
	m := posts(4)
	md := modelOf(t, m)
	var spent []float64
	for range 2 {
		left := 3e5
		_, _, err := Options{}.solveModel(context.Background(), m, DefaultCreep(), md, &left, func(float64) {})
		if !errors.Is(err, ErrWork) {
			t.Fatalf("error %v, want %v", err, ErrWork)
		}
		spent = append(spent, left)
	}
	if spent[0] != spent[1] {
		t.Errorf("the same part took different work: %v left", spent)
	}
	if s, err := Solve(context.Background(), m, DefaultCreep(), Options{NoCheck: true}); err != nil || s.MM <= 0 {
		t.Errorf("with the usual work: %v, %v", s, err)
	}
}

func TestSolvingLeavesOffSoon(t *testing.T) {
	m := posts(4)
	endtest.Soon(t, 1000, func(ctx context.Context) error {
		_, err := Solve(ctx, m, DefaultCreep(), Options{NoCheck: true})
		return err
	})
}

func modelOf(t *testing.T, m *mesh.Mesh) *model {
	t.Helper()
	o := Options{}
	w, err := o.prepare(context.Background(), m)
	if err != nil {
		t.Fatal(err)
	}
	md, err := o.within(context.Background(), m, w)
	if err != nil {
		t.Fatal(err)
	}
	return md
}

// How the work grows with the number of bodies.
func BenchmarkManyBodies(b *testing.B) {
	for _, n := range []int{2, 4, 8} {
		m := posts(n)
		b.Run(fmt.Sprintf("%d", n*n), func(b *testing.B) {
			for range b.N {
				if _, err := Solve(context.Background(), m, DefaultCreep(), Options{NoCheck: true}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
