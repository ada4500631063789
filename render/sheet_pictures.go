package render

import (
	"image"
	"math"
	"strconv"
)

// pictures sets the two pictures of the chosen candidate and their legend, from
// y down to end at most.
func (l *layout) pictures(y, end float64) (float64, error) {
	c := l.s.Chosen
	title := "Chosen: no. " + strconv.Itoa(c.Rank) + ", " + trade(c.Name)
	y = l.heading(l.x0(), y, l.across(), l.cut(title, l.across()*0.7, faceHead()), "both pictures at one scale")
	const between = 4
	w := (l.across() - between) / 2
	captions := l.line(faceBody()) + 1
	y++
	h := min(w*sheetHigh/sheetWide, max(end-y-l.legendHigh()-captions-1, leastPicture))
	wide := h * sheetWide / sheetHigh
	for i, img := range []*image.RGBA{l.s.Pictures.Plate, l.s.Pictures.Setter} {
		x := l.x0() + float64(i)*(w+between) + (w-wide)/2
		if err := l.picture(img, x, y, wide, h); err != nil {
			return 0, err
		}
		l.box(x, y, wide, h, 0.15, inkRule)
		l.left(x, y+h+captions-0.6, l.cut(l.captions()[i], w, faceStrong()), faceStrong())
	}
	return l.legend(y + h + captions + 0.8), nil
}

// captions say what the two pictures show.
func (l *layout) captions() [2]string {
	out := [2]string{"On the printer's plate, green size", "On the furnace setter, sintered size"}
	if l.s.Chosen.RestsOtherwise() {
		out[1] += ", " + l.s.Chosen.LaidAs()
	}
	return out
}

// leastPicture is how low a picture may be, mm, before the type is made smaller.
const leastPicture = 52

// Widths of the samples in the legend, mm.
const (
	sampleWide  = 7.5
	sampleScale = 26
)

// legendLines breaks the legend into lines.
func (l *layout) legendLines(entries []LegendEntry, width float64) [][]LegendEntry {
	var lines [][]LegendEntry
	used := math.Inf(1)
	for _, e := range entries {
		w := l.legendWidth(e)
		if used+w > width {
			lines, used = append(lines, nil), 0
		}
		lines[len(lines)-1] = append(lines[len(lines)-1], e)
		used += w + 4
	}
	return lines
}

func (l *layout) legendWidth(e LegendEntry) float64 {
	w := float64(sampleWide)
	switch e.Pattern {
	case Scale:
		low, high := e.ends()
		w = sampleScale + l.width(low+high, faceSmall()) + 2
	case Unmarked:
		w = 0
	}
	return w + 1.5 + l.width(e.Text, faceSmall())
}

func (l *layout) legendHigh() float64 {
	return float64(len(l.legendLines(l.s.Pictures.Legend, l.across()))) * (l.line(faceSmall()) + 1.2)
}

// legend sets the entries of the first page in lines.
func (l *layout) legend(y float64) float64 {
	return l.entries(l.s.Pictures.Legend, l.x0(), y, l.across())
}

// entries sets entries in lines of a width.
func (l *layout) entries(entries []LegendEntry, x0, y, width float64) float64 {
	for _, line := range l.legendLines(entries, width) {
		y += l.line(faceSmall()) + 1.2
		x := x0
		for _, e := range line {
			at := x + l.sample(e, x, y-2.4, 2.8) + 1.5
			l.left(at, y, l.cut(e.Text, x0+width-at, faceSmall()), faceSmall())
			x += l.legendWidth(e) + 4
		}
	}
	return y
}

// sample draws the sample of an entry h high, and gives its width.
func (l *layout) sample(e LegendEntry, x, y, h float64) float64 {
	w, mid := float64(sampleWide), y+h/2
	if l.mute {
		return l.legendWidth(e) - 1.5 - l.width(e.Text, faceSmall())
	}
	ink := uint32(e.Color.R)<<16 | uint32(e.Color.G)<<8 | uint32(e.Color.B)
	switch e.Pattern {
	case Unmarked:
		return 0
	case Scale:
		return l.sampleRamp(e, x, y, h)
	case Outline:
		l.rule(x, mid, x+w, mid, 0.6, ink)
	case Cross, Ringed:
		l.pdf.SetDrawColor(int(e.Color.R), int(e.Color.G), int(e.Color.B))
		l.pdf.SetFillColor(int(e.Color.R), int(e.Color.G), int(e.Color.B))
		l.pdf.SetLineWidth(0.3)
		l.pdf.Circle(x+w/2, mid, 1.25, "D")
		if e.Pattern == Ringed {
			l.pdf.Circle(x+w/2, mid, 0.4, "F")
			break
		}
		l.pdf.Line(x+w/2-1.25, mid, x+w/2+1.25, mid)
		l.pdf.Line(x+w/2, mid-1.25, x+w/2, mid+1.25)
	case RingMark:
		l.pdf.SetDrawColor(int(e.Color.R), int(e.Color.G), int(e.Color.B))
		l.pdf.SetLineWidth(0.3)
		l.pdf.Circle(x+w/2, mid, 1.3, "D")
	case FallingLines, LevelLines, UprightLines:
		l.shade(x, y, w, h, washed(e.Color))
		l.sampleLines(e, x, y, w, h)
		l.box(x, y, w, h, 0.15, inkQuiet)
	default:
		l.shade(x, y, w, h, e.Color)
		l.sampleLines(e, x, y, w, h)
		l.box(x, y, w, h, 0.15, inkQuiet)
	}
	return w
}

// sampleLines draws the hatching or ribs of a sample.
func (l *layout) sampleLines(e LegendEntry, x, y, w, h float64) {
	const apart, thick = 1.25, 0.25
	slant := 0.0
	switch e.Pattern {
	case Hatched:
		slant = h
	case FallingLines:
		slant = -h
	case LevelLines:
		for at := y + 0.6; at < y+h; at += apart {
			l.rule(x, at, x+w, at, thick, inkText)
		}
		return
	case Ribbed, UprightLines:
	default:
		return
	}
	l.pdf.ClipRect(x, y, w, h, false)
	for at := x - h + 0.6; at < x+w+h; at += apart {
		l.rule(at, y+h, at+slant, y, thick, inkText)
	}
	l.pdf.ClipEnd()
}

// sampleRamp draws the ramp between its two values.
func (l *layout) sampleRamp(e LegendEntry, x, y, h float64) float64 {
	low, high := e.ends()
	l.left(x, y+2.4, low, faceSmall())
	at := x + l.width(low, faceSmall()) + 1
	if e.Ramp != nil {
		step := sampleScale / float64(len(e.Ramp))
		for i, c := range e.Ramp {
			l.shade(at+float64(i)*step, y, step+0.02, h, c)
		}
	}
	l.box(at, y, sampleScale, h, 0.15, inkQuiet)
	l.left(at+sampleScale+1, y+2.4, high, faceSmall())
	return sampleScale + l.width(low+high, faceSmall()) + 2
}
