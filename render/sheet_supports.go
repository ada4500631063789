package render

import (
	"fmt"
	"image"
	"strings"

	"kilnpoise/orient/support"
)

// hasThird tells whether there are supports to see to or another pose to lay the
// part down in: these have a page of their own.
func (l *layout) hasThird() bool {
	return l.hasSupports() || l.s.Chosen.RestsOtherwise()
}

// third sets the page about supports and laying down, and gives where it ends. The
// rows of pictures share the height that the rest leaves.
func (l *layout) third() (float64, error) {
	l.page(3)
	y := l.shortHead(l.margin) + gap
	rows := 0.0
	if l.hasSupports() {
		rows++
	}
	if l.s.Chosen.RestsOtherwise() {
		rows++
	}
	text := l.tall(func() float64 { y, _ := l.parts(0, 0); return y }) // muted, nothing can fail
	const slack = 2                                                    // to the foot
	high := max((l.bottom()-slack-y-text)/max(rows, 1), leastPair)
	y, err := l.parts(y, high)
	if err != nil {
		return 0, err
	}
	return y, l.pdf.Error()
}

// parts sets the sections of the third page with pictures so high.
func (l *layout) parts(y, high float64) (float64, error) {
	var err error
	if l.hasSupports() {
		if y, err = l.supports(y, high); err != nil {
			return 0, err
		}
		y += gap
	}
	return l.laidDown(y, high)
}

func (l *layout) hasSupports() bool {
	p := l.s.Chosen.Plan
	return p != nil && len(p.Items) > 0
}

// supports sets the numbered regions over their table.
func (l *layout) supports(y, high float64) (float64, error) {
	c := &l.s.Chosen.Plan.Limits.Cutter
	y = l.heading(l.x0(), y, l.across(), "Supports, region by region",
		fmt.Sprintf("green part; cutter %g mm across, %g mm long, holder %g mm", c.DiameterMM, c.LengthMM, c.HolderMM))
	views := l.s.Pictures.Regions
	images, words := make([]*image.RGBA, len(views)), make([]string, len(views))
	for i, v := range views {
		images[i], words[i] = v.Image, "Seen "+v.Words
	}
	y, err := l.pair(images, words, y+1, high)
	if err != nil {
		return 0, err
	}
	return l.supportTable(y), nil
}

// leastPair is how low pictures side by side may be, mm, before the type is made
// smaller.
const leastPair = 38

// pair sets up to two pictures side by side, so high if the width allows it, over
// their captions; one alone stands in the middle.
func (l *layout) pair(images []*image.RGBA, words []string, y, high float64) (float64, error) {
	if len(images) == 0 {
		return y, nil
	}
	const between = 4
	half := (l.across() - between) / 2
	h := min(half*sheetHigh/sheetWide, high)
	wide := h * sheetWide / sheetHigh
	room := half // for the caption, which may be wider than the picture
	if len(images) == 1 {
		room = l.across()
	}
	end := y
	for i, img := range images {
		left := l.x0() + float64(i)*(half+between)
		x := left + (room-wide)/2
		if h > 0 {
			if err := l.picture(img, x, y, wide, h); err != nil {
				return 0, err
			}
			l.box(x, y, wide, h, 0.15, inkRule)
		}
		end = max(end, l.block(x, y+h, left+room-x, words[i], faceBody(), 2))
	}
	return end + 1.2, nil
}

// supportColumn is a column of the table of regions.
type supportColumn struct {
	title string
	wide  float64 // mm at scale 1; 0 takes what is left
	right bool
	text  func(n int, t *support.Item) string
}

// supportColumns are those of the table, but for the number that comes first.
func (l *layout) supportColumns() []supportColumn {
	return []supportColumn{
		{"place X, Y, Z, mm", 27, false, func(_ int, t *support.Item) string {
			c := t.Region.Centroid
			return fmt.Sprintf("%s, %s, %s", digitsOf(c.X, 0), digitsOf(c.Y, 0), digitsOf(c.Z, 0))
		}},
		{"what to do", 34, false, l.whatToDo},
		{"area, mm²", 14, true, func(_ int, t *support.Item) string { return digitsOf(t.Region.AreaMM2, 0) }},
		{"gap, mm", 16, true, func(_ int, t *support.Item) string { return gapText(&t.Region) }},
		{"mass, g", 12, true, massText},
		{"why", 0, false, func(_ int, t *support.Item) string { return trade(t.Reason) }},
	}
}

// whatToDo is the advice on a region, unless the user leaves it out.
func (l *layout) whatToDo(n int, t *support.Item) string {
	if l.s.LeftOut != nil && l.s.LeftOut(n) {
		return "left out; advised: " + t.Advice.String()
	}
	return t.Advice.String()
}

