package furnace

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
)

// looseBox is a block of the part's own metal that stands by itself.
func looseBox(lo, hi r3.Vec) Prop {
	p := BoxProp(lo, hi, 1)
	p.Loose = true
	return p
}

// TestLooseBlockGivesWay: a column on a loose column of its own section comes down as one
// column of both heights; on sand, which weighs nothing on itself, by the weight above alone.
func TestLooseBlockGivesWay(t *testing.T) {
	c := DefaultCreep()
	const high, below = 20.0, 30.0
	m := boxes([6]float64{0, 0, below, 10, 10, below + high})
	block := looseBox(r3.Vec{}, r3.Vec{X: 10, Y: 10, Z: below})
	sand := block
	sand.Density, sand.Stiffness = 0, 1
	whole := HeightLossMM(c, high+below)
	for name, tt := range map[string]struct {
		prop Prop
		want float64
	}{"metal": {block, whole}, "sand": {sand, whole - HeightLossMM(c, below)}} {
		s := solveQuick(t, m, c, Options{Props: []Prop{tt.prop}})
		about(t, name, s.MM, tt.want, 0.02)
		if droop, _ := s.WorstDroop(); droop > 0.05*s.MM {
			t.Errorf("%s: a column droops %g mm of %g", name, droop, s.MM)
		}
	}
}

// TestCeramicDrags: a bar that shrinks over two ceramic blocks is pulled apart by friction at
// its underside, which bends it by M L^2/(8 E I) more, M the drag times half the height (H).
func TestCeramicDrags(t *testing.T) {
	c := DefaultCreep()
	const long, l, wide, h = 40.0, 36.0, 5.0, 2.0
	sag := func(friction float64) float64 {
		var props []Prop
		for _, x := range [2]float64{0, long - 4} {
			p := BoxProp(r3.Vec{X: x, Y: -1}, r3.Vec{X: x + 4, Y: wide + 1, Z: 5}, 0)
			p.Friction = friction
			props = append(props, p)
		}
		return solveQuick(t, boxes([6]float64{0, 0, 5, long, wide, 5 + h}), c, Options{Props: props}).MM
	}
	const friction = 0.5
	drag := friction * c.sink() * long * wide * h / 2 // times E
	want := drag * h / 2 * l * l / (8 * wide * h * h * h / 12)
	// The bar rests on the inner edges of the blocks, so it bends over 32 mm.
	inner := 32.0 / l
	about(t, "what the drag adds", sag(friction)-sag(0), want*inner*inner, 0.1)
}

// TestSupportsTouchAboveAndBelow: a support beside an arm does not hold on to it; one that
// touches nothing carries nothing.
func TestSupportsTouchAboveAndBelow(t *testing.T) {
	c := DefaultCreep()
	m := boxes([6]float64{0, 0, 0, 10, 6, 12}, [6]float64{0, 0, 10, 24, 6, 12})
	bare := solveQuick(t, m, c, Options{}).MM
	for name, p := range map[string]Prop{
		"beside": BoxProp(r3.Vec{X: 16, Y: 6}, r3.Vec{X: 24, Y: 12, Z: 12}, 0.5),
		"away":   BoxProp(r3.Vec{X: 30}, r3.Vec{X: 36, Y: 6, Z: 12}, 0.2),
	} {
		about(t, "with a support "+name, solveQuick(t, m, c, Options{Props: []Prop{p}}).MM, bare, 0.02)
	}
}

// TestWallsStandStiff: a support as the walls that it is made of, which are stiff along Z and
// soft across, carries what one of their density does that is alike in all directions.
func TestWallsStandStiff(t *testing.T) {
	if testing.Short() {
		t.Skip("short: numbers alone")
	}
	c := DefaultCreep()
	m := boxes([6]float64{0, 0, 0, 4, 12.5, 18}, [6]float64{44, 0, 0, 48, 12.5, 18}, [6]float64{0, 0, 16, 48, 12.5, 18})
	lo, hi := r3.Vec{X: 18}, r3.Vec{X: 30.5, Y: 12.5, Z: 16}
	const wall, period = 0.5, 4.0
	crate := &mesh.Mesh{}
	for x := lo.X; x < hi.X; x += period {
		crate.Append(boxMesh(r3.Vec{X: x, Y: lo.Y}, r3.Vec{X: x + wall, Y: hi.Y, Z: hi.Z}))
	}
	for y := lo.Y; y < hi.Y; y += period {
		crate.Append(boxMesh(r3.Vec{X: lo.X, Y: y}, r3.Vec{X: hi.X, Y: y + wall, Z: hi.Z}))
	}
	open := 1 - 4*wall/(hi.X-lo.X) // four walls each way
	even := BoxProp(lo, hi, 1-open*open)
	bare := solveQuick(t, m, c, Options{Elements: 20_000})
	walls := solveQuick(t, m, c, Options{Elements: 40_000, Props: []Prop{{Shape: crate, Density: 1}}})
	alike := solveQuick(t, m, c, Options{Elements: 40_000, Props: []Prop{even}})
	t.Logf("bare %.4f, on walls %.4f, on an even support %.4f mm", bare.MM, walls.MM, alike.MM)
	about(t, "on walls", walls.MM, alike.MM, 0.05)
	if walls.MM > bare.MM/3 {
		t.Errorf("on walls it sags %g mm, bare %g", walls.MM, bare.MM)
	}
}

// TestSettlesOnProps: pushes carry the weight, nothing is pulled, nothing sinks, whatever
// the props are.
func TestSettlesOnProps(t *testing.T) {
	arm := boxes([6]float64{0, 0, 0, 10, 6, 14}, [6]float64{0, 0, 12, 34, 6, 14})
	ceramic := BoxProp(r3.Vec{X: 27}, r3.Vec{X: 31, Y: 6, Z: 12}, 0)
	ceramic.Friction = 0.5
	for name, tt := range map[string]struct {
		props    []Prop
		friction float64
	}{
		"ceramic": {[]Prop{ceramic}, 0}, "ceramic, friction": {[]Prop{ceramic}, 0.3}, "ceramic, stuck": {[]Prop{ceramic}, Stuck},
		"loose": {[]Prop{looseBox(r3.Vec{X: 27}, r3.Vec{X: 31, Y: 6, Z: 12})}, 0},
		"both":  {[]Prop{looseBox(r3.Vec{X: 18}, r3.Vec{X: 22, Y: 6, Z: 12}), ceramic}, 0.1},
	} {
		t.Run(name, func(t *testing.T) {
			c := checked{mesh: func() *mesh.Mesh { return arm }, pitch: 1, friction: tt.friction, props: tt.props}.solved(t)
			var weight, carried float64
			for i, f := range c.force {
				if i%3 == c.up {
					weight -= f
				}
			}
			for i := range c.feet {
				carried += c.pressure[i]
				if c.pressure[i] < -0.01*weight/float64(len(c.feet)) {
					t.Errorf("foot %d is pulled by %v of the weight", i, -c.pressure[i]/weight)
				}
			}
			about(t, "weight carried", carried, weight, 2e-3)
			var along, drag r3.Vec
			for n := range int32(len(c.mg.levels[0].place)) {
				if c.pull != nil {
					u := c.vector(c.pull, n)
					along, drag = r3.Add(along, u), r3.Add(drag, r3.Vec{X: math.Abs(u.X)})
				}
			}
			if r3.Norm(along) > 1e-9*weight || len(tt.props) == 1 && tt.props[0].Ceramic && drag.X == 0 {
				t.Errorf("the drag comes to %v, of %v", along, drag)
			}
		})
	}
}
