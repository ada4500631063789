package mark

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
)

// Characteristic is what about a part has to be true.
type Characteristic int

// The characteristics.
const (
	Distance    Characteristic = iota // between two parallel flats
	Diameter                          // of a bore or pin
	BoreToBore                        // between two parallel axes
	BoreToFace                        // from an axis to a flat beside it
	Flatness                          // of one face
	Parallelism                       // of one face to another
	Angle                             // between two flats
	characteristicCount
)

// Characteristics lists them in the order in which they are shown.
func Characteristics() []Characteristic {
	all := make([]Characteristic, characteristicCount)
	for i := range all {
		all[i] = Characteristic(i)
	}
	return all
}

// String gives c in words for the screen and the sheet.
func (c Characteristic) String() string {
	return [...]string{"distance", "diameter", "axis to axis", "axis to face", "flatness", "parallelism", "angle"}[c]
}

// Key gives the name of c in files.
func (c Characteristic) Key() string {
	return [...]string{"distance", "diameter", "bore_to_bore", "bore_to_face", "flatness", "parallelism", "angle"}[c]
}

// CharacteristicOf gives the characteristic of that key.
func CharacteristicOf(key string) (Characteristic, bool) {
	for _, c := range Characteristics() {
		if c.Key() == key {
			return c, true
		}
	}
	return 0, false
}

// MarshalText gives the key.
func (c Characteristic) MarshalText() ([]byte, error) { return []byte(c.Key()), nil }

// UnmarshalText takes the key.
func (c *Characteristic) UnmarshalText(key []byte) error {
	of, ok := CharacteristicOf(string(key))
	if !ok {
		return fmt.Errorf("%q is nothing that can be measured", key)
	}
	*c = of
	return nil
}

// Features tells of each face that c is measured on, in their order, whether it is
// the wall of a bore or pin.
func (c Characteristic) Features() []bool {
	return [...][]bool{{false, false}, {true}, {true, true}, {true, false}, {false}, {false, false}, {false, false}}[c]
}

// IsZone reports whether c has nothing to be but small: the width of the zone that
// holds the face.
func (c Characteristic) IsZone() bool { return c == Flatness || c == Parallelism }

// Dimension is what has to be true: a length, an angle or the form of a face.
type Dimension struct {
	Name string
	What Characteristic
	// On are the faces it is measured on.
	On []Feature
	// Along is the direction it is measured in, a unit vector from the first face
	// to the second; of a diameter the axis, of a form the normal.
	Along r3.Vec
	// NominalMM is the length, 0 for a form. ToleranceMM is the deviation allowed
	// either way, for a form the width of the zone; 0 takes ISO 2768.
	NominalMM, ToleranceMM float64
	// NominalDeg and ToleranceDeg are those of an angle, between the faces: 180
	// less the angle between their normals.
	NominalDeg, ToleranceDeg float64
	// StockMM is the stock to be machined off the faces that it is measured on.
	StockMM float64
}

// Feature is a face that a dimension is measured on: a flat, or the wall of a bore
// or pin where Round.
type Feature struct {
	Facets []int32
	Round  bool
	Plane  Plane
	Bore   Bore
	// SpanMM is the longer side of a flat.
	SpanMM float64
}

// FitFeature fits a flat or, where round, a bore or pin to the facets.
func FitFeature(m *mesh.Mesh, facets []int32, round bool) (Feature, error) {
	f := Feature{Facets: facets, Round: round}
	var err error
	if round {
		f.Bore, err = FitBore(m, facets)
		return f, err
	}
	if f.Plane, err = FitPlane(m, facets); err != nil {
		return f, err
	}
	f.SpanMM = span(m, facets, f.Plane)
	return f, nil
}

// At gives the middle of the feature.
func (f *Feature) At() r3.Vec {
	if f.Round {
		return f.Bore.At
	}
	return f.Plane.At
}

// span gives the longer side of the smallest rectangle around a flat face.
func span(m *mesh.Mesh, facets []int32, p Plane) float64 {
	points := flatten(m, facets, p)
	rect := mesh.SmallestRectangle(mesh.Outline(points))
	return max(rect.Long, rect.Short)
}

// NewDimension measures c on its features.
func NewDimension(c Characteristic, on ...Feature) (Dimension, error) {
	d := Dimension{What: c, On: on}
	wanted := c.Features()
	if len(on) != len(wanted) {
		return d, fmt.Errorf("%s needs %d faces", c, len(wanted))
	}
	for i, round := range wanted {
		if on[i].Round != round {
			return d, fmt.Errorf("%s is not measured on such a face", c)
		}
	}
	return d, d.measure()
}

