package mesh

import (
	"context"
	"errors"
	"math"
	"slices"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"
)

// Every cell that a facet reaches lists it, long slivers and great sheets too.
func TestFacetGridListsWhatIsThere(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := &Mesh{}
		for range rapid.IntRange(1, 30).Draw(t, "facets") {
			a := r3.Scale(rapid.SampledFrom([]float64{1, 40}).Draw(t, "where"), drawUnit(t, "a"))
			b := r3.Add(a, r3.Scale(rapid.SampledFrom([]float64{1e-3, 1, 60}).Draw(t, "long"), drawUnit(t, "b")))
			c := r3.Add(b, r3.Scale(rapid.SampledFrom([]float64{1e-4, 1, 60}).Draw(t, "wide"), drawUnit(t, "c")))
			n := int32(len(m.Vertices))
			m.Vertices, m.Facets = append(m.Vertices, a, b, c), append(m.Facets, [3]int32{n, n + 1, n + 2})
		}
		g, err := newFacetGridOf(context.Background(), m, m.Bounds(), rapid.Float64Range(64, 40_000).Draw(t, "cells"))
		if err != nil {
			t.Fatal(err)
		}
		for i := range m.Facets {
			a, b, c := m.Corners(i)
			for k := range 200 {
				u, v := spread(k)
				p := r3.Add(a, r3.Add(r3.Scale(u, r3.Sub(b, a)), r3.Scale(v, r3.Sub(c, a))))
				at := g.cell(p)
				if !slices.Contains(g.in(g.cells.Index(at[0], at[1], at[2])), int32(i)) {
					t.Fatalf("facet %d is at %v, and cell %v does not list it", i, p, at)
				}
			}
		}
	})
}

// A cone of long thin facets: what the cells list grows with how long the facets
// are, not with what their boxes hold, and stays under the bound.
func TestFacetGridOfLongFacets(t *testing.T) {
	if testing.Short() {
		t.Skip("short: numbers alone, and many of them")
	}
	m := sliverCone(40_000)
	g, err := newFacetGridOf(context.Background(), m, m.Bounds(), 4*float64(len(m.Facets)))
	if err != nil {
		t.Fatal(err)
	}
	across := float64(g.cells.N[0] + g.cells.N[1] + g.cells.N[2])
	if each := float64(len(g.list)) / float64(len(m.Facets)); each > across {
		t.Errorf("each facet is listed in %.0f cells of %v", each, g.cells.N)
	}
	if len(g.list) > mostListed {
		t.Errorf("%d entries, at most %d", len(g.list), mostListed)
	}
	if cells := g.cells.Bricks(); float64(cells) > 4.5*float64(len(m.Facets)) {
		t.Errorf("%d cells for %d facets", cells, len(m.Facets))
	}
}

// sliverCone is a cone on a disc, of n facets that all meet in two points.
func sliverCone(n int) *Mesh {
	m := &Mesh{Vertices: []r3.Vec{{Z: 60}, {}}}
	for i := range n / 2 {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(n/2))
		m.Vertices = append(m.Vertices, r3.Vec{X: 30 * cos, Y: 30 * sin})
		a, b := int32(2+i), int32(2+(i+1)%(n/2))
		m.Facets = append(m.Facets, [3]int32{a, b, 0}, [3]int32{b, a, 1})
	}
	return m
}

func TestFacetGridStops(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := newFacetGrid(ctx, sliverCone(1000), Box{Max: r3.Vec{X: 1, Y: 1, Z: 1}}); !errors.Is(err, context.Canceled) {
		t.Errorf("error = %v, want that of the context", err)
	}
}
