package render

import (
	"fmt"
	"image/color"

	"kilnpoise/orient"
	marking "kilnpoise/orient/mark"
)

// Pattern is how a swatch of the legend is filled, so that it can be told
// without colour.
type Pattern int

// The patterns.
const (
	Solid        Pattern = iota
	Hatched              // diagonal lines over the colour
	Ribbed               // upright lines over the colour
	Outline              // a line
	Cross                // a ringed cross: the centre of mass
	Ringed               // a ring with a dot: the worst place
	Scale                // a strip of the ramp
	Unmarked             // no sample: a remark on the picture
	RingMark             // a small ring
	SquareMark           // a small square
	DiscMark             // a small disc
	FallingLines         // lines from the upper left to the lower right, on a wash of the colour
	LevelLines           // level lines, on a wash
	UprightLines         // upright lines, on a wash
)

// LegendEntry explains one kind of mark in the picture.
type LegendEntry struct {
	Color   color.RGBA
	Pattern Pattern
	// Text is in words with units.
	Text string
	// Ramp is set for Pattern Scale, with the values at both ends, mm, or what is
	// written there instead.
	Ramp          *Ramp
	LowMM, HighMM float64
	Low, High     string
}

// ends gives what is written at both ends of a scale.
func (e *LegendEntry) ends() (low, high string) {
	if e.Low != "" || e.High != "" {
		return e.Low, e.High
	}
	return mmText(e.LowMM), mmText(e.HighMM)
}

// Legend gives the entries that belong to the overlays, in the order of their
// weight. Overlays that the scene has nothing for are left out.
func (s *Scene) Legend(o Overlays, p Palette) []LegendEntry {
	if p.Ramp == nil {
		p = LightPalette()
	}
	var out []LegendEntry
	if o.Overhang && s.overhang != nil {
		text := "overhang"
		if s.stage.OverhangLimitDeg > 0 {
			text = fmt.Sprintf("overhang, under %g° from the plate", s.stage.OverhangLimitDeg)
		}
		out = append(out, LegendEntry{Color: p.Overhang, Pattern: Hatched, Text: text + " (faint: behind the part)"})
	}
	if o.Regions && len(s.regions) > 1 {
		out = append(out, s.regionLegend(o, p)...)
	}
	if o.Supports && len(s.supports.quads) > 0 {
		out = append(out, LegendEntry{Color: p.Support, Pattern: Ribbed, Text: "support"})
	}
	if o.Marks {
		out = append(out, s.markLegend(p)...)
	}
	if o.Sag {
		out = append(out, s.sagLegend(o, p)...)
	}
	if o.Footprint && len(s.footprint) > 0 {
		out = append(out,
			LegendEntry{Color: p.Footprint, Pattern: Outline, Text: "footprint (hull of the contact)"},
			LegendEntry{Color: p.MassCenter, Pattern: Cross, Text: "centre of mass, plumb line"})
	}
	return out
}

// regionLegend explains the regions: all of them, or the one that stands out.
func (s *Scene) regionLegend(o Overlays, p Palette) []LegendEntry {
	out := []LegendEntry{{Color: p.Ink, Pattern: RingMark, Text: "overhang region, numbered as in the support plan"}}
	if o.Region > 0 && o.Region < len(s.regions) {
		out = append(out, LegendEntry{Color: p.Accent, Pattern: Solid, Text: fmt.Sprintf("region %d", o.Region)})
	}
	return out
}

// markLegend explains the kinds of mark that occur.
func (s *Scene) markLegend(p Palette) []LegendEntry {
	var all orient.MarkSet
	for _, m := range s.marked {
		all |= m
	}
	var out []LegendEntry
	patterns := [...]Pattern{FallingLines, LevelLines, UprightLines} // as markAngles has them
	for i, k := range marking.Kinds() {
		if all.Has(k) {
			out = append(out, LegendEntry{Color: p.Marked[i], Pattern: patterns[i], Text: "marked: " + k.String()})
		}
	}
	if all.Picked() {
		out = append(out, LegendEntry{Color: p.Accent, Pattern: Solid, Text: "picked"})
	}
	return out
}

// sagLegend explains the sag: the field if there is one, and the worst place.
func (s *Scene) sagLegend(o Overlays, p Palette) []LegendEntry {
	basis := s.stage.SagBasis
	if basis == "" {
		basis = "estimate"
	}
	var out []LegendEntry
	switch {
	case s.sagMM > 0 && s.collapses: // past small displacements millimetres mean nothing
		out = append(out, LegendEntry{Pattern: Scale, Text: "gravity sag (solved; " + basis + ")", Ramp: p.Ramp, Low: "none", High: "most"})
	case s.sagMM > 0:
		out = append(out, LegendEntry{Pattern: Scale, Text: "gravity sag, mm (solved; " + basis + ")", Ramp: p.Ramp, HighMM: s.sagTop(o)})
	}
	if s.hasSagAt {
		text := "place of most sag"
		if s.sagMM > 0 {
			text += ", " + s.sagText()
		} else {
			text += " (" + basis + ")"
		}
		out = append(out, LegendEntry{Color: p.Worst, Pattern: Ringed, Text: text})
	}
	if k := o.SagExaggeration; k != 0 && s.sagMM > 0 {
		what := "sag"
		if s.moved != nil {
			what = "movement"
		}
		out = append(out, LegendEntry{Pattern: Unmarked, Text: fmt.Sprintf("shape drawn with %g × the %s", k, what)})
	}
	return out
}

// sagTop is the sag at the dark end of the ramp, mm.
func (s *Scene) sagTop(o Overlays) float64 {
	if o.SagTopMM > 0 && !s.collapses {
		return o.SagTopMM
	}
	return s.sagMM
}

// sagText is the most sag with its unit.
func (s *Scene) sagText() string {
	if s.collapses {
		return "collapses"
	}
	return mmText(s.sagMM) + " mm"
}
