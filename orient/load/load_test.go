package load_test

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
	"pgregory.net/rapid"

	"kilnpoise/mesh"
	"kilnpoise/mesh/meshtest"
	"kilnpoise/orient/load"
)

func rect(w, h float64) load.Outline {
	return load.Polygon([]r2.Vec{{X: -w / 2, Y: -h / 2}, {X: w / 2, Y: -h / 2}, {X: w / 2, Y: h / 2}, {X: -w / 2, Y: h / 2}})
}

func circle(radius float64, n int) []r2.Vec {
	var out []r2.Vec
	for i := range n {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(n))
		out = append(out, r2.Vec{X: radius * cos, Y: radius * sin})
	}
	return out
}

func reversed(l []r2.Vec) []r2.Vec {
	out := make([]r2.Vec, len(l))
	for i, p := range l {
		out[len(l)-1-i] = p
	}
	return out
}

func ring(outer, inner float64) load.Outline {
	return load.Polygon(circle(outer, 64), reversed(circle(inner, 64)))
}

func angle(long, wide float64) load.Outline {
	return load.Polygon([]r2.Vec{{}, {X: long}, {X: long, Y: wide}, {X: wide, Y: wide}, {X: wide, Y: long}, {Y: long}})
}

func arrange(t testing.TB, q load.Request) *load.Layout {
	t.Helper()
	l, err := load.Arrange(context.Background(), q)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

// standsClear looks at a layout with a raster of its own: each bed is sampled on a fine
// grid, each sample asked of every part by casting a ray, and no sample of one part may lie
// within the gap, less what the grid does not see, of one of another.
func standsClear(t interface{ Errorf(string, ...any) }, q load.Request, l *load.Layout) {
	pitch := max(q.Size.X, q.Size.Y) / 300
	for bed := range l.Beds {
		nx, ny := int(q.Size.X/pitch), int(q.Size.Y/pitch)
		owner := make([]int, nx*ny)
		for n, p := range l.Placements {
			if p.Bed != bed {
				continue
			}
			sin, cos := math.Sincos(p.TurnDeg * math.Pi / 180)
			edges := q.Kinds[p.Kind].Outline.Edges
			for _, e := range edges { // on the bed
				x, y := cos*e.A.X-sin*e.A.Y+p.At.X, sin*e.A.X+cos*e.A.Y+p.At.Y
				if math.Abs(x) > q.Size.X/2+1e-6 || math.Abs(y) > q.Size.Y/2+1e-6 {
					t.Errorf("part %d reaches to %g, %g", n, x, y)
				}
			}
			for j := range ny {
				for i := range nx {
					x, y := (float64(i)+0.5)*pitch-q.Size.X/2-p.At.X, (float64(j)+0.5)*pitch-q.Size.Y/2-p.At.Y
					if !inside(edges, cos*x+sin*y, cos*y-sin*x) {
						continue
					}
					if owner[j*nx+i] != 0 {
						t.Errorf("parts %d and %d overlap at %g, %g", owner[j*nx+i]-1, n, x+p.At.X, y+p.At.Y)
						return
					}
					owner[j*nx+i] = n + 1
				}
			}
		}
		reach := int(q.GapMM/pitch) + 1
		for j := range ny {
			for i := range nx {
				if owner[j*nx+i] == 0 {
					continue
				}
				for dj := 0; dj <= reach && j+dj < ny; dj++ {
					for di := -reach; di <= reach; di++ {
						if i+di < 0 || i+di >= nx {
							continue
						}
						other := owner[(j+dj)*nx+i+di]
						if d := math.Hypot(float64(di), float64(dj)) * pitch; other != 0 && other != owner[j*nx+i] && d < q.GapMM-1e-6 {
							t.Errorf("bed %d: parts %d and %d are %.3f mm apart at %d, %d; asked for %g", bed, owner[j*nx+i]-1, other-1, d, i, j, q.GapMM)
							return
						}
					}
				}
			}
		}
	}
}

// inside casts a ray to the right and counts the edges it meets: odd is inside.
func inside(edges []load.Edge, x, y float64) bool {
	in := false
	for _, e := range edges {
		if (e.A.Y > y) != (e.B.Y > y) && x < e.A.X+(e.B.X-e.A.X)*(y-e.A.Y)/(e.B.Y-e.A.Y) {
			in = !in
		}
	}
	return in
}

// hexagonal is how many discs the best of four hexagonal packings holds: rows along X or
// along Y, by the usual formula.
func hexagonal(w, h, d, gap float64) int {
	pack := func(w, h float64) int {
		step := d + gap
		rows := int(math.Floor((h-d)/(step*math.Sqrt(3)/2))) + 1
		even, odd := int(math.Floor((w-d)/step))+1, int(math.Floor((w-d-step/2)/step))+1
		return (rows+1)/2*even + rows/2*odd
	}
	return max(pack(w, h), pack(h, w))
}

func TestDiscsAreAtLeastAsManyAsHexagonal(t *testing.T) {
	for _, c := range []struct{ w, h, d, gap float64 }{{200, 160, 30, 2}, {250, 210, 22, 1}, {100, 100, 24, 0}, {180, 180, 41, 3}, {160, 200, 17, 2}} {
		disc := load.Polygon(circle(c.d/2, 96))
		want := hexagonal(c.w, c.h, c.d, c.gap+1e-4)
		q := load.Request{Size: r2.Vec{X: c.w, Y: c.h}, GapMM: c.gap, Kinds: []load.Kind{{Outline: disc, Copies: want + 4}}, Beds: 1}
		l := arrange(t, q)
		t.Logf("%v: %d discs, hexagonal %d", c, l.Placed[0], want)
		if l.Placed[0] < want {
			t.Errorf("%v: %d discs, the hexagonal packing holds %d", c, l.Placed[0], want)
		}
		standsClear(t, q, l)
	}
}

// A part may stand in the hole of a ring, and nowhere else there is room for it.
func TestPartStandsInTheHoleOfARing(t *testing.T) {
	q := load.Request{
		Size: r2.Vec{X: 100, Y: 100}, GapMM: 2, Beds: 1,
		Kinds: []load.Kind{{Outline: ring(49, 30), Copies: 1}, {Outline: rect(30, 30), Copies: 1}},
	}
	l := arrange(t, q)
	if l.Placed[0] != 1 || l.Placed[1] != 1 {
		t.Errorf("placed %v, want both", l.Placed)
	}
	standsClear(t, q, l)
}

// Three angles that interlock fit a bed on which the box of one alone has room.
func TestAnglesInterlock(t *testing.T) {
	q := load.Request{Size: r2.Vec{X: 99, Y: 99}, GapMM: 1, Beds: 1, Kinds: []load.Kind{{Outline: angle(60, 18), Copies: 3}}}
	l := arrange(t, q)
	if l.Placed[0] != 3 {
		t.Errorf("placed %d angles, want 3", l.Placed[0])
	}
	standsClear(t, q, l)
}

func TestLongBarIsTurned(t *testing.T) {
	q := load.Request{Size: r2.Vec{X: 200, Y: 160}, GapMM: 2, Kinds: []load.Kind{{Outline: rect(220, 10), Copies: 2}}}
	l := arrange(t, q)
	if l.Placed[0] != 2 || l.Beds != 1 {
		t.Errorf("%d bars on %d beds, want 2 on 1", l.Placed[0], l.Beds)
	}
	standsClear(t, q, l)
	q.Kinds[0].Outline = rect(260, 10)
	if l := arrange(t, q); l.Placed[0] != 0 || l.Beds != 0 {
		t.Errorf("a bar longer than the bed's diagonal was placed: %v on %d beds", l.Placed, l.Beds)
	}
}

// shards cuts a rectangle by lines into convex pieces, each turned and moved at random, as
// what is cut from one plate is when it is picked up again.
func shards(r *rand.Rand, w, h float64, count int) []load.Outline {
	pieces := [][]r2.Vec{{{X: 0, Y: 0}, {X: w, Y: 0}, {X: w, Y: h}, {X: 0, Y: h}}}
	area := func(p []r2.Vec) float64 { return load.Polygon(p).Area() }
	for len(pieces) < count {
		at := 0
		for i := range pieces {
			if area(pieces[i]) > area(pieces[at]) {
				at = i
			}
		}
		var middle r2.Vec
		for _, p := range pieces[at] {
			middle = r2.Add(middle, r2.Scale(1/float64(len(pieces[at])), p))
		}
		a := math.Pi * r.Float64()
		n := r2.Vec{X: math.Cos(a), Y: math.Sin(a)}
		one, other := half(pieces[at], middle, n), half(pieces[at], middle, r2.Scale(-1, n))
		pieces[at] = one
		pieces = append(pieces, other)
	}
	var out []load.Outline
	for _, p := range pieces {
		out = append(out, load.Polygon(p).Placed(360*r.Float64(), r2.Vec{X: 100 * r.Float64()}))
	}
	return out
}

// half gives the part of a convex polygon on one side of a line.
func half(p []r2.Vec, at, n r2.Vec) []r2.Vec {
	var out []r2.Vec
	for i, a := range p {
		b := p[(i+1)%len(p)]
		da, db := r2.Dot(n, r2.Sub(a, at)), r2.Dot(n, r2.Sub(b, at))
		if da >= 0 {
			out = append(out, a)
		}
		if da*db < 0 {
			out = append(out, r2.Add(a, r2.Scale(da/(da-db), r2.Sub(b, a))))
		}
	}
	return out
}

// Pieces that were cut from one plate could fill it. Turned at random, cut at any angle, they
// are the hardest load there is.
func TestPiecesCutFromOnePlateFillMostOfIt(t *testing.T) {
	sum := 0.0
	for seed := range uint64(4) {
		r := rand.New(rand.NewPCG(seed, 4))
		q := load.Request{Size: r2.Vec{X: 200, Y: 160}, Beds: 1}
		for _, o := range shards(r, 200, 160, 12+6*int(seed)) {
			q.Kinds = append(q.Kinds, load.Kind{Outline: o, Copies: 1})
		}
		l := arrange(t, q)
		t.Logf("%d pieces: %.1f %%", len(q.Kinds), 100*l.Used[0])
		if l.Used[0] < 0.8 {
			t.Errorf("%d pieces: %.1f %% of the plate is covered, want 80", len(q.Kinds), 100*l.Used[0])
		}
		sum += l.Used[0]
		standsClear(t, q, l)
	}
	if sum/4 < 0.83 {
		t.Errorf("%.1f %% of the plates are covered, want 83", 100*sum/4)
	}
}

// mixed is a load of parts of all shapes.
func mixed(r *rand.Rand, n int, scale float64) []load.Kind {
	var out []load.Kind
	for i := range n {
		s := scale * (0.5 + r.Float64())
		var o load.Outline
		switch i % 6 {
		case 0:
			o = load.Polygon(circle(s, 48))
		case 1:
			o = rect(2*s, (0.6+r.Float64())*s)
		case 2:
			o = angle(2*s, 0.6*s)
		case 3:
			o = ring(1.2*s, 0.7*s)
		case 4:
			o = load.Polygon(circle(s, 3))
		default:
			o = rect(4*s, 0.4*s)
		}
		out = append(out, load.Kind{Outline: o, Copies: 1, MassG: 10 + 90*r.Float64()})
	}
	return out
}

func TestFortyMixedParts(t *testing.T) {
	q := load.Request{Size: r2.Vec{X: 250, Y: 210}, GapMM: 3, Kinds: mixed(rand.New(rand.NewPCG(1, 2)), 40, 18)}
	l := arrange(t, q)
	t.Logf("%d beds, used %.2f", l.Beds, l.Used)
	if len(l.Placements) != 40 || l.Beds > 2 || l.Used[0] < 0.55 {
		t.Errorf("%d of 40 parts on %d beds, the first covered to %.2f", len(l.Placements), l.Beds, l.Used[0])
	}
	standsClear(t, q, l)
}

// No load overlaps or comes nearer than the gap, none leaves a bed, none is more than its
// run may carry, and what has no place is counted.
func TestAnyLoadStandsClear(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 9))
		q := load.Request{
			Size: r2.Vec{X: 60 + 60*r.Float64(), Y: 60 + 60*r.Float64()}, GapMM: 4 * r.Float64(),
			Kinds: mixed(r, 1+r.IntN(6), 8+8*r.Float64()), Beds: r.IntN(4), RunBeds: r.IntN(3),
		}
		if r.IntN(2) == 0 {
			q.RunMassG = 60 + 200*r.Float64()
		}
		for i := range q.Kinds {
			q.Kinds[i].Copies = r.IntN(3)
		}
		l, err := load.Arrange(context.Background(), q)
		if err != nil {
			t.Fatal(err)
		}
		standsClear(t, q, l)
		placed := make([]int, len(q.Kinds))
		runs := map[int]float64{}
		for _, p := range l.Placements {
			placed[p.Kind]++
			runs[p.Bed/max(q.RunBeds, 1)] += q.Kinds[p.Kind].MassG
			if p.Bed >= l.Beds || q.Beds > 0 && p.Bed >= q.Beds {
				t.Fatalf("bed %d of %d", p.Bed, l.Beds)
			}
		}
		for k, n := range placed {
			if n != l.Placed[k] || n > q.Kinds[k].Copies {
				t.Fatalf("kind %d: %d placed, said %d, wanted %d", k, n, l.Placed[k], q.Kinds[k].Copies)
			}
		}
		for run, mass := range runs {
			if q.RunMassG > 0 && mass > q.RunMassG*(1+1e-9) {
				t.Fatalf("run %d carries %g g, allowed are %g", run, mass, q.RunMassG)
			}
		}
	})
}

