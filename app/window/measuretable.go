package window

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"
	"kilnpoise/app/window/kit"
)

// measureTable shows the measures of one candidate beside those of others:
// numbers flush right, the unit before them, and a word and an arrow beside
// each number that is better or worse than this one's. The arrow points up
// where the number is higher; word and colour say what that means.
type measureTable struct {
	widget.BaseWidget
	titles []string
	lines  []tableLine
}

var _ fyne.Widget = (*measureTable)(nil)

func newMeasureTable() *measureTable {
	t := &measureTable{}
	t.ExtendBaseWidget(t)
	return t
}

// Set shows lines; titles head the columns from "this one" on.
func (t *measureTable) Set(titles []string, lines []tableLine) {
	t.titles, t.lines = titles, lines
	t.Refresh()
}

// Widths of the columns, in the order in which they stand.
const (
	tableRow    = 20
	tableGroup  = 26
	unitWidth   = 34
	numberWidth = 57
	markWidth   = 51 // arrow and word
	tableGap    = 5
	leastLabel  = 92
)

// HeightFor gives the height, which does not depend on the width.
func (t *measureTable) HeightFor(float32) float32 {
	h := float32(tableRow)
	for _, l := range t.lines {
		if l.group {
			h += tableGroup
			continue
		}
		h += tableRow
	}
	return h
}

// leastWidth gives the width at which all columns fit.
func (t *measureTable) leastWidth() float32 {
	others := float32(max(len(t.titles)-1, 0))
	return leastLabel + unitWidth + tableGap + numberWidth + others*(tableGap+numberWidth+markWidth)
}

// CreateRenderer makes the renderer.
func (t *measureTable) CreateRenderer() fyne.WidgetRenderer {
	r := &tableRenderer{table: t}
	r.build()
	return r
}

type tableRenderer struct {
	table   *measureTable
	objects []fyne.CanvasObject
	width   float32
}

func (r *tableRenderer) MinSize() fyne.Size {
	return fyne.NewSize(r.table.leastWidth(), r.table.HeightFor(0))
}

func (r *tableRenderer) Layout(size fyne.Size) {
	if size.Width != r.width {
		r.width = size.Width
		r.build()
	}
}

func (r *tableRenderer) Refresh() {
	r.build()
	canvas.Refresh(r.table)
}

func (r *tableRenderer) Objects() []fyne.CanvasObject { return r.objects }
func (r *tableRenderer) Destroy()                     {}

// build sets the whole table anew: it is small, and changes as a whole.
func (r *tableRenderer) build() {
	r.objects = r.objects[:0]
	t := r.table
	edges := r.edges()
	for i, title := range t.titles {
		if i >= len(edges) {
			break
		}
		edge := edges[i]
		if i > 0 {
			edge += markWidth // over the numbers and their words together
		}
		r.flushRight(title, kit.RoleSmall, kit.ColorSoftInk, edge, 0, tableRow)
	}
	y := float32(tableRow)
	for _, l := range t.lines {
		if l.group {
			r.group(l.label, y)
			y += tableGroup
			continue
		}
		r.line(l, y, edges)
		y += tableRow
	}
}

// edges gives the right edge of each number column: as far right as they go,
// so that the label takes what is left.
func (r *tableRenderer) edges() []float32 {
	n := len(r.table.titles)
	edges := make([]float32, n)
	x := max(r.width, r.table.leastWidth())
	for i := n - 1; i >= 0; i-- {
		if i > 0 {
			x -= markWidth
		}
		edges[i] = x
		x -= numberWidth + tableGap
	}
	return edges
}

func (r *tableRenderer) group(title string, y float32) {
	rule := canvas.NewRectangle(kit.Themed(kit.ColorHairline))
	rule.Move(fyne.NewPos(0, y+tableGroup-1))
	rule.Resize(fyne.NewSize(max(r.width, r.table.leastWidth()), 1))
	r.objects = append(r.objects, rule)
	r.flushLeft(title, kit.RoleSmallStrong, theme.ColorNameForeground, 0, y+6, tableRow)
}

func (r *tableRenderer) line(l tableLine, y float32, edges []float32) {
	r.flushLeft(l.label, kit.RoleBody, theme.ColorNameForeground, 0, y, tableRow)
	if len(edges) == 0 {
		return
	}
	r.flushLeft(l.unit, kit.RoleSmall, kit.ColorSoftInk, edges[0]-numberWidth-unitWidth-tableGap, y, tableRow)
	r.flushRight(l.this, fitting(l.this, kit.RoleStrong, kit.RoleSmallStrong), inkOf(l.pending), edges[0], y, tableRow)
	for i, cell := range l.others {
		edge := edges[i+1]
		r.flushRight(cell.text, fitting(cell.text, kit.RoleBody, kit.RoleSmall), inkOf(cell.pending), edge, y, tableRow)
		r.mark(cell.verdict, edge+6, y)
	}
}

// inkOf greys what will change.
func inkOf(pending bool) fyne.ThemeColorName {
	if pending {
		return kit.ColorSoftInk
	}
	return theme.ColorNameForeground
}

// fitting gives the usual role, or the small one where a value is a long word.
func fitting(text string, usual, small kit.TextRole) kit.TextRole {
	if usual.Measure(text).Width > numberWidth {
		return small
	}
	return usual
}

// mark draws arrow and word from x on.
func (r *tableRenderer) mark(v verdict, x, y float32) {
	color := kit.ColorSoftInk
	switch v.judgement {
	case better:
		color = kit.ColorBetter
	case worse:
		color = kit.ColorWorse
	}
	if v.judgement == better || v.judgement == worse {
		r.objects = append(r.objects, arrow(v.higher, color, x, y+tableRow/2))
	}
	r.flushLeft(v.word(), kit.RoleSmall, color, x+11, y, tableRow)
}

// arrow draws a small triangle, centred on the line at y, that points up or down.
func arrow(up bool, color fyne.ThemeColorName, x, y float32) fyne.CanvasObject {
	p := canvas.NewPolygon(3, kit.Themed(color))
	if !up {
		p.Angle = 180
	}
	const side = 9
	p.Move(fyne.NewPos(x-1, y-side/2))
	p.Resize(fyne.NewSize(side, side))
	return p
}

func (r *tableRenderer) flushLeft(text string, role kit.TextRole, color fyne.ThemeColorName, x, y, height float32) {
	if text == "" {
		return
	}
	t := role.Line(text, color, fyne.TextAlignLeading)
	size := t.MinSize()
	t.Move(fyne.NewPos(x, y+(height-size.Height)/2))
	t.Resize(size)
	r.objects = append(r.objects, t)
}

func (r *tableRenderer) flushRight(text string, role kit.TextRole, color fyne.ThemeColorName, edge, y, height float32) {
	if text == "" {
		return
	}
	t := role.Line(text, color, fyne.TextAlignTrailing)
	size := t.MinSize()
	t.Move(fyne.NewPos(edge-size.Width, y+(height-size.Height)/2))
	t.Resize(size)
	r.objects = append(r.objects, t)
}
