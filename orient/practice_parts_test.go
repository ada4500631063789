package orient_test

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
	"kilnpoise/mesh/meshtest"
)

// The parts of the table of practice, by shape. All are about as large as
// fittings are, in millimetres at finished size; as drawn Z is up.

// corners is how finely round parts are drawn: finer than the facets that a
// technician would feel, so that they roll as round parts do.
const corners = 48

func box(x, y, z float64) *mesh.Mesh { return meshtest.Block(x, y, z) }

func boxes(solid ...meshtest.Box) *mesh.Mesh { return meshtest.Boxes(solid) }

// prism stands a profile drawn in x and z up, and gives it the depth along y.
func prism(depth float64, outline meshtest.Loop, holes ...meshtest.Loop) *mesh.Mesh {
	m := meshtest.Extrude(outline, depth, holes...)
	return m.Transform(mesh.RotationAbout(r3.Vec{X: 1}, math.Pi/2), r3.Vec{Y: depth})
}

func disc(diameter, height float64) *mesh.Mesh { return meshtest.Cylinder(diameter/2, height, corners) }

// tube has its axis along Z.
func tube(outer, bore, height float64) *mesh.Mesh {
	return meshtest.Ring(meshtest.Rectangle(bore/2, 0, (outer-bore)/2, height), corners)
}

// solid turns a profile of (radius, z) about Z; it begins and ends on the axis.
func solid(profile ...[2]float64) *mesh.Mesh { return meshtest.Lathe(profile, corners) }

// hollow turns a closed profile off the axis about Z.
func hollow(profile ...[2]float64) *mesh.Mesh { return meshtest.Ring(profile, corners) }

// grating has square holes between bars.
func grating(nx, ny int, hole, bar, height float64) *mesh.Mesh {
	pitch := hole + bar
	w, d := float64(nx)*pitch+bar, float64(ny)*pitch+bar
	var holes []meshtest.Box
	for i := range nx {
		for j := range ny {
			holes = append(holes, meshtest.At(bar+float64(i)*pitch, bar+float64(j)*pitch, 0, hole, hole, height))
		}
	}
	return meshtest.Boxes([]meshtest.Box{meshtest.At(0, 0, 0, w, d, height)}, holes...)
}

// gear has straight-sided teeth.
func gear(teeth int, root, tip, bore, height float64) *mesh.Mesh {
	var l meshtest.Loop
	step := 2 * math.Pi / float64(teeth)
	for i := range teeth {
		for _, c := range [][2]float64{{-0.30, root}, {-0.12, tip}, {0.12, tip}, {0.30, root}} {
			sin, cos := math.Sincos((float64(i) + c[0]) * step)
			l = append(l, [2]float64{c[1] / 2 * cos, c[1] / 2 * sin})
		}
	}
	return meshtest.Extrude(l, height, meshtest.Circle(0, 0, bore/2, 24))
}

// handwheel is a rim on four spokes about a bored hub, all of one height.
func handwheel(rim, width, hub, bore, spoke, height float64) *mesh.Mesh {
	holes := []meshtest.Loop{meshtest.Circle(0, 0, bore/2, 24)}
	out, in := rim/2-width, hub/2
	for q := range 4 {
		a, b := 90*float64(q), 90*float64(q+1)
		far, near := math.Asin(spoke/2/out)*180/math.Pi, math.Asin(spoke/2/in)*180/math.Pi
		holes = append(holes, append(meshtest.Arc(0, 0, out, a+far, b-far, 10), meshtest.Arc(0, 0, in, b-near, a+near, 4)...))
	}
	return meshtest.Extrude(meshtest.Circle(0, 0, rim/2, corners), height, holes...)
}

// bend is a quarter turn in the x-z plane, from rising along z to running along x,
// with straight ends.
func bend(radius, rise, run float64) meshtest.Loop {
	path := meshtest.Loop{{0, 0}}
	path = append(path, meshtest.Arc(radius, rise, radius, 180, 90, 10)...)
	return append(path, [2]float64{radius + run, rise + radius})
}

// elbow is a pipe bend with a flange at its lower end.
func elbow(outer, bore, flange, thick float64) *mesh.Mesh {
	pipe := meshtest.BentTube(bend(22, 12, 8), outer/2, bore/2, 36)
	foot := meshtest.Ring(meshtest.Rectangle(bore/2+0.5, 0, (flange-bore)/2-0.5, thick), 36)
	return meshtest.Together(pipe, foot)
}

// hexBolt stands on its head.
func hexBolt(across, head, shank, length float64) *mesh.Mesh {
	hex, round := meshtest.Hexagon(across, corners), meshtest.Circle(0, 0, shank/2, corners)
	return meshtest.Loft(meshtest.Level(hex, 0), meshtest.Level(hex, head), meshtest.Level(round, head), meshtest.Level(round, head+length))
}

// withPin is a square plate with a round pin on its upper face.
func withPin(side, thick, pin, length float64) *mesh.Mesh {
	return meshtest.Loft(append(plateLevels(side, 0, thick), pinLevels(pin, thick, thick+length)...)...)
}

// pinned has a pin above the plate and another one below.
func pinned(side, thick, pin, above, below float64) *mesh.Mesh {
	rings := pinLevels(pin, -below, 0)
	rings = append(rings, plateLevels(side, 0, thick)...)
	return meshtest.Loft(append(rings, pinLevels(pin, thick, thick+above)...)...)
}

func pinLevels(diameter, from, to float64) [][]r3.Vec {
	l := meshtest.Circle(0, 0, diameter/2, 32)
	return [][]r3.Vec{meshtest.Level(l, from), meshtest.Level(l, to)}
}

// plateLevels is a square drawn with as many corners as the pins.
func plateLevels(side, from, to float64) [][]r3.Vec {
	l := make(meshtest.Loop, 32)
	for i := range l {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / 32)
		r := side / 2 / max(math.Abs(sin), math.Abs(cos))
		l[i] = [2]float64{r * cos, r * sin}
	}
	return [][]r3.Vec{meshtest.Level(l, from), meshtest.Level(l, to)}
}

// leaning is a square column whose upper end stands off to the side.
func leaning(side, height, off float64) *mesh.Mesh {
	return meshtest.Loft(meshtest.Level(meshtest.Rectangle(0, 0, side, side), 0), meshtest.Level(meshtest.Rectangle(off, 0, side, side), height))
}

// dome is half a hollow ball, its rim on z = 0.
func dome(outer, inner float64) *mesh.Mesh {
	quarter := func(diameter float64) [][2]float64 {
		arc := [][2]float64(meshtest.Arc(0, 0, diameter/2, 0, 90, 8))
		arc[8][0] = 0
		return arc
	}
	inside := quarter(inner)
	slices.Reverse(inside)
	return solid(append(inside, quarter(outer)...)...)
}

// cage is the twelve edges of a cube.
func cage(side, bar float64) *mesh.Mesh {
	w := side - 2*bar
	return meshtest.Boxes([]meshtest.Box{meshtest.At(0, 0, 0, side, side, side)},
		meshtest.At(bar, bar, 0, w, w, side), meshtest.At(bar, 0, bar, w, side, w), meshtest.At(0, bar, bar, side, w, w))
}

// knob is a thick round disc with a rounded rim, and a boss under it.
func knob() *mesh.Mesh {
	profile := meshtest.Loop{{0, -10}, {4, -10}, {4, 0}, {13, 0}}
	profile = append(profile, meshtest.Arc(13, 3, 3, -75, 75, 10)...)
	return solid(append(profile, [2]float64{13, 6}, [2]float64{0, 6})...)
}
