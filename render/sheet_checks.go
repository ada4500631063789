package render

import (
	"fmt"
	"strconv"
	"strings"

	"kilnpoise/orient/support"
)

// item is one thing to check: with blanks to write measured values into, and
// what they should be.
type item struct {
	text   string
	blanks []string // label of each blank
}

// station is a place on the way of the part with its checks.
type station struct {
	title string
	items []item
}

// stations gives the checks along the way, with the values of the candidate.
func (l *layout) stations() []station {
	c := l.s.Chosen
	g, s, m := c.GreenSize, c.SinteredSize, &c.Measures
	size := func(x, y, z float64) string { return fmt.Sprintf("%.2f × %.2f × %.2f mm", x, y, z) }
	onPlate, hold, standing := "Stands on the plate as pictured", "Adhesive on the plate; brim, skirt or raft set", "Stands by itself, as pictured"
	if m.TipAngleDeg < l.s.Advice.Brief.Material.SmallestTipDeg {
		onPlate, hold = "Held on the plate as pictured: it does not stand by itself", "Adhesive on the plate; raft under part and supports"
	}
	if c.RestsOtherwise() {
		standing = "Laid down as pictured on page 3, not as printed"
	}
	if c.Lies().TipAngleDeg < l.s.Advice.Brief.Material.SmallestTipDeg {
		standing = "Bedded so that it cannot tip: it does not stand by itself"
	}
	scaling := "Nothing scaled twice: the mesh is at green size"
	if l.s.AtSinteredSize {
		scaling = "The three percentages typed, axis by axis"
	}
	green := item{"Green size " + size(g.X, g.Y, g.Z), []string{"X", "Y", "Z"}}
	sintered := item{"Size " + size(s.X, s.Y, s.Z), []string{"X", "Y", "Z"}}
	if n := len(l.s.Sizes); n > 0 {
		green = item{text: fmt.Sprintf("Green sizes measured, %s on page %d", numbersTo(n), l.measuringPage())}
		sintered = item{text: fmt.Sprintf("Sintered sizes measured, %s on page %d", numbersTo(n), l.measuringPage())}
	}
	debound, mass := "Mass after debinding; loss by the material's data sheet", "Mass"
	if w := l.s.Masses; w.GreenG > 0 {
		debound = fmt.Sprintf("Mass after debinding about %s to %s g, %.1f to %.1f %% lost (estimate%s; the material's data sheet decides)",
			grams(w.DeboundLowG), grams(w.DeboundHighG), w.DebindingLossLowPercent, w.DebindingLossHighPercent, l.partAlone())
		mass = fmt.Sprintf("Mass about %s g, %.1f %% lost (estimate)", grams(w.SinteredG), w.LossPercent)
	}
	wall := item{fmt.Sprintf("Thickest wall about %.1f mm", m.ThickestGreenWallMM), []string{"mm"}}
	if m.ThickestWallAtCavity { // what counts is no wall that could be measured
		wall = item{text: "Closed cavity drilled or open, or the safety data sheet asked"}
	}
	return []station{
		{"Before print", []item{
			{text: onPlate},
			{text: scaling},
			{"Size in the print program " + size(g.X, g.Y, g.Z), []string{"X", "Y", "Z"}},
			{"Filament dry; lot", []string{""}},
			{text: hold},
			{text: "Chamber closed, part fan off"},
		}},
		{"In the green state", []item{
			{text: l.freeing()},
			{text: "No cracks, no gaps between walls, corners flat"},
			green,
			{fmt.Sprintf("Green mass about %s g (estimate%s)", grams(m.GreenMassG), l.partAlone()), []string{"g"}},
			wall,
		}},
		{"Before the furnace", []item{
			{debound, []string{"g", "%"}},
			{text: standing},
			{text: l.setting()},
			{fmt.Sprintf("Free way of %.1f mm at the ends of the footprint", c.Lies().TravelMM), nil},
			{"Furnace, run number", []string{""}},
		}},
		{"After the furnace", l.afterFurnace(sintered, mass)},
	}
}

// afterFurnace gives the checks of the sintered part.
func (l *layout) afterFurnace(sintered item, mass string) []item {
	items := []item{sintered, {"Sag at the marked place", []string{"mm"}}, {mass, []string{"g"}}, {text: "Values entered in the material record"}}
	if numbers := l.kept(); len(numbers) > 0 {
		items = append([]item{{text: "Supports of " + regionsNamed(numbers) + " cut off: they are steel now"}}, items...)
	}
	return items
}

// freeing says what comes off in the green state.
func (l *layout) freeing() string {
	numbers := l.kept()
	if len(numbers) == 0 {
		return "Supports and raft off, contact faces dressed"
	}
	return "Supports of " + regionsNamed(numbers) + " left on, with a raft under them if there is one; all others off, contact faces dressed"
}

