package orient_test

import (
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
	"kilnpoise/mesh/meshtest"
	"kilnpoise/orient"
)

// practice is a kind of part with what a technician demands of the first choice
// for it. The records are the built-in ones: 316L at 16/16/20 %, plate
// 250 x 210 x 210, setter 200 x 160 x 150, walls from 1 to 12.5 mm green, 0.3 mm of sag.
// The demands come from the trade and not from what the program gave.
type practice struct {
	part string
	mesh *mesh.Mesh
	// up is which sides of the part, as drawn, may be up.
	up ways
	// why a technician would take it, in one line.
	why string
	// fails are the gates that no way up can pass, so that the first choice must
	// fail them; it may fail those in mayFail, and no other.
	fails, mayFail []string
	// cure is a word that a failed gate's reason must hold: the record that fits.
	cure string
	// bare is true where no support may be needed.
	bare bool
	// rolls is true where nothing flat is there to stand on.
	rolls bool
	// fired is true where the furnace has to be solved for the choice, since the
	// estimate for thousands of directions is too rough for the shape.
	fired bool
	// open is true where the advice is not yet what is demanded: the row then says in
	// what, and is skipped.
	open bool
	// also are ways up that must be known to be no good as they stand.
	also []verdict
}

// verdict is what happens to the part if it stays in the furnace with that side up,
// as it was printed.
type verdict struct {
	up    r3.Vec
	fault standingFault
}

// standingFault is what a technician sees at once.
type standingFault string

const (
	topples standingFault = "topples" // under the tip angle of the record
	leans   standingFault = "leans"   // even at the low end of the range
	sags    standingFault = "sags"    // at the likely value
)

// The states of a gate that are asked for.
const (
	passed = "passed"
	failed = "failed"
)

// The sides of the drawing.
var (
	top, bottom = r3.Vec{Z: 1}, r3.Vec{Z: -1}
	front, back = r3.Vec{Y: -1}, r3.Vec{Y: 1}
	left, right = r3.Vec{X: -1}, r3.Vec{X: 1}
)

// The ways up that a technician speaks of.
var (
	asDrawn    = way(top)
	overturned = way(bottom)
	flat       = way(top, bottom) // on either broad side, or either end of what is symmetric
	profile    = way(front, back) // the drawn profile on the plate
	onAnEnd    = way(left, right)
	anyFace    = way(top, bottom, front, back, left, right)
	lying      = ways{across: top} // the axis level
)

// practices is the table, by kind.
func practices() []practice {
	var all []practice
	for _, group := range [][]practice{flatParts(), bars(), brackets(), housings(), turnedParts(), stems(), thickParts(), largeParts(), oddParts()} {
		all = append(all, group...)
	}
	return all
}

