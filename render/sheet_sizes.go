package render

import (
	"fmt"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/orient"
	"kilnpoise/orient/process"
)

// sizes sets the green and sintered sizes with the factors, and beside them the
// figures that the shop plans by.
func (l *layout) sizes(y float64) float64 {
	half := l.across() * 0.44
	a := l.sizeTable(l.x0(), y, half-5)
	b := l.keyFigures(l.x0()+half, y, l.across()-half)
	return max(a, b)
}

// sizeTable sets a line for each axis of the print frame.
func (l *layout) sizeTable(x, y, width float64) float64 {
	y = l.heading(x, y, width, "Sizes", "box, axes of the print frame")
	columns := []float64{width * 0.40, width * 0.70, width} // right ends
	y += l.line(faceSmall())
	for i, head := range []string{"green, mm", "sintered, mm", "factor"} {
		l.right(x+columns[i], y, head, faceSmall())
	}
	c := l.s.Chosen
	factor := c.Pose.Oversize
	for _, a := range []struct {
		name                    string
		green, sintered, factor float64
	}{
		{"X", c.GreenSize.X, c.SinteredSize.X, factor.X},
		{"Y", c.GreenSize.Y, c.SinteredSize.Y, factor.Y},
		{"Z (build)", c.GreenSize.Z, c.SinteredSize.Z, factor.Z},
	} {
		y += l.line(faceBody()) + 0.3
		l.left(x, y, a.name, faceBody())
		l.right(x+columns[0], y, digitsOf(a.green, 2), faceStrong())
		l.right(x+columns[1], y, digitsOf(a.sintered, 2), faceBody())
		l.right(x+columns[2], y, digitsOf(a.factor, 4), faceBody())
		l.rule(x, y+0.9, x+width, y+0.9, 0.1, inkRule)
	}
	y += 1
	if l.s.AtSinteredSize {
		return l.percentages(x, y, width)
	}
	return l.block(x, y, width, "The mesh is already at green size: do not scale it again.", faceSmall(), 2)
}

// percentages sets in a box what to type into the program that scales.
func (l *layout) percentages(x, y, width float64) float64 {
	o := l.s.Chosen.Pose.Oversize
	p := process.Percentages([3]float64{o.X, o.Y, o.Z})
	strong := faceStrong()
	h := l.line(faceBody()) + l.line(strong) + 2
	y += 0.8
	l.shade(x, y, width, h, rgb(inkShade))
	l.box(x, y, width, h, 0.3, inkText)
	at := y + l.line(faceBody()) + 0.2
	l.left(x+1.5, at, l.cut("The mesh is at finished size. Scale it in the next program to", width-3, faceBody()), faceBody())
	at += l.line(strong) + 0.2
	l.left(x+1.5, at, fmt.Sprintf("X %.2f %%    Y %.2f %%    Z %.2f %%", p[0], p[1], p[2]), strong)
	return y + h
}

// keyFigures sets what the shop plans by.
func (l *layout) keyFigures(x, y, width float64) float64 {
	y = l.heading(x, y, width, "For the shop", "")
	c, m := l.s.Chosen, &l.s.Chosen.Measures
	material := &l.s.Advice.Brief.Material
	facts := []fact{
		{"Orientation", c.Name, ""},
		{"  by ISO/ASTM 52921", c.Notation, notation(c.Notation)},
		{"Build direction in the file", vectorText(c.Pose.Up()), ""},
		{"Green mass", grams(m.GreenMassG) + " g", "estimate, printed dense; density " + trustIn(material, "green_density_g_cm3")},
		{"Filament", digitsOf(m.FilamentLengthM, 1) + " m", "estimate, without brim, purge, support"},
		{"Print time", digitsOf(m.PrintTimeS/3600, 1) + " h", "estimate"},
		{"Debinding", digitsOf(m.DebindingLowH, 1) + " to " + digitsOf(m.DebindingHighH, 1) + " h",
			"estimate, no margin; " + wallWords(m)},
	}
	if c.RestsOtherwise() {
		facts = append(facts, fact{"In the furnace", c.LaidAs(), "not as printed; see page 3"})
	}
	facts = append(facts, l.sagFact())
	return l.facts(x, y, width, 34, facts)
}

// wallWords says what wall the hours of debinding are for.
func wallWords(m *orient.Measures) string {
	wall := digitsOf(m.ThickestGreenWallMM, 1) + " mm green"
	if m.ThickestWallAtCavity {
		return "cavity: counts as " + wall
	}
	return "wall " + wall
}

// sagFact is the expected sag as a range, as it is laid in the furnace, with what it
// rests on.
func (l *layout) sagFact() fact {
	lies := l.s.Chosen.Lies()
	basis := "uncalibrated"
	if l.s.Advice.Brief.Material.Creep.Calibrated != "" {
		basis = "calibrated"
	}
	if lies.SagMethod == orient.SagByBeam {
		basis += " beam estimate"
	} else {
		basis += " estimate; solved"
	}
	if lies.Propped > 0 {
		basis += ", on props"
	}
	if len(l.s.Coupon) > 0 {
		return fact{"Gravity sag", fmt.Sprintf("is what the coupon is fired for: see page %d", l.measuringPage()), ""}
	}
	switch {
	case !lies.Stands():
		return fact{"Gravity sag", "it does not stand by itself", ""}
	case lies.SagCollapses:
		return fact{"Gravity sag", "collapses: over a tenth of the span", strings.Replace(basis, " estimate", "", 1)}
	}
	return fact{"Gravity sag", sagRange(lies) + " mm, likely " + sagWord(lies), basis}
}

// vectorText gives a direction with three decimals.
func vectorText(v r3.Vec) string {
	return fmt.Sprintf("%s, %s, %s", digitsOf(v.X, 3), digitsOf(v.Y, 3), digitsOf(v.Z, 3))
}

// notation says what an orientation is written in: letters of the standard, or
// rotations.
func notation(name string) string {
	letters, _, _ := strings.Cut(name, ",")
	if letters != "" && strings.Trim(letters, "XYZ") == "" {
		return "longest side's axis first"
	}
	return "about X, Y, Z in turn"
}