// gapText says how far a region is above what is below it.
func gapText(r *support.Region) string {
	digits := 1
	if r.GapHighMM >= 10 {
		digits = 0
	}
	low, high := digitsOf(r.GapLowMM, digits), digitsOf(r.GapHighMM, digits)
	if low == high {
		return high
	}
	return low + " to " + high
}

// massText is the mass of the printed support; a dash where none is printed.
func massText(_ int, t *support.Item) string {
	if !t.Prints {
		return "–"
	}
	if t.MassG < 0.05 {
		return "< 0.1"
	}
	return digitsOf(t.MassG, 1)
}

// supportTable sets a line or some for each region, and what they come to.
func (l *layout) supportTable(y float64) float64 {
	p := l.s.Chosen.Plan
	columns, at := l.placeColumns()
	y += l.line(faceSmall())
	for k, c := range columns {
		l.cell(c.title, at[k], at[k+1], y, c.right, faceSmall())
	}
	shown := len(p.Items)
	if l.room.items > 0 {
		shown = min(shown, 2*l.room.items)
	}
	y += 0.6
	for n := range p.Items[:shown] {
		y = l.supportRow(n, &p.Items[n], columns, at, y)
	}
	l.rule(l.x0(), y+0.3, l.x0()+l.across(), y+0.3, 0.1, inkRule)
	return l.block(l.x0(), y+0.8, l.across(), l.supportSum(shown), faceBody(), 2)
}

// numberWide is the room for the number of a region, mm.
const numberWide = 7

// placeColumns gives the columns, where each begins, and where the last ends.
func (l *layout) placeColumns() ([]supportColumn, []float64) {
	columns := l.supportColumns()
	left := l.across() - numberWide*l.scale
	for _, c := range columns {
		left -= c.wide * l.scale
	}
	at := []float64{l.x0() + numberWide*l.scale}
	for _, c := range columns {
		w := c.wide * l.scale
		if c.wide == 0 {
			w = left
		}
		at = append(at, at[len(at)-1]+w)
	}
	return columns, at
}

// cell sets a line of text in a column.
func (l *layout) cell(text string, x0, x1, y float64, right bool, f face) {
	const pad = 2.5
	text = l.cut(text, x1-x0-pad+1, f)
	if right {
		l.right(x1-pad, y, text, f)
		return
	}
	l.left(x0, y, text, f)
}

// supportRow sets one region, its number on its colour in the pictures.
func (l *layout) supportRow(n int, t *support.Item, columns []supportColumn, at []float64, y float64) float64 {
	l.rule(l.x0(), y+0.3, l.x0()+l.across(), y+0.3, 0.1, inkRule)
	number, strong := fmt.Sprint(n+1), faceStrong()
	paper := PaperPalette()
	l.shade(l.x0(), y+0.9, numberWide*l.scale-1.6, l.line(strong), paper.hueOf(n+1, 0))
	l.left(l.x0()+(numberWide*l.scale-1.6-l.width(number, strong))/2, y+l.line(strong)+0.15, number, strong)
	end := y + l.line(strong) + 0.9
	for k, c := range columns {
		text := c.text(n, t)
		switch {
		case c.wide == 0:
			end = max(end, l.block(at[k], y+0.3, at[k+1]-at[k], text, faceSmall(), l.room.lines))
		case c.right:
			l.cell(text, at[k], at[k+1], y+l.line(faceBody()), true, faceBody())
		default:
			f := faceBody()
			if k == 1 {
				f = faceStrong()
			}
			end = max(end, l.block(at[k], y, at[k+1]-at[k]-2, text, f, 3))
		}
	}
	return end + 0.7
}

// hoursText writes a time in hours, a short one in minutes.
func hoursText(seconds float64) string {
	if seconds < 0.95*3600 {
		return digitsOf(seconds/60, 0) + " min"
	}
	return digitsOf(seconds/3600, 1) + " h"
}

// supportSum says what the regions come to, and how many are not shown.
func (l *layout) supportSum(shown int) string {
	p := l.s.Chosen.Plan
	parts := []string{fmt.Sprintf("Support to print: %s g, %s (estimates).", digitsOf(p.MassG, 1), hoursText(p.TimeS))}
	if p.OutOfReachMM3 > 0 {
		parts = append(parts, fmt.Sprintf("Out of reach of the cutter: %s mm³.", digitsOf(p.OutOfReachMM3, 0)))
	}
	if p.Small.Count > 0 {
		parts = append(parts, fmt.Sprintf("Small enough to print by itself: %d more, %s mm² in all.", p.Small.Count, digitsOf(p.Small.AreaMM2, 1)))
	}
	if more := len(p.Items) - shown; more > 0 {
		parts = append(parts, fmt.Sprintf("%d regions more, the smallest, are not shown for want of room.", more))
	}
	return strings.Join(parts, " ")
}
