package render

import (
	"fmt"

	"kilnpoise/orient"
)

// signs gives each candidate its place on the map and its number, the chosen one
// first, then by rank: in a square when it stands as loaded.
func (f *mapFrame) signs() []sign {
	var signs []sign
	put := func(c *orient.Candidate) {
		signs = append(signs, sign{
			at: f.discs.at(c.Pose.Up()), text: fmt.Sprint(c.Rank),
			square: c.Origin == orient.AsLoaded, loud: c.Rank == f.s.Chosen,
		})
	}
	for _, chosen := range []bool{true, false} {
		for i := range f.s.Candidates {
			if c := &f.s.Candidates[i]; (c.Rank == f.s.Chosen) == chosen {
				put(c)
			}
		}
	}
	edge := signRadius * f.s.Density
	low := f.discs.left.y + f.discs.radius + edge
	spread(signs, f.s.Density, func(p spot) bool {
		return p.x >= edge && p.y >= edge && p.x <= float64(f.s.Width)-edge && p.y <= low
	})
	return signs
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
