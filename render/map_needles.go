package render

import (
	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/orient"
)

// needleRadius is the size of the mark of a resting face, window units.
const needleRadius = 4

// needles marks the exact resting faces, coloured by their own values and struck
// through by their own gates: once where one is in doubt, twice where one fails.
func (f *mapFrame) needles() {
	u, ink := f.s.Density, f.s.Palette.Ink
	for i := range f.m.faces {
		p := &f.m.faces[i]
		at := f.discs.at(r3.Unit(p.Up.Vec()))
		f.pen.ring(at, (needleRadius+1.6)*u, 0, f.halo())
		f.pen.ring(at, needleRadius*u, 0, f.s.Palette.Ramp.At(min(max(f.share(f.s.Measure.OfPoint(p)), 0), 1)))
		f.pen.ring(at, needleRadius*u, 1.3*u, ink)
		r := (needleRadius + 1) * u
		if p.State != orient.Passed {
			f.pen.line(spot{x: at.x - r, y: at.y + r}, spot{x: at.x + r, y: at.y - r}, 1.3*u, ink, dash{})
		}
		if p.State == orient.Failed {
			f.pen.line(spot{x: at.x - r, y: at.y - r}, spot{x: at.x + r, y: at.y + r}, 1.3*u, ink, dash{})
		}
	}
}