func TestSameRequestSameLayout(t *testing.T) {
	q := load.Request{Size: r2.Vec{X: 160, Y: 120}, GapMM: 2, Kinds: mixed(rand.New(rand.NewPCG(5, 6)), 12, 12)}
	if a, b := fmt.Sprint(arrange(t, q)), fmt.Sprint(arrange(t, q)); a != b {
		t.Errorf("two layouts of one load:\n%s\n%s", a, b)
	}
}

func TestLoadIsCancelled(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	q := load.Request{Size: r2.Vec{X: 160, Y: 120}, Kinds: []load.Kind{{Outline: rect(10, 10), Copies: 4}}}
	if _, err := load.Arrange(ctx, q); err == nil {
		t.Error("a cancelled load was laid out")
	}
}

// The outline of a mesh covers what its facets cover, with holes, and its area is that of
// the shape in closed form.
func TestOutlineOfMeshes(t *testing.T) {
	polygon := func(radius float64, n int) float64 {
		return float64(n) / 2 * radius * radius * math.Sin(2*math.Pi/float64(n))
	}
	turn := mesh.RotationAbout(meshtest.Block(1, 1, 1).Vertices[6], 0.7)
	for _, c := range []struct {
		name string
		m    *mesh.Mesh
		area float64
	}{
		{"block", meshtest.Block(30, 20, 10), 600},
		{"cylinder", meshtest.Cylinder(10, 30, 64), polygon(10, 64)},
		{"ring", meshtest.Ring(meshtest.Rectangle(7, 0, 3, 80), 48), polygon(10, 48) - polygon(7, 48)},
		{"spool", meshtest.Ring(meshtest.Loop{{6, 0}, {18, 0}, {18, 5}, {10, 5}, {10, 31}, {18, 31}, {18, 36}, {6, 36}}, 32), polygon(18, 32) - polygon(6, 32)},
		{"cross", meshtest.Boxes([]meshtest.Box{meshtest.At(-5, -5, 0, 10, 10, 24), meshtest.At(-22, -4, 10, 44, 8, 4), meshtest.At(-4, -22, 11, 8, 44, 4)}), 44*8 + 44*8 - 64 + 4*1},
	} {
		o, err := load.Of(context.Background(), c.m)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(o.Area()-c.area) > 1e-4*c.area {
			t.Errorf("%s: covers %g mm2, want %g (%d edges)", c.name, o.Area(), c.area, len(o.Edges))
		}
		// Turned askew, against the facets themselves.
		askew := c.m.Transform(turn, meshtest.Block(1, 1, 1).Vertices[0])
		if o, err = load.Of(context.Background(), askew); err != nil {
			t.Fatal(err)
		}
		r := rand.New(rand.NewPCG(3, 3))
		b := askew.Bounds()
		for range 400 {
			p := r2.Vec{X: b.Min.X + r.Float64()*(b.Max.X-b.Min.X), Y: b.Min.Y + r.Float64()*(b.Max.Y-b.Min.Y)}
			if got, want := inside(o.Edges, p.X, p.Y), underFacet(askew, p); got != want {
				t.Errorf("%s, askew: %v is covered: %t, by its facets %t", c.name, p, got, want)
				break
			}
		}
	}
}