func flatParts() []practice {
	return []practice{
		{part: "flat plate", mesh: box(60, 40, 4), up: flat, bare: true,
			why:  "lies on its broad side: nothing to support, nothing that could sag or lean",
			also: []verdict{{front, topples}, {front, leans}}},
		{part: "disc", mesh: disc(60, 5), up: flat, bare: true, why: "round stays round with the axis upright, and the whole face carries it"},
		{part: "washer", mesh: tube(40, 30, 6), up: flat, bare: true, why: "round stays round with the axis upright",
			also: []verdict{{right, topples}}},
		{part: "hex nut", mesh: meshtest.Extrude(meshtest.Hexagon(24, 48), 10, meshtest.Circle(0, 0, 6, 24)), up: flat, bare: true,
			why: "the bore prints without support only with its axis upright"},
		{part: "grating", mesh: grating(5, 4, 10, 4, 5), up: flat, bare: true, why: "lying, every bar rests on the setter over its length"},
		{part: "gear disc", mesh: gear(20, 42, 50, 12, 8), up: flat, bare: true, why: "every tooth shrinks alike with the axis upright, no flank is cut free of support"},
		{part: "handwheel", mesh: handwheel(80, 7, 22, 10, 6, 6), up: flat, bare: true, why: "rim and spokes all lie on the setter"},
		{part: "lever", mesh: meshtest.Extrude(append(meshtest.Arc(0, 0, 11, 90, 270, 16), meshtest.Arc(60, 0, 8, 270, 450, 16)...), 7,
			meshtest.Circle(0, 0, 6, 24), meshtest.Circle(60, 0, 4, 24)), up: flat, bare: true, why: "both bores upright, the broad side down"},
		{part: "ribbed plate", mesh: boxes(meshtest.At(0, 0, 0, 80, 60, 4), meshtest.At(0, 12, 4, 80, 4, 10), meshtest.At(0, 44, 4, 80, 4, 10), meshtest.At(38, 0, 4, 4, 60, 10)),
			up: asDrawn, bare: true, why: "plate down, ribs up: turned over the plate would hang between its ribs"},
		{part: "plate ribbed on both sides", mesh: boxes(meshtest.At(0, 0, -2, 40, 40, 4), meshtest.At(0, 6, -8, 40, 4, 16), meshtest.At(0, 30, -8, 40, 4, 16)),
			up: onAnEnd, bare: true, why: "on the end of its profile nothing hangs; on its ribs the plate would"},
		{part: "plate with a pin", mesh: withPin(50, 5, 6, 14), up: asDrawn, bare: true, why: "pin up: with the pin down the plate would stand on 6 mm"},
		{part: "wedge", mesh: prism(20, meshtest.Loop{{0, 0}, {40, 0}, {40, 9}}), up: ways{dirs: []r3.Vec{top, front, back}}, bare: true,
			why: "on a true face, so that the slope is free of support; not on the slope, which is what is to be true"},
	}
}

func bars() []practice {
	return []practice{
		{part: "square rod, long", mesh: box(120, 6, 6), up: way(top, bottom, front, back), bare: true,
			why:  "lies: upright 20 times as high as wide, it would bend over at heat",
			also: []verdict{{right, topples}, {right, leans}}},
		{part: "round pin, short", mesh: disc(9, 24), up: flat, bare: true, why: "on its end: round, no support, and low enough not to lean",
			also: []verdict{{right, topples}}},
		{part: "round rod, slender", mesh: disc(6, 110), up: lying, rolls: true, mayFail: []string{orient.GateStands},
			why:  "lies in a cradle of support and a grooved setter: upright it would bend over like a candle",
			also: []verdict{{top, leans}}},
		{part: "hook of round bar", mesh: meshtest.Bent(append(meshtest.Loop{{-16, 50}, {-16, 30}}, meshtest.Arc(0, 16, 16, 180, 380, 16)...), 4, 24),
			up: profile, why: "the hook's plane level: it lies on a long curved line, and the point cannot sag away from the shank"},
		{part: "hook cut from plate", mesh: prism(8, slices.Concat(meshtest.Loop{{-20, 50}}, meshtest.Arc(0, 16, 20, 180, 380, 16),
			meshtest.Arc(0, 16, 12, 380, 180, 16), meshtest.Loop{{-12, 50}})), up: profile, bare: true, why: "the whole profile on the plate"},
		{part: "round ring of round bar", mesh: meshtest.Torus(20, 4, 32), up: flat, why: "lies level on its ring of contact, cradled below",
			also: []verdict{{right, topples}}},
		{part: "fork", mesh: boxes(meshtest.At(0, 0, 0, 30, 9, 9), meshtest.At(30, -12, 0, 10, 33, 9), meshtest.At(40, -12, 0, 35, 9, 9), meshtest.At(40, 12, 0, 35, 9, 9)),
			up: flat, bare: true, why: "both tines lie on the setter; upright they would lean apart"},
		{part: "lollipop", mesh: prism(5, append(meshtest.Arc(0, 60, 20, -80, 260, 40), [2]float64{-3.47, 0}, [2]float64{3.47, 0})), up: profile, bare: true,
			why: "lies: on its stick it would fall over", also: []verdict{{top, topples}}},
		{part: "leaning column", mesh: leaning(9, 40, 20), up: way(front, back, r3.Unit(r3.Vec{X: 2, Z: -1}), r3.Unit(r3.Vec{X: -2, Z: 1})), bare: true,
			why: "lies on one of its long sides: its centre stands outside its foot", also: []verdict{{top, topples}}},
	}
}

