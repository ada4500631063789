package render

import (
	"image/color"
)

// Palette is the colours of a picture. Hues come from Okabe and Ito, "Color
// Universal Design" (2008), which people with the usual kinds of colour
// blindness can tell apart; every mark also differs by pattern or outline.
type Palette struct {
	Background            color.RGBA
	Plate, PlateLine      color.RGBA // the printer's plate and its grid: cool
	Setter, SetterLine    color.RGBA // the ceramic setter and its grid: warm
	Green, Sintered       color.RGBA // the part
	Edge, Ink, Quiet      color.RGBA // lines on the part; text; lesser text
	Overhang              color.RGBA // with hatching
	Support, SupportEdge  color.RGBA
	Footprint, MassCenter color.RGBA
	Worst                 color.RGBA // mark at the place of most sag
	Accent                color.RGBA // the one colour that stands for "chosen"
	// Ramp runs from no sag to most.
	Ramp Ramp
}

// Ramp is a colour scale in 256 steps from low to high.
type Ramp [256]color.RGBA

// At gives the colour at t, 0 to 1; values outside, and NaN, take the nearer end
// (NaN the low one).
func (r *Ramp) At(t float64) color.RGBA {
	if !(t > 0) {
		return r[0]
	}
	return r[min(int(t*256), 255)]
}

// LightPalette is for windows with a light ground.
func LightPalette() Palette { return Palette{} }

// DarkPalette is for windows with a dark ground.
func DarkPalette() Palette { return Palette{} }

// PaperPalette is for the sheet: white ground, readable in black and white.
func PaperPalette() Palette { return Palette{} }
