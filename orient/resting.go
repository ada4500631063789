package orient

import (
	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
	"kilnpoise/orient/furnace"
)

// standLimits gives the limits of the records for how a part stands.
func (b Brief) standLimits() furnace.StandLimits {
	l := furnace.DefaultStandLimits()
	l.SmallestTipDeg = b.Material.SmallestTipDeg
	l.LeanGrowth = 1 + b.Material.AllowedLeanGrowth
	l.LeastFootShare = leastFootShare
	return l
}

// RestingReport is how a candidate is laid down, as written to JSON. The lean and the
// sag are estimates.
type RestingReport struct {
	AsPrinted bool `json:"as_printed"`
	// Laid says it in words, by the axes of the file.
	Laid string `json:"laid"`
	// GreenSizeMM is the box around the green part as it goes in.
	GreenSizeMM Triple `json:"green_size_mm"`
	// Turn maps the print frame to the furnace frame.
	Turn         mesh.Matrix `json:"turn"`
	TipAngleDeg  float64     `json:"tip_angle_deg"`
	FootprintMM2 float64     `json:"footprint_mm2"`
	LeastFootMM2 float64     `json:"least_foot_mm2"`
	AskedFootMM2 float64     `json:"asked_foot_mm2"`
	// FootprintSinteredMM2 is the footprint at finished size.
	FootprintSinteredMM2 float64 `json:"footprint_sintered_mm2"`
	SetterTravelMM       float64 `json:"setter_travel_mm"`
	LeanGrowth           float64 `json:"lean_growth"`
	LeanGrowthLow        float64 `json:"lean_growth_low"`
	LeanGrowthHigh       float64 `json:"lean_growth_high"`
	LeanMethod           string  `json:"lean_method"`
	SagMM                float64 `json:"sag_mm"`
	SagLowMM             float64 `json:"sag_low_mm"`
	SagHighMM            float64 `json:"sag_high_mm"`
	SagCollapses         bool    `json:"sag_collapses"`
	SagMethod            string  `json:"sag_method"`
	*PlannedSag
	// SagGridErrorMM and ElephantFootMM are as in Measures, and so is SagShapeErrorMM, but
	// with the plan's props in place.
	SagGridErrorMM  float64 `json:"sag_grid_error_mm"`
	SagShapeErrorMM float64 `json:"sag_shape_error_mm"`
	ElephantFootMM  float64 `json:"elephant_foot_mm"`
	// Tried is how many poses were compared, as printed among them; Reason why
	// this one.
	Tried int `json:"tried"`
	// Advice says in sentences what to do about how it stands so.
	Advice []string `json:"advice"`
	Reason string   `json:"reason"`
}

func restingReport(c *Candidate) RestingReport {
	l := c.Lies()
	bare := l.Bare()
	r := RestingReport{
		PlannedSag: c.planned(),

		AsPrinted: l.AsPrinted, Laid: c.LaidAs(), GreenSizeMM: triple(c.greenLying()), Turn: mesh.Identity(), TipAngleDeg: l.TipAngleDeg, FootprintMM2: l.FootprintMM2,
		LeastFootMM2: l.foot.areaMM2, AskedFootMM2: l.foot.askedMM2(), SetterTravelMM: l.TravelMM,
		LeanGrowth: l.Lean.Growth, LeanGrowthLow: l.Lean.Low, LeanGrowthHigh: l.Lean.High, LeanMethod: l.LeanMethod,
		SagMM: bare.SagMM, SagLowMM: bare.SagLowMM, SagHighMM: bare.SagHighMM,
		SagCollapses: bare.SagCollapses, SagMethod: bare.SagMethod, Tried: 1,
		SagGridErrorMM: bare.SagGridErrorMM, SagShapeErrorMM: l.SagShapeErrorMM, ElephantFootMM: l.ElephantFootMM,
	}
	r.FootprintSinteredMM2 = c.stand.FootprintMM2
	if c.RestsOtherwise() {
		r.FootprintSinteredMM2 = c.Resting.Pose().Stand.FootprintMM2
	}
	if c.Resting != nil {
		r.Turn, r.Tried, r.Reason = c.Resting.Pose().Turn, len(c.Resting.Poses), c.Resting.Reason
	}
	if l.setter.turn != 0 { // turned further about Z to fit the setter
		r.Turn = mesh.RotationAbout(r3.Vec{Z: 1}, l.setter.turn).Mul(r.Turn)
	}
	return r
}