func brackets() []practice {
	return []practice{
		{part: "L-bracket", mesh: prism(15, meshtest.Loop{{0, 0}, {50, 0}, {50, 4}, {4, 4}, {4, 50}, {0, 50}}), up: profile, bare: true,
			why: "profile down: every layer runs round the corner, and no 4 mm leg stands 50 mm high"},
		{part: "T-bracket", mesh: prism(20, meshtest.Loop{{0, 0}, {50, 0}, {50, 4}, {27, 4}, {27, 44}, {23, 44}, {23, 4}, {0, 4}}), up: profile, bare: true,
			why: "profile down: the web, ten times as high as thick, would lean on its flange"},
		{part: "U-bracket", mesh: prism(20, meshtest.Loop{{0, 0}, {40, 0}, {40, 40}, {36, 40}, {36, 4}, {4, 4}, {4, 40}, {0, 40}}), up: profile, bare: true,
			why: "profile down: arms upright lean, and arms down leave the back hanging"},
		{part: "Z-bracket", mesh: prism(18, meshtest.Loop{{0, 0}, {30, 0}, {30, 26}, {60, 26}, {60, 30}, {26, 30}, {26, 4}, {0, 4}}), up: profile, bare: true,
			why: "profile down: any other way one arm hangs"},
		{part: "L-bracket, drawn on its leg", mesh: boxes(meshtest.At(0, 0, 0, 40, 30, 4), meshtest.At(0, 0, 0, 4, 30, 40), meshtest.At(0, 13, 0, 20, 4, 20)),
			up: way(top, right), bare: true, why: "gusseted: one leg down, the other one held up by the gusset; on its side the gusset hangs"},
		{part: "bridge", mesh: prism(20, meshtest.Loop{{0, 0}, {9, 0}, {9, 26}, {51, 26}, {51, 0}, {60, 0}, {60, 30}, {0, 30}}), up: way(front, back, bottom), bare: true,
			why: "profile down or overturned: as drawn the deck hangs over 42 mm", also: []verdict{{top, sags}}},
		{part: "table", mesh: boxes(meshtest.At(0, 0, 30, 60, 50, 5), meshtest.At(0, 0, 0, 6, 6, 30), meshtest.At(54, 0, 0, 6, 6, 30), meshtest.At(0, 44, 0, 6, 6, 30), meshtest.At(54, 44, 0, 6, 6, 30)),
			up: overturned, bare: true, why: "on its top, legs up: neither support nor sag"},
		{part: "channel, long", mesh: boxes(meshtest.At(0, 0, 0, 120, 24, 4), meshtest.At(0, 0, 4, 120, 4, 12), meshtest.At(0, 20, 4, 120, 4, 12)), up: asDrawn, bare: true,
			why: "web down, open side up: on end it is six times as high as deep, on its side a flange hangs"},
		{part: "angle section, long", mesh: boxes(meshtest.At(0, 0, 0, 110, 20, 4), meshtest.At(0, 0, 4, 110, 4, 16)), up: way(top, back), bare: true,
			why: "one leg flat, the other one up, low and held at its root"},
		{part: "A-frame", mesh: prism(10, meshtest.Loop{{0, 0}, {50, 0}, {25, 45}}, meshtest.Loop{{10, 6}, {40, 6}, {25, 33}}), up: profile, bare: true, why: "the frame lies flat"},
		{part: "arch", mesh: prism(9, append(meshtest.Arc(0, 0, 30, 0, 180, 24), meshtest.Arc(0, 0, 22, 180, 0, 24)...)), up: profile, bare: true,
			why: "lies on its side: standing its feet would slide apart as it shrinks"},
	}
}

