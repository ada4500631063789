package render

import (
	"fmt"
	"strings"

	"kilnpoise/orient"
	"kilnpoise/orient/process"
)

// head sets the title, the part and its hash, and the date.
func (l *layout) head(y float64) float64 {
	x, right := l.x0(), l.x0()+l.across()
	l.shade(x, y, l.across(), 0.9, rgb(inkAccent))
	y += 0.9 + l.line(faceTitle())
	l.left(x, y, "Part sheet", faceTitle())
	after := x + l.width("Part sheet", faceTitle()) + 4
	date := l.s.Date.Format("2 January 2006")
	l.right(right, y, date, faceStrong())
	l.left(after, y, l.cut("which way up to print, how it stands in the furnace", right-after-l.width(date, faceStrong())-4, faceSmall()), faceSmall())
	y += 2.2
	name := face{pt: 11, style: "B", ink: rgb(inkText)}
	y += l.line(name)
	l.left(x, y, l.cut(orDash(l.s.PartFile), l.across(), name), name)
	hash := face{pt: 6.6, mono: true, ink: rgb(inkQuiet)}
	y += l.line(faceSmall()) + 0.8
	l.left(x, y, "SHA-256 of the file", faceSmall())
	l.left(x+l.width("SHA-256 of the file ", faceSmall())+1, y, orDash(l.s.PartSHA256), hash)
	if l.s.MeshFile != "" {
		y += l.line(faceSmall())
		label := "Mesh handed over, at green size: "
		if l.s.AtSinteredSize {
			label = "Mesh handed over, at finished size: "
		}
		l.left(x, y, label, faceSmall())
		at := x + l.width(label, faceSmall()) + 1
		l.left(at, y, l.cut(l.s.MeshFile, right-at, faceSmall()), faceSmall())
	}
	return y
}

// banner says in a box, before all else, which gates are not passed and what is
// dangerous about the part; where there is nothing of the kind it takes no room.
func (l *layout) banner(y float64) float64 {
	lines := l.warningLines()
	if len(lines) == 0 {
		return y
	}
	y += gap
	set := func() float64 {
		at := y + 0.4
		for _, line := range lines {
			at = l.block(l.x0()+1.5, at, l.across()-3, line, faceStrong(), 0)
		}
		return at
	}
	if !l.mute {
		h := l.tall(set) - y + 1.2
		l.shade(l.x0(), y, l.across(), h, rgb(inkShade))
		l.box(l.x0(), y, l.across(), h, 0.3, inkText)
	}
	return set() + 1.2
}

// warningLines are the paragraphs of the banner.
func (l *layout) warningLines() []string {
	var out []string
	fails, doubts := notPassed(l.s.Chosen)
	var text string
	if len(fails) > 0 {
		text = "Fails: " + strings.Join(fails, "; ") + ". "
	}
	if len(doubts) > 0 {
		text += "In doubt: " + strings.Join(doubts, "; ") + ". "
	}
	if text != "" {
		out = append(out, text+"Page 2 says what to do about it before anything is printed.")
	}
	if part := l.s.Advice.Part; part != nil && part.Health.Cavities > 0 {
		out = append(out, cavityCaution(part.Health.Cavities))
	}
	return out
}

// cavityCaution sends the reader of the sheet of a part with closed cavities on.
func cavityCaution(cavities int) string {
	what, it := "The part has a closed cavity", "it"
	if cavities > 1 {
		what, it = fmt.Sprintf("The part has %d closed cavities", cavities), "them"
	}
	return fmt.Sprintf("Caution. %s: gas and acid stay trapped in %s. Drill or open %s in the design; else ask the material's safety data sheet before it is debound or fired.", what, it, it)
}

// notPassed says in few words what fails and what is in doubt.
func notPassed(c *orient.Candidate) (fails, doubts []string) {
	for _, g := range c.GatesIn(orient.Failed) {
		fails = append(fails, g.Fault())
	}
	for _, g := range c.GatesIn(orient.Doubtful) {
		doubts = append(doubts, g.Fault())
	}
	return fails, doubts
}

// shortHead is the head of the second page.
func (l *layout) shortHead(y float64) float64 {
	x, right := l.x0(), l.x0()+l.across()
	l.shade(x, y, l.across(), 0.9, rgb(inkAccent))
	y += 0.9 + l.line(faceHead()) + 1
	date := l.s.Date.Format("2 January 2006")
	l.right(right, y, date, faceBody())
	l.left(x, y, l.cut(orDash(l.s.PartFile), l.across()-l.width(date, faceBody())-4, faceHead()), faceHead())
	return y
}

func orDash(s string) string {
	if s == "" {
		return "–"
	}
	return s
}

// fact is a label with its value and how far it is to be trusted.
type fact struct{ label, value, trust string }

// process sets the record that everything rests on.
func (l *layout) process(y float64) float64 {
	b := &l.s.Advice.Brief
	y = l.heading(l.x0(), y, l.across(), "Process record", "in brackets: how far each figure is to be trusted")
	m := &b.Material
	percent := func(v [3]float64) string {
		return fmt.Sprintf("%.1f / %.1f / %.1f", 100*v[0], 100*v[1], 100*v[2])
	}
	left := []fact{
		{"Material", orDash(m.Name), ""},
		{"Printer", orDash(b.Printer.Name), ""},
		{"Furnace", orDash(b.Furnace.Name), ""},
	}
	right := []fact{
		{"Shrinkage X / Y / Z", percent(m.Shrinkage) + " %", trustIn(m, "shrinkage")},
		{"its spread, one standard deviation", percent(m.ShrinkageSpread) + " points", trustIn(m, "shrinkage_spread")},
		{"Layer height; overhang limit", fmt.Sprintf("%.2f mm; %g° from the plate", m.LayerHeightMM, m.OverhangLimitDeg), pairTrust(m)},
	}
	half := l.across() * 0.40
	a := l.facts(l.x0(), y, half-4, 15, left)
	return max(a, l.facts(l.x0()+half, y, l.across()-half, 49, right))
}

// pairTrust gives the trust of layer height and overhang limit, once if alike.
func pairTrust(m *process.Material) string {
	a, b := trustIn(m, "layer_height_mm"), trustIn(m, "overhang_limit_deg")
	if a == b {
		return a
	}
	return a + "; " + b
}

// facts sets labels and values in two columns, the value from indent on.
func (l *layout) facts(x, y, width, indent float64, facts []fact) float64 {
	indent *= l.scale
	for _, f := range facts {
		y += l.line(faceBody())
		label := faceBody()
		label.ink = rgb(inkQuiet)
		l.left(x, y, l.cut(f.label, indent-1, label), label)
		value := l.cut(trade(f.value), width-indent, faceStrong())
		l.left(x+indent, y, value, faceStrong())
		if f.trust != "" {
			at := x + indent + l.width(value, faceStrong()) + 1.5
			l.left(at, y, l.cut("("+f.trust+")", max(x+width-at, 0), faceSmall()), faceSmall())
		}
	}
	return y
}