// parallelDeg is how far from parallel faces and axes may stand for a distance.
const parallelDeg = 3

// nothing is a distance that is none, mm.
const nothing = 1e-3

// measure fills in direction and nominal value from the features.
func (d *Dimension) measure() error {
	switch first := &d.On[0]; d.What {
	case Distance:
		return d.between(first.Plane.Normal, first.Plane.At, d.On[1].Plane.At, first.Plane.lean(d.On[1].Plane.Normal),
			"the faces stand at %.0f deg to each other: a distance needs parallel ones")
	case Diameter:
		d.Along, d.NominalMM = first.Bore.Axis, first.Bore.DiameterMM
	case BoreToBore:
		return d.acrossAxes(&first.Bore, &d.On[1].Bore)
	case BoreToFace:
		face := &d.On[1].Plane
		return d.between(face.Normal, first.Bore.At, face.At, math.Abs(90-face.lean(first.Bore.Axis)),
			"the axis stands at %.0f deg to the face: a distance needs a face beside the axis")
	case Flatness:
		d.Along = first.Plane.Normal
	case Parallelism:
		d.Along = first.Plane.Normal
		if lean := first.Plane.lean(d.On[1].Plane.Normal); lean > parallelDeg {
			return fmt.Errorf("the faces stand at %.0f deg to each other: they are not meant to be parallel", lean)
		}
	default:
		return d.angle(first.Plane.Normal, d.On[1].Plane.Normal)
	}
	return nil
}

// lean gives the angle between the normal and a direction either way, 0 to 90 deg.
func (p *Plane) lean(d r3.Vec) float64 {
	return math.Acos(min(math.Abs(r3.Dot(p.Normal, d)), 1)) * 180 / math.Pi
}

// between takes the distance from a to b along the line of a normal.
func (d *Dimension) between(normal, a, b r3.Vec, lean float64, trouble string) error {
	if lean > parallelDeg {
		return fmt.Errorf(trouble, lean)
	}
	way := r3.Dot(normal, r3.Sub(b, a))
	d.Along, d.NominalMM = normal, math.Abs(way)
	if way < 0 {
		d.Along = r3.Scale(-1, normal)
	}
	return nil
}

// acrossAxes takes the distance between two axes.
func (d *Dimension) acrossAxes(a, b *Bore) error {
	c := r3.Dot(a.Axis, b.Axis)
	if lean := math.Acos(min(math.Abs(c), 1)) * 180 / math.Pi; lean > parallelDeg {
		return fmt.Errorf("the axes stand at %.0f deg to each other: a distance needs parallel ones", lean)
	}
	axis := r3.Add(a.Axis, r3.Scale(math.Copysign(1, c), b.Axis))
	axis = r3.Unit(axis)
	way := r3.Sub(b.At, a.At)
	way = r3.Sub(way, r3.Scale(r3.Dot(way, axis), axis))
	d.NominalMM = r3.Norm(way)
	if d.NominalMM < nothing {
		return errors.New("the two share one axis: pick bores beside each other")
	}
	d.Along = r3.Unit(way)
	return nil
}

// angle takes the angle between two flats.
func (d *Dimension) angle(a, b r3.Vec) error {
	turn := math.Atan2(r3.Norm(r3.Cross(a, b)), r3.Dot(a, b)) * 180 / math.Pi
	if turn < parallelDeg || turn > 180-parallelDeg {
		return errors.New("the faces are parallel: take the distance between them, or their parallelism")
	}
	d.Along, d.NominalDeg = r3.Unit(r3.Cross(a, b)), 180-turn
	return nil
}

// Limit gives what is allowed, mm, for an angle degrees, and by what rule.
func (d *Dimension) Limit() (limit float64, rule string) {
	switch {
	case d.StockMM > 0 && d.What != Angle:
		return d.StockMM, StockRule
	case d.What == Angle && d.ToleranceDeg > 0:
		return d.ToleranceDeg, Typed
	case d.What == Angle:
		return MediumAngle(min(d.On[0].SpanMM, d.On[1].SpanMM)), MediumRule
	case d.ToleranceMM > 0:
		return d.ToleranceMM, Typed
	case d.What == Flatness:
		return MiddleFlatness(d.On[0].SpanMM), MiddleRule
	case d.What == Parallelism: // ISO 2768-2, 5.2.2: the larger of flatness and size tolerance
		apart := math.Abs(r3.Dot(d.Along, r3.Sub(d.On[1].Plane.At, d.On[0].Plane.At)))
		return max(MiddleFlatness(d.On[0].SpanMM), MediumTolerance(apart)), MiddleRule
	default:
		return MediumTolerance(d.NominalMM), MediumRule
	}
}