func housings() []practice {
	return []practice{
		{part: "open box", mesh: meshtest.Boxes([]meshtest.Box{meshtest.At(0, 0, 0, 40, 30, 20)}, meshtest.At(3, 3, 3, 34, 24, 17)), up: asDrawn, bare: true,
			why: "open side up: turned over the floor is a ceiling of 34 x 24 mm"},
		{part: "square sleeve", mesh: meshtest.Extrude(meshtest.Rectangle(0, 0, 30, 30), 35, meshtest.Rectangle(4, 4, 22, 22)), up: flat, bare: true,
			why: "on its end: lying its upper wall hangs over 22 mm"},
		{part: "closed box, thin enough", mesh: meshtest.Boxes([]meshtest.Box{meshtest.At(0, 0, 0, 30, 30, 30)}, meshtest.At(4, 4, 4, 22, 22, 22)), up: anyFace,
			fails: []string{orient.GateReach},
			why:   "on a face; the ceiling inside needs support that nobody gets out, so the part needs an opening"},
		{part: "closed box, 8 mm walls", mesh: meshtest.Boxes([]meshtest.Box{meshtest.At(0, 0, 0, 36, 36, 36)}, meshtest.At(8, 8, 8, 20, 20, 20)), up: anyFace,
			fails: []string{orient.GateReach, orient.GateDebinding},
			why:   "acid works from outside only, so the walls count twice; the cavity needs an opening"},
		{part: "cage", mesh: cage(40, 6), up: anyFace, why: "on any face, the upper bars held while printed; never on an edge or a corner"},
		{part: "tunnel", mesh: prism(40, slices.Concat(meshtest.Loop{{-16, 0}}, meshtest.Arc(0, 18, 16, 180, 0, 16), meshtest.Loop{{16, 0}, {12, 0}},
			meshtest.Arc(0, 18, 12, 0, 180, 16), meshtest.Loop{{-12, 0}})), up: way(front, back), bare: true, why: "on its end, the arch upright in every layer"},
		{part: "gutter", mesh: prism(46, append(meshtest.Arc(0, 0, 20, 180, 360, 24), meshtest.Arc(0, 0, 16, 360, 180, 24)...)), up: profile, bare: true,
			why: "on its end: lying on its round back it rocks, on its lips its back hangs"},
		{part: "elbow with a flange", mesh: elbow(20, 14, 36, 6), up: asDrawn, why: "on the flange: it is the broad foot, and the face that has to seal"},
	}
}

func turnedParts() []practice {
	return []practice{
		{part: "bush", mesh: tube(24, 14, 28), up: flat, bare: true, why: "axis upright: the bore stays round and free of support"},
		{part: "thin sleeve", mesh: tube(40, 36, 30), up: flat, bare: true, why: "axis upright: lying it would go oval under its own weight",
			also: []verdict{{right, topples}}},
		{part: "tube", mesh: tube(20, 14, 50), up: flat, bare: true, why: "axis upright: two and a half times as high as wide is easy"},
		{part: "tube, very long", mesh: tube(20, 14, 120), up: ways{dirs: []r3.Vec{top, bottom}, across: top}, rolls: true, mayFail: []string{orient.GateStands, orient.GateLean},
			why:  "no clean way: upright at the printer or level in a cradle; upright in the furnace it bends over",
			also: []verdict{{top, leans}}},
		{part: "stepped bush", mesh: hollow([2]float64{5, 0}, [2]float64{12, 0}, [2]float64{12, 14}, [2]float64{8, 14}, [2]float64{8, 32}, [2]float64{5, 32}), up: asDrawn, bare: true,
			why: "big end down: the shoulder faces up and needs no support"},
		{part: "flanged neck", mesh: hollow([2]float64{7, 0}, [2]float64{22, 0}, [2]float64{22, 6}, [2]float64{11, 6}, [2]float64{11, 30}, [2]float64{7, 30}), up: asDrawn, bare: true,
			why: "rests on the flange face, which is broad and has to be true"},
		{part: "spool", mesh: hollow([2]float64{6, 0}, [2]float64{18, 0}, [2]float64{18, 5}, [2]float64{10, 5}, [2]float64{10, 31}, [2]float64{18, 31}, [2]float64{18, 36}, [2]float64{6, 36}), up: flat,
			why: "on either flange, the other one held while printed; lying it rolls on two rims"},
		{part: "funnel", mesh: hollow([2]float64{4, 40}, [2]float64{7, 40}, [2]float64{7, 28}, [2]float64{22, 0}, [2]float64{19, 0}, [2]float64{4, 28}), up: asDrawn, bare: true, fired: true,
			why: "wide rim down: on the spout it topples, lying it rolls"},
		{part: "cup", mesh: solid([2]float64{0, 0}, [2]float64{10, 0}, [2]float64{20, 30}, [2]float64{17, 30}, [2]float64{8, 3}, [2]float64{0, 3}), up: asDrawn, bare: true,
			why: "on its bottom: on its rim the bottom is a ceiling"},
		{part: "dome, hollow", mesh: dome(50, 43), up: asDrawn, why: "on its rim, the crown held inside: on the crown it rocks on a point"},
		{part: "hourglass", mesh: hollow([2]float64{3, 0}, [2]float64{15, 0}, [2]float64{8, 18}, [2]float64{15, 36}, [2]float64{3, 36}, [2]float64{3, 18}), up: flat, bare: true, mayFail: []string{orient.GateDebinding},
			why: "on either end, both flanks steeper than the limit"},
	}
}

