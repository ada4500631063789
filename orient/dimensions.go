package orient

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
	"kilnpoise/orient/furnace"
	"kilnpoise/orient/mark"
)

// Verdict says whether a tolerance is kept.
type Verdict string

// The verdicts, as written to JSON.
const (
	// Holds: what is likely and three standard deviations beside it lie within.
	Holds Verdict = "holds"
	// InDoubt is all between.
	InDoubt Verdict = "in doubt"
	// DoesNotHold: even at the low end of the sag more parts lie outside than within.
	DoesNotHold Verdict = "does not hold"
)

// What moves a dimension, as written to JSON.
const (
	CauseShrinkage = "shrinkage spread"
	CauseSag       = "sag"
	CauseSteps     = "layer steps"
	CauseOval      = "out of round"
)

// Cause is what one thing adds to the deviation of a dimension, mm or degrees as
// the dimension is: three standard deviations of what scatters, the likely value of
// what does not.
type Cause struct {
	Name string  `json:"cause"`
	MM   float64 `json:"mm,omitempty"`
	Deg  float64 `json:"deg,omitempty"`
}

// DimensionOutcome is what becomes of a critical dimension in one orientation. The
// fields in degrees are those of angles, which have none in mm.
type DimensionOutcome struct {
	Name string              `json:"name"`
	What mark.Characteristic `json:"kind"`
	// NominalMM is the finished length, 0 for a form; ExpectedMM what is likely,
	// at the low and high end of the sag ExpectedLowMM and ExpectedHighMM.
	NominalMM      float64 `json:"nominal_mm"`
	ExpectedMM     float64 `json:"expected_mm"`
	ExpectedLowMM  float64 `json:"expected_low_mm"`
	ExpectedHighMM float64 `json:"expected_high_mm"`
	// SpreadMM is one standard deviation of what the shrinkage leaves, ToleranceMM
	// what is allowed either way, for a form the width of the zone.
	SpreadMM    float64 `json:"spread_mm"`
	ToleranceMM float64 `json:"tolerance_mm"`

	NominalDeg      float64 `json:"nominal_deg,omitempty"`
	ExpectedDeg     float64 `json:"expected_deg,omitempty"`
	ExpectedLowDeg  float64 `json:"expected_low_deg,omitempty"`
	ExpectedHighDeg float64 `json:"expected_high_deg,omitempty"`
	SpreadDeg       float64 `json:"spread_deg,omitempty"`
	ToleranceDeg    float64 `json:"tolerance_deg,omitempty"`

	// Rule is where the limit comes from.
	Rule    string  `json:"rule"`
	Verdict Verdict `json:"verdict"`
	// Holds is true where the verdict is that it holds.
	Holds bool `json:"holds"`
	// SagKnown is false before the furnace is solved, and where it has no answer.
	SagKnown bool    `json:"sag_known"`
	Causes   []Cause `json:"causes"`
	// Weightiest is the cause that adds most; "" where nothing does.
	Weightiest string `json:"weightiest_cause"`
	// Bore is true for a diameter; then OvalMM is the root mean square of the
	// difference between largest and smallest diameter that the spread of
	// shrinkage leaves, and UniformOvalMM that difference if the green part had
	// been scaled by the one factor of X on all axes. SagOvalMM is the difference
	// that the sag is likely to make.
	Bore          bool    `json:"bore"`
	OvalMM        float64 `json:"oval_mm"`
	UniformOvalMM float64 `json:"oval_with_one_factor_mm"`
	SagOvalMM     float64 `json:"sag_oval_mm"`

	steps float64 // one standard deviation of a length or angle, the whole of a form
}

// sigmas is how many standard deviations have to lie within the tolerance.
const sigmas = 3

// Figures are the numbers of an outcome in its own unit, for a table.
type Figures struct {
	Unit                                  string // "mm" or "deg"
	Nominal, Expected, Low, High, Allowed float64
	// Scatter is three standard deviations of all that scatters.
	Scatter float64
}

// Figures gives the numbers in the unit of the dimension.
func (d *DimensionOutcome) Figures() Figures {
	if d.What == mark.Angle {
		return Figures{Unit: "deg", Nominal: d.NominalDeg, Expected: d.ExpectedDeg, Low: d.ExpectedLowDeg,
			High: d.ExpectedHighDeg, Allowed: d.ToleranceDeg, Scatter: sigmas * d.deviation()}
	}
	return Figures{Unit: "mm", Nominal: d.NominalMM, Expected: d.ExpectedMM, Low: d.ExpectedLowMM,
		High: d.ExpectedHighMM, Allowed: d.ToleranceMM, Scatter: sigmas * d.deviation()}
}

// deviation is one standard deviation of what scatters: of a diameter that of the
// worst one, since a bore out of round has more than one.
func (d *DimensionOutcome) deviation() float64 {
	if d.What.IsZone() {
		return 0
	}
	return math.Sqrt(sumSquares(d.SpreadMM, d.SpreadDeg, d.steps, d.OvalMM/2))
}

