package render

import (
	"fmt"
	"image"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/orient"
)

// hasMeasuring tells whether there is anything to measure: this has a page of its
// own, the last.
func (l *layout) hasMeasuring() bool {
	return len(l.s.Coupon)+len(l.s.Sizes)+len(l.s.Chosen.Dimensions)+len(l.s.Advice.Brief.Marks.Stock) > 0
}

// measuringPage is its number.
func (l *layout) measuringPage() int {
	if l.hasThird() {
		return 4
	}
	return 3
}

// measuring sets the page about tolerances, sizes and masses, and gives where it
// ends. The pictures take the height that the rest leaves.
func (l *layout) measuring() (float64, error) {
	l.page(l.measuringPage())
	y := l.shortHead(l.margin) + gap
	text := l.tall(func() float64 { y, _ := l.measured(0, 0); return y }) // muted, nothing can fail
	const slack = 2                                                       // to the foot
	y, err := l.measured(y, max(l.bottom()-slack-y-text, leastPair))
	if err != nil {
		return 0, err
	}
	return y, l.pdf.Error()
}

// measured sets the sections of the page with pictures so high.
func (l *layout) measured(y, high float64) (float64, error) {
	if len(l.s.Coupon) > 0 {
		y = l.coupon(y) + gap
	}
	if len(l.s.Chosen.Dimensions) > 0 {
		y = l.tolerances(y) + gap
	}
	if len(l.s.Advice.Brief.Marks.Stock) > 0 {
		y = l.stock(y) + gap
	}
	if len(l.s.Sizes) > 0 {
		var err error
		if y, err = l.caliper(y, high); err != nil {
			return 0, err
		}
		y += gap
	}
	return l.masses(y), nil
}

// tableColumn is a column of one of these tables: what stands over it, how wide it
// is at scale 1, 0 for what is left, and whether its text ends at the right.
type tableColumn struct {
	title string
	wide  float64
	right bool
}

// columnsOf places columns across the page and sets their titles.
func (l *layout) columnsOf(columns []tableColumn, y float64) (at []float64, end float64) {
	left := l.across()
	for _, c := range columns {
		left -= c.wide * l.scale
	}
	at = []float64{l.x0()}
	for _, c := range columns {
		w := c.wide * l.scale
		if c.wide == 0 {
			w = left
		}
		at = append(at, at[len(at)-1]+w)
	}
	y += l.line(faceSmall())
	for k, c := range columns {
		l.cell(c.title, at[k], at[k+1], y, c.right, faceSmall())
	}
	return at, y + 0.6
}

// cells sets one line of a table. An empty text is a line to write on.
func (l *layout) cells(columns []tableColumn, at []float64, y float64, high float64, texts ...string) float64 {
	l.rule(l.x0(), y+0.3, l.x0()+l.across(), y+0.3, 0.1, inkRule)
	y += high
	for k, text := range texts {
		if text == "" {
			l.rule(at[k]+2, y+0.4, at[k+1]-1, y+0.4, 0.2, inkText)
			continue
		}
		f := faceBody()
		if k == 0 {
			f = faceStrong()
		}
		l.cell(l.cut(text, at[k+1]-at[k]-1.5, f), at[k], at[k+1], y, columns[k].right, f)
	}
	return y + 0.8
}

// toleranceColumns are those of the table of tolerances.
func toleranceColumns() []tableColumn {
	return []tableColumn{
		{"what has to be true", 0, false}, {"nominal", 14, true}, {"expected", 14, true}, {"as it sags", 24, true},
		{"scatter, ±", 14, true}, {"allowed", 16, true}, {"by", 21, false}, {"verdict", 20, false}, {"most of it is", 25, false},
	}
}

// tolerances sets a line for each dimension.
func (l *layout) tolerances(y float64) float64 {
	y = l.heading(l.x0(), y, l.across(), "Tolerances",
		"finished part, mm and °; estimates: expected with the likely sag and at both ends of it; scatter three standard deviations")
	columns := toleranceColumns()
	at, y := l.columnsOf(columns, y)
	list := l.s.Chosen.Dimensions
	shown := len(list)
	if l.room.items > 0 {
		shown = min(shown, 2*l.room.items)
	}
	for i := range list[:shown] {
		y = l.cells(columns, at, y, l.line(faceBody())+0.4, ToleranceCells(&list[i])...)
	}
	l.rule(l.x0(), y+0.3, l.x0()+l.across(), y+0.3, 0.1, inkRule)
	if more := len(list) - shown; more > 0 {
		y = l.block(l.x0(), y+0.8, l.across(), fmt.Sprintf("… and %d more, not shown for want of room.", more), faceSmall(), 1)
	}
	return y
}

// ToleranceCells gives what the table says of one dimension: name and kind, nominal,
// expected, the same at the ends of the sag, scatter, limit, where that comes from,
// the verdict, and what most of it is. The window shows the same.
func ToleranceCells(d *orient.DimensionOutcome) []string {
	f := d.Figures()
	unit := ""
	if f.Unit == "deg" {
		unit = "°"
	}
	number := func(v float64) string { return digitsOf(v, 2) + unit }
	nominal, scatter, allowed := number(f.Nominal), number(f.Scatter), "± "+number(f.Allowed)
	if d.What.IsZone() {
		nominal, scatter, allowed = "–", "–", number(f.Allowed)
	}
	sag, most := "not solved", d.Weightiest
	if d.SagKnown {
		sag = number(f.Low) + " to " + number(f.High)
	}
	if most == "" {
		most = "–"
	}
	return []string{d.Name + ", " + d.What.String(), nominal, number(f.Expected), sag, scatter, allowed, d.Rule, string(d.Verdict), most}
}

