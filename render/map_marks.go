package render

import (
	"fmt"
	"image/color"
	"math"

	"kilnpoise/orient"
)

// mapMark is a candidate on the map: where it is, and where its number stands
// so that none covers another.
type mapMark struct {
	c        *orient.Candidate
	at, sign spot
}

// markRadius is that of a mark, window units.
const markRadius = 8.5

// marks draws the candidates, the best last and the chosen one over all.
func (f *mapFrame) marks() {
	marks := f.placeMarks()
	for i := range marks {
		m := &marks[len(marks)-1-i]
		if m.at != m.sign {
			f.leader(m)
		}
	}
	for i := range marks {
		f.mark(&marks[len(marks)-1-i])
	}
}

// placeMarks gives each candidate, chosen first, then by rank, the free place
// nearest to where it belongs.
func (f *mapFrame) placeMarks() []mapMark {
	var marks []mapMark
	put := func(c *orient.Candidate) {
		at := f.discs.at(c.Pose.Up())
		marks = append(marks, mapMark{c: c, at: at, sign: f.freePlace(at, marks)})
	}
	for i := range f.s.Candidates {
		if f.s.Candidates[i].Rank == f.s.Chosen {
			put(&f.s.Candidates[i])
		}
	}
	for i := range f.s.Candidates {
		if f.s.Candidates[i].Rank != f.s.Chosen {
			put(&f.s.Candidates[i])
		}
	}
	return marks
}

// freePlace gives the first place on rings about at that lies within the picture
// and clear of the marks so far; at itself where there is none.
func (f *mapFrame) freePlace(at spot, marks []mapMark) spot {
	u := f.s.Density
	clear := func(p spot) bool {
		edge := markRadius * u
		if p.x < edge || p.y < edge || p.x > float64(f.s.Width)-edge || p.y > f.discs.left.y+f.discs.radius+edge {
			return false
		}
		for i := range marks {
			if math.Hypot(p.x-marks[i].sign.x, p.y-marks[i].sign.y) < (2*markRadius+1.5)*u {
				return false
			}
		}
		return true
	}
	if clear(at) {
		return at
	}
	for ring := 1.0; ring <= 4; ring++ {
		for k := range 12 {
			sin, cos := math.Sincos(float64(k) * math.Pi / 6)
			r := (0.6 + 1.2*ring) * markRadius * u
			if p := (spot{x: at.x + r*cos, y: at.y - r*sin}); clear(p) {
				return p
			}
		}
	}
	return at
}

// leader joins a mark that had to stand aside with its place.
func (f *mapFrame) leader(m *mapMark) {
	u := f.s.Density
	f.pen.line(m.at, m.sign, 3*u, f.halo(), dash{})
	f.pen.line(m.at, m.sign, 1.2*u, f.s.Palette.Ink, dash{})
	f.pen.ring(m.at, 3*u, 0, f.halo())
	f.pen.ring(m.at, 2*u, 0, f.s.Palette.Ink)
}

// mark draws one candidate: its rank in a ring, in a square when it stands as
// loaded, on the accent when it is the chosen one.
func (f *mapFrame) mark(m *mapMark) {
	u, p := f.s.Density, &f.s.Palette
	ground, ink, r := p.Background, p.Ink, markRadius*u
	chosen := m.c.Rank == f.s.Chosen
	if chosen {
		ground, ink = p.Accent, against(p.Accent)
	}
	rim := p.Ink
	if m.c.Origin == orient.AsLoaded {
		f.square(m.sign, r, rim, ground)
	} else {
		f.pen.ring(m.sign, r, 0, rim)
		f.pen.ring(m.sign, r-1.4*u, 0, ground)
	}
	t := f.t
	if chosen {
		t = f.bold
	}
	text := fmt.Sprint(m.c.Rank)
	t.write(f.img, m.sign.x-t.width(text)/2, m.sign.y+t.height()/2, text, ink)
}

// square draws a filled square with a rim.
func (f *mapFrame) square(c spot, half float64, rim, ground color.RGBA) {
	u := f.s.Density
	corners := func(h float64) []spot {
		return []spot{{x: c.x - h, y: c.y - h}, {x: c.x + h, y: c.y - h}, {x: c.x + h, y: c.y + h}, {x: c.x - h, y: c.y + h}}
	}
	f.pen.polygon(corners(0.92*half), rim)
	f.pen.polygon(corners(0.92*half-1.4*u), ground)
}

// markLegend explains the marks that the shot has.
func (s MapShot) markLegend() []LegendEntry {
	var out []LegendEntry
	for i := range s.Candidates {
		if s.Candidates[i].Origin != orient.AsLoaded {
			out = append(out, LegendEntry{Color: s.Palette.Ink, Pattern: RingMark, Text: "rank"})
			break
		}
	}
	for i := range s.Candidates {
		if s.Candidates[i].Origin == orient.AsLoaded {
			out = append(out, LegendEntry{Color: s.Palette.Ink, Pattern: SquareMark, Text: "as loaded"})
			break
		}
	}
	if s.Chosen > 0 && len(s.Candidates) > 0 {
		out = append(out, LegendEntry{Color: s.Palette.Accent, Pattern: DiscMark, Text: "chosen"})
	}
	return out
}
