package render

import (
	"image/color"

	"gonum.org/v1/plot/palette/moreland"
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
	// Marked are the colours of marked faces in the order of mark.Kinds; each kind
	// has lines of its own as well.
	Marked [3]color.RGBA
	// Regions are taken in turn by the regions of a support plan, which have their
	// numbers besides.
	Regions [6]color.RGBA
	// Ramp runs from no sag to most.
	Ramp *Ramp
}

// Ramp is a colour scale in even steps from low to high, few enough that the
// borders between them read as contour lines, also in black and white.
type Ramp [12]color.RGBA

// At gives the colour at t, 0 to 1; values outside, and NaN, take the nearer end
// (NaN the low one).
func (r *Ramp) At(t float64) color.RGBA {
	if !(t > 0) {
		return r[0]
	}
	return r[min(int(t*float64(len(r))), len(r)-1)]
}

// sagRamp is the black-body map (Moreland, "Why We Use Bad Color Maps and What
// You Can Do About It", 2016), reversed, so that no sag is light and the most is
// dark, and cut at both ends, so that shading still shows.
func sagRamp() *Ramp {
	const light, dark = 0.93, 0.20
	m := moreland.BlackBody()
	m.SetMin(0)
	m.SetMax(1)
	var r Ramp
	for i := range r {
		t := light + (dark-light)*float64(i)/float64(len(r)-1)
		if c, err := m.At(t); err == nil {
			r[i] = color.RGBAModel.Convert(c).(color.RGBA)
		}
	}
	return &r
}

// Hues of Okabe and Ito, as hexadecimal red, green, blue.
const (
	hueOrange = 0xE69F00
	hueSky    = 0x56B4E9
	hueBlue   = 0x0072B2
	hueGreen  = 0x009E73
	hueYellow = 0xF0E442
	hueRed    = 0xD55E00
	huePurple = 0xCC79A7
)

// markHues are those of the marks, regionHues those of the regions.
func markHues() [3]color.RGBA { return [3]color.RGBA{rgb(huePurple), rgb(hueGreen), rgb(hueYellow)} }

func regionHues() [6]color.RGBA {
	return [6]color.RGBA{rgb(hueOrange), rgb(hueSky), rgb(hueGreen), rgb(hueYellow), rgb(huePurple), rgb(hueRed)}
}

// rgb gives an opaque colour from hexadecimal red, green, blue.
func rgb(hex uint32) color.RGBA {
	return color.RGBA{uint8(hex >> 16), uint8(hex >> 8), uint8(hex), 255}
}

// LightPalette is for windows with a light ground.
func LightPalette() Palette {
	return Palette{
		Background: rgb(0xF6F6F4),
		Plate:      rgb(0xDDE3E7), PlateLine: rgb(0xB9C4CC),
		Setter: rgb(0xE6DFD5), SetterLine: rgb(0xC9BDAE),
		Green: rgb(0xB4B1AC), Sintered: rgb(0xC3C8CC),
		Edge: rgb(0x35383B), Ink: rgb(0x222528), Quiet: rgb(0x6A7075),
		Overhang: rgb(hueOrange),
		Support:  rgb(hueSky), SupportEdge: rgb(0x2F6E96),
		Footprint: rgb(hueBlue), MassCenter: rgb(0x222528),
		Worst: rgb(0x222528), Accent: rgb(hueBlue),
		Marked: markHues(), Regions: regionHues(),
		Ramp: sagRamp(),
	}
}

// DarkPalette is for windows with a dark ground.
func DarkPalette() Palette {
	return Palette{
		Background: rgb(0x1E2124),
		Plate:      rgb(0x31393F), PlateLine: rgb(0x4A555D),
		Setter: rgb(0x403A33), SetterLine: rgb(0x5C5449),
		Green: rgb(0x9D9B97), Sintered: rgb(0xAFB5BA),
		Edge: rgb(0x121416), Ink: rgb(0xECEEEF), Quiet: rgb(0x9AA2A8),
		Overhang: rgb(hueOrange),
		Support:  rgb(hueSky), SupportEdge: rgb(0xA6D8F5),
		Footprint: rgb(hueSky), MassCenter: rgb(0xF5F6F7),
		Worst: rgb(0xF5F6F7), Accent: rgb(hueSky),
		Marked: markHues(), Regions: regionHues(),
		Ramp: sagRamp(),
	}
}

// PaperPalette is for the sheet: white ground, readable in black and white.
func PaperPalette() Palette {
	p := LightPalette()
	p.Background = rgb(0xFFFFFF)
	p.Plate, p.PlateLine = rgb(0xEDF0F2), rgb(0xC4CBD0)
	p.Setter, p.SetterLine = rgb(0xF0EBE4), rgb(0xD0C7BB)
	p.Quiet = rgb(0x55595D)
	return p
}
