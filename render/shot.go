package render

import (
	"gonum.org/v1/gonum/spatial/r2"

	"kilnpoise/orient"
)

// Machine is what the part stands on.
type Machine int

// The two machines of the process.
const (
	// OnPlate shows the green part on the printer's plate, print frame.
	OnPlate Machine = iota
	// OnSetter shows the part at sintered size on the furnace setter, furnace
	// frame.
	OnSetter
)

// String gives the machine in words for the screen and the sheet.
func (m Machine) String() string {
	if m == OnSetter {
		return "on the setter, sintered size"
	}
	return "on the plate, green size"
}

// Stage is where a scene plays.
type Stage struct {
	Machine Machine
	// SizeMM is the usable plate or setter, X and Y, centred on the origin.
	// Zero draws a surface that just holds the part.
	SizeMM r2.Vec
	// OverhangLimitDeg is the downskin angle, from the plate, below which faces
	// are marked; for the legend. 0 leaves it unsaid.
	OverhangLimitDeg float64
	// SagBasis says in words what the sag rests on, for the legend: "beam
	// estimate, uncalibrated" for instance. Empty means "estimate".
	SagBasis string
}

// StageOf gives the stage that the records of the brief describe.
func StageOf(b *orient.Brief, m Machine) Stage {
	if m == OnPlate {
		return Stage{
			Machine: m, SizeMM: r2.Vec{X: b.Printer.PlateMM[0], Y: b.Printer.PlateMM[1]},
			OverhangLimitDeg: b.Material.OverhangLimitDeg,
		}
	}
	basis := "uncalibrated estimate"
	if b.Material.Creep.Calibrated != "" {
		basis = "estimate, calibrated by coupon"
	}
	return Stage{Machine: m, SizeMM: r2.Vec{X: b.Furnace.SetterMM[0], Y: b.Furnace.SetterMM[1]}, SagBasis: basis}
}

// Overlays are what is drawn on the part and around it. Overhang, Supports and
// Regions show on the plate only, Sag on the setter only; elsewhere they are
// passed over.
type Overlays struct {
	Overhang, Supports, Footprint, Sag bool
	// Marks tints the faces that are marked, and those being picked, see
	// orient.MarkSet.
	Marks bool
	// Regions tints and numbers the regions of the support plan. Region is the
	// number of one that stands out, the others stepping back; 0 for none.
	Regions bool
	Region  int
	// SagTopMM is the sag at the dark end of the ramp, to compare two poses by eye; 0
	// takes the most of the scene. Nothing is drawn to it that collapses.
	SagTopMM float64
	// SagExaggeration multiplies the way of the surface in the furnace in the
	// drawn shape: 0 draws the shape without sag, 1 the true one.
	SagExaggeration float64
}

// DefaultOverlays are those that matter most on each machine.
func DefaultOverlays(m Machine) Overlays {
	if m == OnSetter {
		return Overlays{Footprint: true, Sag: true, Marks: true}
	}
	return Overlays{Overhang: true, Supports: true, Marks: true}
}

// Shot is everything about a picture but the scene. The zero value but for
// Width and Height is usable.
type Shot struct {
	Camera Camera
	// Width and Height are in device pixels.
	Width, Height int
	// Density is device pixels per length unit of the window, for the width of
	// lines and the size of text: 2 on a HiDPI screen. 0 means 1.
	Density float64
	// MMPerPixel is the scale at Camera.Zoom 1; 0 fits the part. Give two
	// scenes the value of CommonScale to have them at one scale.
	MMPerPixel float64
	Overlays   Overlays
	// Palette holds the colours; the zero value means LightPalette.
	Palette Palette
	// Samples is 1 for a frame while the part is being turned, 2 for a still:
	// each pixel is then the mean of 2 x 2. 0 means 1. Very large pictures take
	// fewer.
	Samples int
	// Bare leaves out the scale bar and the axes.
	Bare bool
}

// mostPixels bounds the memory of a frame: 8 million take about 250 MB.
const mostPixels = 8 << 20

// complete fills in what the shot leaves open.
func (s Shot) complete() Shot {
	s.Width, s.Height = max(s.Width, 1), max(s.Height, 1)
	if !(s.Density > 0) {
		s.Density = 1
	}
	s.Samples = min(max(s.Samples, 1), 4)
	for s.Samples > 1 && s.Width*s.Height*s.Samples*s.Samples > mostPixels {
		s.Samples-- // that fine, single samples do
	}
	if s.Palette.Ramp == nil {
		s.Palette = LightPalette()
	}
	return s
}

// sink is what the sag is multiplied with in the drawn shape.
func (s Shot) sink() float64 {
	if !s.Overlays.Sag {
		return 0
	}
	return s.Overlays.SagExaggeration
}