func stems() []practice {
	return []practice{
		{part: "flange on a stem", mesh: solid([2]float64{0, 0}, [2]float64{25, 0}, [2]float64{25, 6}, [2]float64{4.5, 6}, [2]float64{4.5, 32}, [2]float64{0, 32}), up: asDrawn, bare: true,
			why: "rests on the flange face because on the stem it would topple and the flange would hang"},
		{part: "mushroom, drawn on its stem", mesh: solid([2]float64{0, 0}, [2]float64{4.5, 0}, [2]float64{4.5, 24}, [2]float64{20, 24}, [2]float64{20, 30}, [2]float64{0, 30}), up: overturned, bare: true,
			why: "turned over onto its cap"},
		{part: "hexagon bolt", mesh: hexBolt(16, 7, 8, 28), up: asDrawn, bare: true, why: "on its head, the shank upright and round"},
		{part: "pin with a collar", mesh: solid([2]float64{0, 0}, [2]float64{4, 0}, [2]float64{4, 11}, [2]float64{10, 11}, [2]float64{10, 15}, [2]float64{4, 15}, [2]float64{4, 23}, [2]float64{0, 23}), up: flat,
			why: "upright on one of its ends, the collar held while printed; lying it rolls"},
		{part: "knob with a boss", mesh: knob(), up: overturned, why: "on its flat crown, boss up", also: []verdict{{right, topples}}},
		{part: "pin at the limit of the wall", mesh: disc(10.2, 26), up: flat, bare: true, why: "upright its wall is 12.1 mm green and debinds; the factor of the pose counts"},
		{part: "plate with pins on both sides", mesh: pinned(40, 6, 7, 16, 5), up: flat, mayFail: []string{orient.GateSag},
			why: "on the shorter or the longer pin, the plate held by support and in the furnace by setter blocks; on edge it topples"},
		{part: "hair pin on a plate", mesh: withPin(30, 5, 0.7, 6), up: asDrawn, fails: []string{orient.GateThin}, why: "pin up; the pin is thinner than two lines, which no way up cures"},
	}
}

