package mesh

import (
	"context"
	"testing"

	"pgregory.net/rapid"
)

// moebius is a strip of 2 n facets with a half twist.
func moebius(n int) *Mesh {
	m := &Mesh{}
	for i := range n {
		t := torusShape(30, 8, n, 2*n)
		// Along the ring the strip turns half a turn about the tube's middle.
		m.Vertices = append(m.Vertices, t.Vertices[i*2*n+i], t.Vertices[i*2*n+(i+n)%(2*n)])
	}
	at := func(i, side int) int32 {
		if i == n {
			return int32(1 - side)
		}
		return int32(2*i + side)
	}
	for i := range n {
		m.Facets = append(m.Facets, [3]int32{at(i, 0), at(i+1, 0), at(i+1, 1)}, [3]int32{at(i, 0), at(i+1, 1), at(i, 1)})
	}
	return m
}

func TestPatchesFaceOneWay(t *testing.T) {
	m := torusShape(30, 8, 20, 12)
	rapid.Check(t, func(t *rapid.T) {
		mixed := m.Clone()
		turned := 0
		for i := range mixed.Facets {
			if rapid.IntRange(0, 3).Draw(t, "turn") == 0 {
				f := &mixed.Facets[i]
				f[1], f[2] = f[2], f[1]
				turned++
			}
		}
		p := patchesOf(t, NewTopology(mixed))
		if len(p.list) != 1 || p.list[0].twisted {
			t.Fatalf("patches %+v", p.list)
		}
		if want := min(turned, len(m.Facets)-turned); p.turned() != want {
			t.Fatalf("%d to turn, want %d", p.turned(), want)
		}
		for i, turn := range p.turn {
			if turn {
				f := &mixed.Facets[i]
				f[1], f[2] = f[2], f[1]
			}
		}
		if c := NewTopology(mixed).count(); c.torn != 0 {
			t.Fatalf("still torn: %+v", c)
		}
	})
}

func TestPatchesTellMoebius(t *testing.T) {
	p := patchesOf(t, NewTopology(moebius(12)))
	if len(p.list) != 1 || !p.list[0].twisted {
		t.Errorf("patches %+v, want one twisted", p.list)
	}
}

// TestSettle turns one of two bodies that share an edge: only the pair of
// patches can tell that it faces the wrong way there.
func TestSettle(t *testing.T) {
	m := Weld(together(cubeShape(0, 0, 0, 1), reversed(cubeShape(1, 1, 0, 1))))
	top := NewTopology(m)
	if c := top.count(); c.shared != 1 || c.torn != 0 {
		t.Fatalf("edges %+v: sides of closed bodies cancel whichever way they face", c)
	}
	p := patchesOf(t, top)
	p.settle(top)
	if p.turned() != 0 {
		t.Errorf("%d turned: nothing was torn", p.turned())
	}
	// A wall that ends on a cube's face without belonging to it: half of the box
	// over an edge of three facets turned over.
	box := Weld(together(cubeShape(0, 0, 0, 1), cubeShape(1, 0, 0, 1)))
	d := findDoubles(NewTopology(box))
	drop := d.sets[0][1] // leave one of the four facets of the inner wall out
	box.keep(func(i int) bool { return int32(i) != drop })
	p = patchesOf(t, NewTopology(box))
	p.settle(NewTopology(box))
	if n := p.turned(); n != 0 {
		t.Errorf("%d turned, want none", n)
	}
}

func TestShellsNumberedByFirstFacet(t *testing.T) {
	m := together(cubeShape(4, 0, 0, 1), cubeShape(0, 0, 0, 1))
	m.Facets = append(m.Facets, [3]int32{3, 3, 1})
	of, n := NewTopology(m).Shells()
	if n != 2 || of[0] != 0 || of[11] != 0 || of[12] != 1 || of[24] != -1 {
		t.Errorf("%d shells, %v", n, of)
	}
}

func patchesOf(t rapid.TB, top *Topology) *patches {
	t.Helper()
	p, err := findPatches(context.Background(), top)
	if err != nil {
		t.Fatal(err)
	}
	return p
}