// String says the outcome in a sentence.
func (d DimensionOutcome) String() string {
	f := d.Figures()
	digits := 2
	s := fmt.Sprintf("%s (%s): ", d.Name, d.What)
	if d.What.IsZone() {
		s += fmt.Sprintf("%.*f %s expected, %.*f to %.*f %s (estimate)", digits, f.Expected, f.Unit, digits, f.Low, digits, f.High, f.Unit)
	} else {
		s += fmt.Sprintf("%.*f %s, expected %.*f %s within %.*f %s (%d standard deviations, estimate)",
			digits, f.Nominal, f.Unit, digits, f.Expected, f.Unit, digits, f.Scatter, f.Unit, sigmas)
	}
	s += fmt.Sprintf("; the tolerance of %.*f %s (%s) %s", digits, f.Allowed, f.Unit, d.Rule, d.said())
	if !d.SagKnown {
		s += ", the sag not counted"
	}
	if d.Weightiest != "" {
		s += "; most of it is " + d.Weightiest
	}
	if d.Bore {
		s += fmt.Sprintf("; out of round by about %.3f mm, by %.2f mm if one factor were used on all axes", d.OvalMM, d.UniformOvalMM)
	}
	return s + "."
}

// OtherReasons gives the reasons without those on the critical dimensions, for where
// these have a table.
func (c *Candidate) OtherReasons() []string {
	told := map[string]bool{}
	for _, d := range c.Dimensions {
		told[d.String()] = true
	}
	return slices.DeleteFunc(slices.Clone(c.Reasons), func(r string) bool { return told[r] })
}

// said gives the verdict as it follows on "the tolerance".
func (d *DimensionOutcome) said() string {
	if d.Verdict == InDoubt {
		return "is in doubt"
	}
	return string(d.Verdict)
}

// untrue holds what scatters against what is allowed, for the ranking.
func (d *DimensionOutcome) untrue() float64 {
	switch {
	case d.What.IsZone(): // what moves a form is the sag, which has a term of its own
		return 0
	case d.What == mark.Angle:
		return sigmas * d.SpreadDeg / d.ToleranceDeg
	default:
		return (sigmas*d.SpreadMM + d.OvalMM) / d.ToleranceMM
	}
}

// dimensions works out the critical dimensions in this pose, the sag not counted.
func (g *gauge) dimensions(p Pose) []DimensionOutcome {
	if len(g.brief.Marks.Dimensions) == 0 {
		return nil
	}
	plate := math.Inf(1)
	for _, v := range g.subject.hull {
		plate = min(plate, r3.Dot(p.Up(), v))
	}
	var out []DimensionOutcome
	for i := range g.brief.Marks.Dimensions {
		o := outcomeOf(&g.brief.Marks.Dimensions[i], &g.brief, p, plate)
		o.judge(nil, 1, 1, false)
		out = append(out, o)
	}
	return out
}

// outcomeOf fills in what the shrinkage and the layers do to a dimension. plate is
// how high the plate lies along the build direction, part frame.
func outcomeOf(d *mark.Dimension, b *Brief, p Pose, plate float64) DimensionOutcome {
	o := DimensionOutcome{Name: d.Name, What: d.What, Bore: d.What == mark.Diameter, NominalMM: d.NominalMM, NominalDeg: d.NominalDeg}
	n := p.Rotation.MulVec(d.Along)
	limit, rule := d.Limit()
	o.Rule = rule
	layers := layersOf(b, p, plate)
	switch m := &b.Material; d.What {
	case mark.Angle:
		o.ToleranceDeg = limit
		o.SpreadDeg = angleSpread(p.Rotation.MulVec(d.On[0].Plane.Normal), p.Rotation.MulVec(d.On[1].Plane.Normal), m)
		o.steps = layers.angle(d)
	case mark.Flatness, mark.Parallelism:
		o.ToleranceMM, o.steps = limit, layers.cusp(&d.On[0])
	case mark.Diameter:
		o.ToleranceMM = limit
		o.SpreadMM = diameterSpread(d.NominalMM, n, m)
		o.OvalMM = ovalSpread(d.NominalMM, n, m)
		o.UniformOvalMM = ovalOfOneFactor(d.NominalMM, n, m)
		o.steps = layers.diameter(d)
	default:
		o.ToleranceMM = limit
		o.SpreadMM = lengthSpread(d.NominalMM, n, m)
		o.steps = layers.length(d)
	}
	return o
}

