package render

import (
	"fmt"
	"image"

	"kilnpoise/orient"
)

// thumbHigh is how high the thumbnails stand on the sheet, mm.
const thumbHigh = 19

// rowHigh is the distance of the lines of the table.
func (l *layout) rowHigh() float64 { return l.line(faceBody()) + 0.65 }

// table sets the measures of the chosen candidate beside those of the others,
// under their pictures.
func (l *layout) table(y float64) (float64, error) {
	x, width := l.x0(), l.across()
	label := width * 0.30
	column := (width - label) / float64(max(len(l.shown), 3))
	head := y
	y = l.heading(x, y, width, "Measures against the others", "bold: the best of the line; green part unless said otherwise")
	if !l.mute {
		end := head + l.tall(func() float64 { h, _ := l.table(0); return h })
		l.shade(x+label, y+0.3, column, end-y-0.3, rgb(inkShade))
	}
	heads := y
	for i, c := range l.shown {
		img := l.s.Pictures.Others[c.Rank]
		if i == 0 {
			img = l.s.Pictures.Thumbnail
		}
		end, err := l.columnHead(img, c, x+label+float64(i)*column, heads, column)
		if err != nil {
			return 0, err
		}
		y = max(y, end)
	}
	y += 0.8
	for _, r := range measureRows(l.shown) {
		y += l.rowHigh()
		l.tableRow(&r, x, y, width, label, column)
	}
	y += l.rowHigh()
	l.left(x, y, "Gates", faceBody())
	for i, c := range l.shown {
		l.right(x+label+float64(i+1)*column-2, y, gatesText(c), faceBody())
	}
	return y + 1, nil
}

// columnHead sets picture and name of a candidate over its column, and gives
// where they end.
func (l *layout) columnHead(img *image.RGBA, c *orient.Candidate, x, y, width float64) (float64, error) {
	if err := l.picture(img, x+1, y+0.8, width-2, thumbHigh-0.8); err != nil {
		return 0, err
	}
	y += thumbHigh + 1 + l.line(faceBody())
	l.right(x+width-2, y, fmt.Sprintf("no. %d", c.Rank), faceStrong())
	y += l.line(faceBody())
	l.right(x+width-2, y, l.cut(roleOf(c, l.s.Chosen), width-3, faceBody()), faceBody())
	for _, name := range l.wrap(trade(c.Name), width-3, faceSmall(), 2) {
		y += l.line(faceSmall())
		l.right(x+width-2, y, name, faceSmall())
	}
	return y, nil
}

// roleOf says what a candidate is in the table.
func roleOf(c, chosen *orient.Candidate) string {
	switch {
	case c.Rank == chosen.Rank && c.Origin == orient.AsLoaded:
		return "chosen, as loaded"
	case c.Rank == chosen.Rank:
		return "chosen"
	case c.Origin == orient.AsLoaded:
		return "as loaded"
	case c.Origin == orient.Given:
		return "given direction"
	case c.Rank < chosen.Rank:
		return "ranked above"
	case chosen.Rank == 1 && c.Rank > 2:
		return "ranked below"
	}
	return "runner-up"
}

// tableRow sets one measure for all candidates.
func (l *layout) tableRow(r *measureRow, x, y, width, label, column float64) {
	l.rule(x, y-l.rowHigh()+1.05, x+width, y-l.rowHigh()+1.05, 0.1, inkRule)
	l.left(x, y, l.cut(r.label, label-10, faceBody()), faceBody())
	l.right(x+label-1.5, y, r.unit, faceSmall())
	best := r.best(l.shown)
	for i, c := range l.shown {
		f := faceBody()
		if best[i] {
			f = faceStrong()
		}
		l.right(x+label+float64(i+1)*column-2, y, r.text(c), f)
	}
}

// gatesText counts the gates that a candidate fails or leaves in doubt.
func gatesText(c *orient.Candidate) string {
	fails, doubts := 0, 0
	for _, g := range c.Gates {
		switch {
		case g.Passed:
		case g.State == orient.Doubtful:
			doubts++
		default:
			fails++
		}
	}
	switch {
	case len(c.Gates) == 0:
		return "–"
	case fails+doubts == 0:
		return fmt.Sprintf("all %d passed", len(c.Gates))
	case doubts == 0:
		return fmt.Sprintf("fails %d of %d", fails, len(c.Gates))
	case fails == 0:
		return fmt.Sprintf("%d of %d in doubt", doubts, len(c.Gates))
	}
	return fmt.Sprintf("fails %d, doubts %d", fails, doubts)
}
