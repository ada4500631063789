package mesh

import (
	"fmt"
	"math"
	"strings"
)

// Unit is a unit of length that a part file can be written in. The zero Unit
// means "not said" and counts as millimetres.
type Unit string

// The units that Kilnpoise reads; 3MF knows the same six.
const (
	Millimetre Unit = "mm"
	Centimetre Unit = "cm"
	Metre      Unit = "m"
	Inch       Unit = "inch"
	Foot       Unit = "foot"
	Micron     Unit = "micron"
)

// ParseUnit reads a unit by its symbol or its name in any case and either
// spelling. The empty text gives the zero Unit.
func ParseUnit(s string) (Unit, error) {
	switch strings.ToLower(strings.TrimSpace(s)) {
	case "":
		return "", nil
	case "mm", "millimeter", "millimetre", "millimeters", "millimetres":
		return Millimetre, nil
	case "cm", "centimeter", "centimetre", "centimeters", "centimetres":
		return Centimetre, nil
	case "m", "meter", "metre", "meters", "metres":
		return Metre, nil
	case "in", "inch", "inches":
		return Inch, nil
	case "ft", "foot", "feet":
		return Foot, nil
	case "um", "µm", "micron", "microns", "micrometer", "micrometre":
		return Micron, nil
	}
	return "", fmt.Errorf("unit %q is not known; give one of mm, cm, m, inch, foot, micron", s)
}

// MM gives the length of one unit in millimetres (inch and foot: exactly 25.4
// and 304.8, the international yard and pound agreement of 1959), 1 for the zero
// Unit and NaN for a text that is no unit.
func (u Unit) MM() float64 {
	switch u {
	case "", Millimetre:
		return 1
	case Centimetre:
		return 10
	case Metre:
		return 1000
	case Inch:
		return 25.4
	case Foot:
		return 304.8
	case Micron:
		return 0.001
	}
	return math.NaN()
}

// The largest side of a part that is plausible for a filament printer, mm.
const (
	leastPlausibleSide = 2.0
	mostPlausibleSide  = 1000.0
)

// suggestUnit gives the unit that makes a part plausible whose largest side
// counts side units as written in the file; "" when millimetres will do or
// nothing helps. Metres come before inches, since robot and simulation models
// are in metres and shrink far below an inch when they are read as millimetres.
func suggestUnit(side float64) Unit {
	if plausible(side) || side <= 0 {
		return ""
	}
	for _, u := range []Unit{Metre, Inch, Micron} {
		if plausible(side * u.MM()) {
			return u
		}
	}
	return ""
}

func plausible(side float64) bool {
	return side >= leastPlausibleSide && side <= mostPlausibleSide
}