// judge takes in what the sag does to the dimension, nil where it is not known, and
// comes to a verdict. low and high are the ends of the compliance over the likely one.
func (d *DimensionOutcome) judge(sag *mark.Drift, low, high float64, collapses bool) {
	var change float64
	if d.SagKnown = sag != nil; d.SagKnown {
		change, d.SagOvalMM = sag.Change, sag.OvalMM
	}
	base := d.NominalMM + d.NominalDeg
	if d.What.IsZone() {
		base += d.steps
	}
	at := func(share float64) float64 { return base + share*change }
	if d.What == mark.Angle {
		d.ExpectedDeg, d.ExpectedLowDeg, d.ExpectedHighDeg = at(1), min(at(low), at(high)), max(at(low), at(high))
	} else {
		d.ExpectedMM, d.ExpectedLowMM, d.ExpectedHighMM = at(1), min(at(low), at(high)), max(at(low), at(high))
	}
	d.blame(change)
	d.Verdict = d.verdict(at, low)
	if collapses {
		d.Verdict = DoesNotHold
	}
	d.Holds = d.Verdict == Holds
}

// verdict compares with the limit; at gives the value at a share of the likely sag.
func (d *DimensionOutcome) verdict(at func(share float64) float64, low float64) Verdict {
	f := d.Figures()
	if d.What.IsZone() {
		switch {
		case at(low) > f.Allowed:
			return DoesNotHold
		case at(1) > f.Allowed || !d.SagKnown:
			return InDoubt
		}
		return Holds
	}
	off := func(share float64) float64 { return math.Abs(at(share)-f.Nominal) + share*d.SagOvalMM/2 }
	switch {
	case off(1)+f.Scatter <= f.Allowed:
		return Holds
	case within(f.Allowed, off(low), d.deviation()) < 0.5:
		return DoesNotHold
	}
	return InDoubt
}

// within gives the share of a normal distribution about middle that lies within
// either side of 0.
func within(either, middle, deviation float64) float64 {
	if deviation == 0 {
		if math.Abs(middle) <= either {
			return 1
		}
		return 0
	}
	below := func(x float64) float64 { return math.Erfc(-(x-middle)/deviation/math.Sqrt2) / 2 }
	return below(either) - below(-either)
}

// blame lists what adds to the deviation, and which adds most.
func (d *DimensionOutcome) blame(sag float64) {
	d.Causes, d.Weightiest = []Cause{}, ""
	steps := sigmas * d.steps
	if d.What.IsZone() {
		steps = d.steps
	}
	const nothing = 1e-4 // mm or degrees, not worth a line
	var most float64
	for _, c := range []struct {
		name string
		size float64
	}{
		{CauseShrinkage, sigmas * (d.SpreadMM + d.SpreadDeg)},
		{CauseSag, math.Abs(sag)},
		{CauseSteps, steps},
		{CauseOval, sigmas*d.OvalMM/2 + d.SagOvalMM/2},
	} {
		if c.size < nothing {
			continue
		}
		cause := Cause{Name: c.name, MM: c.size}
		if d.What == mark.Angle {
			cause.MM, cause.Deg = 0, c.size
		}
		d.Causes = append(d.Causes, cause)
		if c.size > most {
			most, d.Weightiest = c.size, c.name
		}
	}
}

// judgeDimensions judges the critical dimensions of all candidates with the sag as
// far as it is solved.
func (a *Advice) judgeDimensions() {
	if len(a.Brief.Marks.Dimensions) == 0 {
		return
	}
	for i := range a.Candidates {
		c := &a.Candidates[i]
		if len(c.Dimensions) != len(a.Brief.Marks.Dimensions) {
			continue
		}
		moved, collapses := a.sagOf(c)
		judged := make([]DimensionOutcome, len(c.Dimensions))
		creep := a.Brief.Material.Creep
		for k, d := range c.Dimensions {
			var drift *mark.Drift
			if moved != nil {
				of := a.Brief.Marks.Dimensions[k].Drift(a.Part.Mesh, moved)
				drift = &of
			}
			d.judge(drift, creep.ComplianceLowPerPa/creep.CompliancePerPa, creep.ComplianceHighPerPa/creep.CompliancePerPa, collapses)
			judged[k] = d
		}
		c.Dimensions = judged
	}
}

// sagOf gives the likely displacement in the furnace by place on the part, part
// frame, in the pose that the candidate is laid down in; nil where it is not solved.
func (a *Advice) sagOf(c *Candidate) (moved func(p r3.Vec) r3.Vec, collapses bool) {
	sag, turn := c.Solved, c.Pose.Rotation
	if c.Resting != nil {
		sag, turn = c.Resting.Pose().Sag, c.Resting.Pose().Turn.Mul(c.Pose.Rotation)
	}
	if sag == nil || sag.Field == nil {
		return nil, false
	}
	return displacement(sag, turn, a.study.full.hull), sag.Collapses
}

// displacement reads the field of a solution by place on the part: turn takes the
// part frame to the furnace frame, where it was stood on the setter.
func displacement(sag *furnace.Sag, turn mesh.Matrix, hull []r3.Vec) func(p r3.Vec) r3.Vec {
	low, high := boundsOf(hull, turn)
	shift := r3.Vec{X: -(low.X + high.X) / 2, Y: -(low.Y + high.Y) / 2, Z: -low.Z}
	back := turn.Transpose()
	return func(p r3.Vec) r3.Vec { return back.MulVec(sag.Field.At(r3.Add(turn.MulVec(p), shift))) }
}