// partAlone goes on about a mass: it is without the supports that are left on, if any are.
func (l *layout) partAlone() string {
	if len(l.kept()) > 0 {
		return ", without the supports that are left on"
	}
	return ""
}

// setting says how the setter is made ready.
func (l *layout) setting() string {
	switch n := len(l.s.Chosen.PropsToSet()); n {
	case 0:
		return "Setter flat and clean, raft or sand where planned"
	case 1:
		return "Setter flat and clean; the prop set under it, see page 3"
	default:
		return fmt.Sprintf("Setter flat and clean; the %d props set under it, see page 3", n)
	}
}

// kept gives the regions of the support plan, by number, whose support stays under the
// part through the furnace.
func (l *layout) kept() (numbers []string) {
	plan := l.s.Chosen.Plan
	if plan == nil {
		return nil
	}
	for i, it := range plan.Items {
		if it.Advice == support.PrintAndKeep && (l.s.LeftOut == nil || !l.s.LeftOut(i)) {
			numbers = append(numbers, strconv.Itoa(i+1))
		}
	}
	return numbers
}

// regionsNamed lists regions of the support plan in words.
func regionsNamed(numbers []string) string {
	if len(numbers) == 1 {
		return "region " + numbers[0]
	}
	last := len(numbers) - 1
	return "regions " + strings.Join(numbers[:last], ", ") + " and " + numbers[last]
}

// grams writes a mass as finely as a workshop's scales tell it.
func grams(g float64) string {
	switch {
	case g < 10:
		return digitsOf(g, 2)
	case g < 1000:
		return digitsOf(g, 1)
	}
	return digitsOf(g, 0)
}

// numbersTo names the first sizes.
func numbersTo(n int) string {
	if n == 1 {
		return "no. 1"
	}
	return fmt.Sprintf("no. 1 to %d", n)
}

// footHigh is how high checks, cautions and signatures stand together.
func (l *layout) footHigh() float64 {
	return l.tall(func() float64 { return l.cautions(l.checks(0) + gap) }) + gap + l.signaturesHigh()
}

// checks sets the stations side by side.
func (l *layout) checks(y float64) float64 {
	y = l.heading(l.x0(), y, l.across(), "Checks", "tick, and write the measured value")
	const between = 3.5
	list := l.stations()
	w := (l.across() - between*float64(len(list)-1)) / float64(len(list))
	end := y
	for i, s := range list {
		end = max(end, l.station(&s, l.x0()+float64(i)*(w+between), y, w))
	}
	return end
}

// station sets the checks of one place.
func (l *layout) station(s *station, x, y, width float64) float64 {
	y += l.line(faceStrong())
	l.left(x, y, s.title, faceStrong())
	y += 0.6
	const tick = 2.6
	for _, it := range s.items {
		l.box(x, y+0.9, tick, tick, 0.25, inkText)
		y = max(l.block(x+tick+1.4, y, width-tick-1.4, it.text, faceBody(), 0), y+tick+0.9)
		if len(it.blanks) > 0 {
			y = l.blanks(it.blanks, x+tick+1.4, y, width-tick-1.4)
		}
		y += 0.9
	}
	return y
}

// blanks sets lines to write on, each with its label.
func (l *layout) blanks(labels []string, x, y, width float64) float64 {
	const room = 5.4 // handwriting
	y += room
	w := width / float64(len(labels))
	for i, label := range labels {
		left := x + float64(i)*w
		start := left
		if label == "X" || label == "Y" || label == "Z" {
			l.left(left, y, label, faceSmall())
			start += l.width(label, faceSmall()) + 0.8
			label = ""
		}
		end := left + w - 1.5
		if label != "" {
			l.right(end, y, label, faceSmall())
			end -= l.width(label, faceSmall()) + 0.8
		}
		l.rule(start, y+0.4, end, y+0.4, 0.2, inkText)
	}
	return y + 0.4
}

// signRoom is the white above a line to sign on, mm.
const signRoom = 8.5

// signaturesHigh is how high the lines to sign stand.
func (l *layout) signaturesHigh() float64 { return signRoom + l.line(faceSmall()) + 0.5 }

// signatures sets lines to sign.
func (l *layout) signatures(y float64) float64 {
	names := []string{"Prepared", "Printed", "Debound and sintered", "Inspected"}
	const between = 5.0
	w := (l.across() - between*float64(len(names)-1)) / float64(len(names))
	y += signRoom
	for i, n := range names {
		x := l.x0() + float64(i)*(w+between)
		l.rule(x, y, x+w, y, 0.25, inkText)
		l.left(x, y+l.line(faceSmall()), n+": name, date", faceSmall())
	}
	return y + l.line(faceSmall()) + 0.5
}
