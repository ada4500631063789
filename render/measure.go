package render

import (
	"fmt"
	"math"
	"strings"

	"kilnpoise/orient"
	marking "kilnpoise/orient/mark"
)

// Measure is one quantity that directions and candidates can be compared by: on
// the direction map, and along either axis of the trade-off chart. The zero value
// measures nothing. A Measure is a plain value and may be shared.
type Measure struct {
	// Key names it in files and preferences.
	Key string
	// Name is in words, with "(estimate)" where it is one; Unit may be empty.
	Name, Unit string
	// MoreIsBetter is false for what one wants little of.
	MoreIsBetter bool

	of func(m *orient.Measures, cost float64) float64
	// lying is set for what happens in the furnace: of a candidate it is that of the pose
	// to be laid down in, at a direction of the map that of the print.
	lying func(*orient.Candidate) float64
}

// Label gives name and unit, for an axis or a legend.
func (m Measure) Label() string {
	if m.Unit == "" {
		return m.Name
	}
	return m.Name + ", " + m.Unit
}

// mapLabel is the label on the map, where all is as printed.
func (m Measure) mapLabel() string {
	if m.lying == nil {
		return m.Label()
	}
	name, estimate := strings.CutSuffix(m.Name, " (estimate)")
	m.Name = name + " as printed"
	if estimate {
		m.Name += " (estimate)"
	}
	return m.Label()
}

// OfPoint gives the value at a direction of the map, OfCandidate that of a
// candidate, in Unit. It is +Inf for sag that collapses, which no number of
// millimetres describes, and NaN for the zero Measure.
func (m Measure) OfPoint(p *orient.MapPoint) float64 { return m.value(&p.Measures, p.Cost) }

// OfCandidate is OfPoint for a candidate, as it is to be laid in the furnace.
func (m Measure) OfCandidate(c *orient.Candidate) float64 {
	if m.lying != nil {
		return m.lying(c)
	}
	return m.value(&c.Measures, c.Cost)
}

func (m Measure) value(of *orient.Measures, cost float64) float64 {
	if m.of == nil {
		return math.NaN()
	}
	return m.of(of, cost)
}

// Text gives a value with its unit, three digits that count.
func (m Measure) Text(v float64) string {
	switch {
	case math.IsInf(v, 1):
		return "collapses"
	case m.Unit == "" || m.Unit == "°":
		return m.digits(v) + m.Unit
	}
	return m.digits(v) + " " + m.Unit
}

// digits writes v with as many digits as count.
func (m Measure) digits(v float64) string {
	switch a := math.Abs(v); {
	case m.Unit == "%" || m.Unit == "°" || a >= 100:
		return digitsOf(v, 0)
	case a >= 10:
		return digitsOf(v, 1)
	case a >= 0.1 || a == 0:
		return digitsOf(v, 2)
	}
	return digitsOf(v, 3)
}

// Measures lists what directions and candidates can be compared by, the combined
// cost first, then print, stand, furnace; what only marks on the part give a
// meaning to is left out where the brief has no such marks. Use MeasureNamed to
// find one by its key.
func Measures(b *orient.Brief) []Measure {
	const less, more = false, true
	cubic := func(v float64) float64 { return v / 1000 }
	list := []Measure{
		{"cost", "combined cost, 0 to 1", "", less, func(_ *orient.Measures, cost float64) float64 { return cost }, nil},
		{"support_volume", "support volume", "cm³", less, func(m *orient.Measures, _ float64) float64 { return cubic(m.SupportVolumeMM3) }, nil},
		{"overhang_area", "overhang area", "mm²", less, func(m *orient.Measures, _ float64) float64 { return m.OverhangAreaMM2 }, nil},
		{"support_contact", "support contact", "mm²", less, func(m *orient.Measures, _ float64) float64 { return m.SupportContactMM2 }, nil},
		{"support_on_part", "support on the part", "cm³", less, func(m *orient.Measures, _ float64) float64 { return cubic(m.SupportOnPartMM3) }, nil},
		{"height", "green height", "mm", less, func(m *orient.Measures, _ float64) float64 { return m.HeightMM }, nil},
		{"print_time", "print time (estimate)", "h", less, func(m *orient.Measures, _ float64) float64 { return m.PrintTimeS / 3600 }, nil},
		{"step_height", "step height", "mm", less, func(m *orient.Measures, _ float64) float64 { return m.StepHeightMM }, nil},
		{"dimension_spread", "dimension spread (estimate)", "mm", less, func(m *orient.Measures, _ float64) float64 { return m.DimensionSpreadMM }, nil},
		{"footprint", "footprint on the plate", "mm²", more, func(m *orient.Measures, _ float64) float64 { return m.FootprintMM2 }, nil},
		{"tip_angle", "tip angle on the plate", "°", more, func(m *orient.Measures, _ float64) float64 { return m.TipAngleDeg }, nil},
		{"setter_travel", "setter travel", "mm", less, func(m *orient.Measures, _ float64) float64 { return m.SetterTravelMM }, travelRank},
		{"sag", "sag (estimate)", "mm", less, sagAsPrinted, sagRank},
	}
	if b != nil {
		list = append(list, markedMeasures(b)...)
	}
	return list
}

// sagAsPrinted orders the sag of a direction of the map.
func sagAsPrinted(m *orient.Measures, _ float64) float64 {
	if m.SagCollapses {
		return math.Inf(1)
	}
	return m.SagMM
}

// markedMeasures are those that the marks of the brief give a meaning to.
func markedMeasures(b *orient.Brief) []Measure {
	var list []Measure
	has := map[marking.Kind]bool{}
	for _, f := range b.Marks.Faces {
		has[f.Kind] = has[f.Kind] || len(f.Facets) > 0
	}
	if has[marking.KeepClean] {
		list = append(list, Measure{"marked_scar", "scar on faces to keep clean", "mm²", false,
			func(m *orient.Measures, _ float64) float64 { return m.MarkedScarMM2 }, nil})
	}
	if has[marking.Smooth] {
		list = append(list, Measure{"marked_step", "step height on smooth faces", "mm", false,
			func(m *orient.Measures, _ float64) float64 { return m.MarkedStepMM }, nil})
	}
	if has[marking.Foot] {
		list = append(list, Measure{"foot_share", "preferred foot on the plate", "%", true,
			func(m *orient.Measures, _ float64) float64 { return 100 * m.FootShare }, nil})
	}
	if len(b.Marks.Loads) > 0 {
		list = append(list, Measure{"load_strength", "strength along the load (estimate)", "%", true,
			func(m *orient.Measures, _ float64) float64 { return 100 * m.LoadStrength }, nil})
	}
	return list
}

// MeasureNamed gives the measure of the list with the key, or an error that says
// which there are.
func MeasureNamed(list []Measure, key string) (Measure, error) {
	keys := ""
	for _, m := range list {
		if m.Key == key {
			return m, nil
		}
		keys += " " + m.Key
	}
	return Measure{}, fmt.Errorf("no measure is called %q; there are%s", key, keys)
}
