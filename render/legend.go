package render

import "image/color"

// Pattern is how a swatch of the legend is filled, so that it can be told
// without colour.
type Pattern int

// The patterns.
const (
	Solid   Pattern = iota
	Hatched         // diagonal lines over the colour
	Ribbed          // upright lines over the colour
	Outline         // a line, dashed
	Cross           // a ringed cross: the centre of mass
	Ringed          // a ring with a dot: the worst place
	Scale           // a strip of the ramp
)

// LegendEntry explains one kind of mark in the picture.
type LegendEntry struct {
	Color   color.RGBA
	Pattern Pattern
	// Text is in words with units.
	Text string
	// Ramp is set for Pattern Scale, with the values at both ends, mm.
	Ramp          *Ramp
	LowMM, HighMM float64
}

// Legend gives the entries that belong to the overlays, in the order of their
// weight. Overlays that the scene has nothing for are left out.
func (s *Scene) Legend(o Overlays, p Palette) []LegendEntry { return nil }