func underFacet(m *mesh.Mesh, p r2.Vec) bool {
	for i := range m.Facets {
		a, b, c := m.Corners(i)
		side := func(ax, ay, bx, by float64) float64 { return (bx-ax)*(p.Y-ay) - (by-ay)*(p.X-ax) }
		s1, s2, s3 := side(a.X, a.Y, b.X, b.Y), side(b.X, b.Y, c.X, c.Y), side(c.X, c.Y, a.X, a.Y)
		if s1 > 0 && s2 > 0 && s3 > 0 || s1 < 0 && s2 < 0 && s3 < 0 {
			return true
		}
	}
	return false
}

func TestClearance(t *testing.T) {
	at := func(o load.Outline, x, y float64) load.Outline { return o.Placed(0, r2.Vec{X: x, Y: y}) }
	for _, c := range []struct {
		name string
		a, b load.Outline
		want float64
	}{
		{"side by side", rect(10, 10), at(rect(10, 10), 13, 0), 3},
		{"corner to corner", rect(10, 10), at(rect(10, 10), 13, 14), 5},
		{"crossing", rect(10, 10), at(rect(10, 10), 9, 0), 0},
		{"one within the other", rect(40, 40), rect(10, 10), 0},
		{"in a hole", ring(40, 20), rect(1, 20), 20*math.Cos(math.Pi/64) - math.Hypot(10, 0.5)},
		{"far away", rect(10, 10), at(rect(10, 10), 100, 0), 50},
	} {
		got := load.Clearance(c.a, c.b, 50)
		if math.Abs(got-c.want) > 0.02 {
			t.Errorf("%s: %g mm, want %g", c.name, got, c.want)
		}
		if back := load.Clearance(c.b, c.a, 50); math.Abs(back-got) > 1e-12 {
			t.Errorf("%s: %g mm one way, %g the other", c.name, got, back)
		}
	}
}

func BenchmarkFiftyMixedParts(b *testing.B) {
	q := load.Request{Size: r2.Vec{X: 250, Y: 210}, GapMM: 3, Kinds: mixed(rand.New(rand.NewPCG(1, 2)), 50, 16)}
	for b.Loop() {
		arrange(b, q)
	}
}