func thickParts() []practice {
	thick := []string{orient.GateDebinding}
	return []practice{
		{part: "cube, thick", mesh: box(30, 30, 30), up: anyFace, bare: true, fails: thick, why: "on a face; too thick to debind whichever way, so nothing else may suffer for it"},
		{part: "block, thick", mesh: box(60, 40, 20), up: flat, bare: true, fails: thick, why: "on its broadest side, as if the wall were no matter"},
		{part: "cone", mesh: meshtest.Cone(15, 32, corners), up: asDrawn, bare: true, fails: thick, why: "on its base"},
		{part: "half ball", mesh: solid(append([][2]float64{{0, 0}}, append(meshtest.Arc(0, 0, 20, 0, 84, 12), [2]float64{0, 20})...)...), up: asDrawn, bare: true, fails: thick,
			why: "on its flat side, round side up"},
		{part: "plate with a thick boss", mesh: boxes(meshtest.At(0, 0, 0, 60, 40, 6), meshtest.At(20, 10, 6, 20, 20, 14)), up: asDrawn, bare: true, fails: thick, why: "plate down, boss up; the boss wants hollowing"},
		{part: "ball, thick", mesh: meshtest.Sphere(15, 32), up: ways{}, rolls: true, fails: []string{orient.GateDebinding, orient.GateStands}, why: "rolls and is too thick whichever way; the advice must say both"},
	}
}

func largeParts() []practice {
	const larger = "300"
	return []practice{
		{part: "bar that fits turned", mesh: box(175, 20, 6), up: flat, bare: true, why: "208 mm green lie across a setter of 200 x 160"},
		{part: "plate too long for the setter", mesh: box(180, 60, 8), up: flat, bare: true, fails: []string{orient.GateFurnace}, cure: larger,
			why: "flat all the same: the larger setter is easier to find than a way to fire it leaning"},
		{part: "bar too long for all but one plate", mesh: box(260, 20, 8), up: way(top, bottom, front, back), bare: true, fails: []string{orient.GateFurnace}, mayFail: []string{orient.GatePrinter}, cure: larger,
			why: "lies, or stands on its long edge, where it goes across the plate; 310 mm green go across a larger setter only"},
		{part: "bar that fits nothing", mesh: box(420, 30, 8), up: flat, bare: true, fails: []string{orient.GateFurnace, orient.GatePrinter}, why: "lies; no record holds 500 mm, so it has to be divided, not stood up or leaned"},
		{part: "large ribbed tray", mesh: boxes(meshtest.At(0, 0, 0, 200, 140, 4), meshtest.At(0, 0, 4, 200, 4, 10), meshtest.At(0, 136, 4, 200, 4, 10)), up: asDrawn, bare: true, fails: []string{orient.GateFurnace}, cure: larger,
			why: "tray down, ribs up, in the larger furnace"},
		{part: "large ring", mesh: tube(172, 150, 8), up: flat, bare: true, fails: []string{orient.GateFurnace}, cure: larger, why: "flat: 205 mm across at any turn; on its rim it rolls"},
	}
}

func oddParts() []practice {
	return []practice{
		{part: "foil", mesh: box(50, 30, 0.4), up: flat, bare: true, fails: []string{orient.GateThin}, why: "flat; three layers are no wall, and the advice must say so"},
		{part: "thin-walled tray", mesh: meshtest.Boxes([]meshtest.Box{meshtest.At(0, 0, 0, 40, 30, 12)}, meshtest.At(0.4, 0.4, 1.6, 39.2, 29.2, 10.4)), up: asDrawn, bare: true, fails: []string{orient.GateThin}, mayFail: []string{orient.GateLean},
			why: "open side up; walls of one line are no walls"},
		{part: "wall on a foot", mesh: boxes(meshtest.At(0, 0, 0, 45, 24, 5), meshtest.At(0, 9.5, 5, 45, 5, 45)), up: onAnEnd, bare: true,
			why: "on the end of its profile: on its foot the wall is nine times as high as thick, on the wall's face the foot hangs"},
		{part: "ball, small", mesh: meshtest.Sphere(5, 24), up: ways{}, rolls: true, fails: []string{orient.GateStands}, why: "rolls whichever way: a grooved setter, and the advice must say that nothing stands"},
		{part: "spindle of two points", mesh: solid([2]float64{0, -22}, [2]float64{5, 0}, [2]float64{0, 22}), up: ways{}, rolls: true, fails: []string{orient.GateStands},
			why: "neither point nor flank carries it; the advice must say that nothing stands"},
	}
}