// stock sets the faces to be machined after sintering.
func (l *layout) stock(y float64) float64 {
	y = l.heading(l.x0(), y, l.across(), "Stock to machine off after sintering", "it is on the mesh handed over, and in all sizes on this sheet")
	columns := []tableColumn{{"face", 0, false}, {"middle X, Y, Z, green", 34, false}, {"stock, mm", 20, true}, {"machined to, mm", 26, true}, {"measured", 26, false}}
	at, y := l.columnsOf(columns, y)
	const hand = 5.4
	list := l.s.Advice.Brief.Marks.Stock
	shown := len(list)
	if l.room.items > 0 {
		shown = min(shown, l.room.items)
	}
	for i := range list[:shown] {
		s := &list[i]
		finished := "–"
		if s.On.Round {
			finished = "Ø " + digitsOf(s.On.Bore.DiameterMM, 2)
		}
		at3 := l.s.Advice.GreenAt(l.s.Chosen, s.On.At())
		y = l.cells(columns, at, y, hand, orient.StockName(s, i), placeText(at3), digitsOf(s.MM, 2), finished, "")
	}
	l.rule(l.x0(), y+0.3, l.x0()+l.across(), y+0.3, 0.1, inkRule)
	return y
}

// caliperColumns are those of the sizes to check.
func caliperColumns() []tableColumn {
	return []tableColumn{
		{"no.", 7, false}, {"size", 0, false}, {"middle X, Y, Z, green", 31, false}, {"green", 28, true}, {"measured", 21, false},
		{"sintered", 20, true}, {"measured", 21, false},
	}
}

// caliper sets the sizes that a caliper can take, over pictures that number them.
func (l *layout) caliper(y, high float64) (float64, error) {
	y = l.heading(l.x0(), y, l.across(), "Sizes to check with a caliper", "on the part itself, mm; axes of the print frame, also when it is laid down otherwise")
	views := l.s.Pictures.Sizes
	images, words := make([]*image.RGBA, len(views)), make([]string, len(views))
	for i, v := range views {
		images[i], words[i] = v.Image, "Seen "+v.Words
	}
	y, err := l.pair(images, words, y+1, high)
	if err != nil {
		return 0, err
	}
	columns := caliperColumns()
	at, y := l.columnsOf(columns, y)
	shown := len(l.s.Sizes)
	if l.room.items > 0 {
		shown = min(shown, 2*l.room.items)
	}
	const hand = 5.4 // room for handwriting
	for i := range l.s.Sizes[:shown] {
		s := &l.s.Sizes[i]
		y = l.cells(columns, at, y, hand, fmt.Sprint(i+1), sizeWords(s), placeText(s.AtMM.Vec()), greenText(s), "", digitsOf(s.SinteredMM, 2), "")
	}
	l.rule(l.x0(), y+0.3, l.x0()+l.across(), y+0.3, 0.1, inkRule)
	return y, nil
}

// sizeWords says what a size is.
func sizeWords(s *orient.CheckSize) string {
	what := "across flats along "
	switch {
	case s.Diameter && s.Inside:
		what = "bore along "
	case s.Diameter:
		what = "outer diameter along "
	}
	way := wayText(s.Along.Vec())
	if s.Name != "" {
		return s.Name + ", along " + way
	}
	return what + way
}

// wayText gives a direction by the axis that it is within a degree of, else by its
// components.
func wayText(n r3.Vec) string {
	const near = 0.99985
	for i, v := range [3]float64{n.X, n.Y, n.Z} {
		if math.Abs(v) > near {
			return "XYZ"[i : i+1]
		}
	}
	if math.Abs(n.X) > 1e-6 && n.X < 0 || math.Abs(n.X) <= 1e-6 && n.Y < 0 {
		n = r3.Scale(-1, n) // a line has no sign: one way of writing it
	}
	return fmt.Sprintf("(%s, %s, %s)", digitsOf(n.X, 2), digitsOf(n.Y, 2), digitsOf(n.Z, 2))
}

func placeText(p r3.Vec) string {
	return fmt.Sprintf("%s, %s, %s", digitsOf(p.X, 0), digitsOf(p.Y, 0), digitsOf(p.Z, 0))
}

// greenText is the green size; two for an oval.
func greenText(s *orient.CheckSize) string {
	low, high := digitsOf(s.GreenMM, 2), digitsOf(s.GreenHighMM, 2)
	if low == high {
		return low
	}
	return low + " to " + high
}

// masses sets the target masses with lines to write on.
func (l *layout) masses(y float64) float64 {
	m := l.s.Masses
	if m.GreenG <= 0 {
		return y
	}
	note, off := "part without supports; estimates from the densities of the record", "printed dense, supports and raft off"
	if len(l.kept()) > 0 {
		off = "printed dense; with the supports that are left on it weighs more"
	}
	y = l.heading(l.x0(), y, l.across(), "Masses to reach", note)
	columns := []tableColumn{{"state", 30, false}, {"mass, g", 32, true}, {"loss, % of green", 32, true}, {"weighed, g", 30, false}, {"remark", 0, false}}
	at, y := l.columnsOf(columns, y)
	const hand = 5.4
	y = l.cells(columns, at, y, hand, "green", grams(m.GreenG), "–", "", off)
	y = l.cells(columns, at, y, hand, "after debinding", grams(m.DeboundLowG)+" to "+grams(m.DeboundHighG),
		digitsOf(m.DebindingLossLowPercent, 1)+" to "+digitsOf(m.DebindingLossHighPercent, 1), "", "the material's data sheet decides")
	y = l.cells(columns, at, y, hand, "after the furnace", grams(m.SinteredG), digitsOf(m.LossPercent, 1), "", "all binder gone, no metal lost")
	l.rule(l.x0(), y+0.3, l.x0()+l.across(), y+0.3, 0.1, inkRule)
	return y + 0.5
}
