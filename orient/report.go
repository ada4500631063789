package orient

import (
	"encoding/json"
	"io"
	"slices"
	"time"

	"kilnpoise/mesh"
	"kilnpoise/orient/support"
)

// Report is the advice as it is written to advice.json. Units stand in the names.
type Report struct {
	Part PartReport `json:"part"`
	// Stock is what is on the part as printed, beside what was read.
	Stock []StockReport `json:"stock,omitempty"`
	// CouponArms are those of the creep coupon, where the part is that.
	CouponArms []CouponArm       `json:"coupon_arms,omitempty"`
	Process    ProcessReport     `json:"process"`
	Candidates []CandidateReport `json:"candidates"`
	Notes      []string          `json:"notes"`
	Elapsed    ElapsedReport     `json:"elapsed_s"`
}

// PartReport is the part as it was read.
type PartReport struct {
	File        string   `json:"file"`
	SHA256      string   `json:"sha256"`
	Unit        string   `json:"unit"`
	UnitAssumed bool     `json:"unit_assumed"`
	Facets      int      `json:"facets"`
	SizeMM      Triple   `json:"size_mm"`
	VolumeMM3   float64  `json:"volume_mm3"`
	AreaMM2     float64  `json:"area_mm2"`
	Watertight  bool     `json:"watertight"`
	Findings    []string `json:"findings"`
}

// ProcessReport is what the measures rest on.
type ProcessReport struct {
	Material         string  `json:"material"`
	Printer          string  `json:"printer"`
	Furnace          string  `json:"furnace"`
	Shrinkage        Triple  `json:"shrinkage"`
	ShrinkageSpread  Triple  `json:"shrinkage_spread"`
	Oversize         Triple  `json:"oversize"`
	OverhangLimitDeg float64 `json:"overhang_limit_deg"`
	LayerHeightMM    float64 `json:"layer_height_mm"`
	LineWidthMM      float64 `json:"line_width_mm"`
	// The thickest wall that debinds and the thinnest that prints, however they lie.
	LargestWallSinteredMM  float64            `json:"largest_wall_sintered_mm"`
	SmallestWallSinteredMM float64            `json:"smallest_wall_sintered_mm"`
	CreepCompliancePerPa   float64            `json:"creep_compliance_per_pa"`
	CreepLowPerPa          float64            `json:"creep_compliance_low_per_pa"`
	CreepHighPerPa         float64            `json:"creep_compliance_high_per_pa"`
	CreepCalibrated        string             `json:"creep_calibrated"`
	FurnacePoisson         float64            `json:"furnace_poisson"`
	FurnaceDensityKGM3     float64            `json:"furnace_density_kg_m3"`
	Priorities             map[string]float64 `json:"priorities"`
	Seed                   uint64             `json:"seed"`
}

// CandidateReport is one orientation.
type CandidateReport struct {
	Rank           int                `json:"rank"`
	Origin         Origin             `json:"origin"`
	Name           string             `json:"name"`
	Notation       string             `json:"notation"`
	TurnsDeg       [3]float64         `json:"turns_deg"`
	Up             Triple             `json:"up"`
	Rotation       mesh.Matrix        `json:"rotation"`
	GreenSizeMM    Triple             `json:"green_size_mm"`
	SinteredSizeMM Triple             `json:"sintered_size_mm"`
	Measures       Measures           `json:"measures"`
	Dimensions     []DimensionOutcome `json:"critical_dimensions,omitempty"`
	// CheckSizes are what a caliper can take, Masses those of the part on its way.
	CheckSizes []CheckSize `json:"check_sizes"`
	Masses     Masses      `json:"masses"`
	Gates      []Gate      `json:"gates"`
	// FurnaceAdvice is on laying the part down as printed, RestingPose how to
	// lay it down.
	FurnaceAdvice []string      `json:"furnace_advice"`
	RestingPose   RestingReport `json:"resting_pose"`
	// PropPlan is on what carries it in the furnace, in the pose to take.
	PropPlan *PropPlan `json:"prop_plan,omitempty"`
	// SupportPlan is on the overhang regions.
	SupportPlan *support.Record `json:"support_plan,omitempty"`
	OnFront     bool            `json:"on_pareto_front"`
	Cost        float64         `json:"cost"`
	FirstShare  float64         `json:"first_share_of_weightings"`
	// Terms are the shares of the cost, 0 to 1, by priority, before weighting.
	Terms   map[string]float64 `json:"cost_terms"`
	Reasons []string           `json:"reasons"`
}

// ElapsedReport is the time each stage took, seconds.
type ElapsedReport struct {
	Read     float64 `json:"read"`
	Search   float64 `json:"search"`
	Furnace  float64 `json:"furnace"`
	Supports float64 `json:"supports"`
	Pictures float64 `json:"pictures"`
	Total    float64 `json:"total"`
}

// NewReport gives the advice in the form of advice.json. The time for reading
// and pictures is the caller's to fill in.
func NewReport(a *Advice) Report {
	r := Report{Part: partReport(a.AsRead()), Stock: stockReports(a.Brief.Marks.Stock), CouponArms: a.CouponArms(), Process: processReport(&a.Brief), Notes: orEmpty(a.Notes)}
	for i := range a.Candidates {
		c := candidateReport(a, &a.Candidates[i])
		c.RestingPose.Advice = orEmpty(a.LayingAdvice(&a.Candidates[i]))
		r.Candidates = append(r.Candidates, c)
	}
	r.Elapsed.Search, r.Elapsed.Furnace = a.Elapsed.Search.Seconds(), a.Elapsed.Furnace.Seconds()
	r.Elapsed.Supports = a.Elapsed.Supports.Seconds()
	return r
}

// Write writes the report as indented JSON.
func (r Report) Write(w io.Writer) error {
	e := json.NewEncoder(w)
	e.SetIndent("", "  ")
	e.SetEscapeHTML(false)
	return e.Encode(r)
}

// SetTotal fills in the time since begin.
func (r *Report) SetTotal(begin time.Time) { r.Elapsed.Total = time.Since(begin).Seconds() }

func partReport(p *mesh.Part) PartReport {
	return PartReport{
		File: p.File, SHA256: p.SHA256, Unit: string(p.Unit), UnitAssumed: p.UnitAssumed,
		Facets: len(p.Mesh.Facets), SizeMM: triple(p.Mesh.Bounds().Size()),
		VolumeMM3: p.Mesh.Volume(), AreaMM2: p.Mesh.Area(), Watertight: p.Health.Watertight,
		Findings: orEmpty(slices.Concat(p.Notes, p.Health.Findings, p.Health.Repairs)),
	}
}

func processReport(b *Brief) ProcessReport {
	m := &b.Material
	weights := b.Priorities
	if weights == (Priorities{}) {
		weights = DefaultPriorities()
	}
	priorities := map[string]float64{}
	for _, p := range AllPriorities() {
		priorities[p.Key()] = weights[p]
	}
	return ProcessReport{
		Material: m.Name, Printer: b.Printer.Name, Furnace: b.Furnace.Name,
		Shrinkage: m.Shrinkage, ShrinkageSpread: m.ShrinkageSpread, Oversize: m.Oversize(),
		OverhangLimitDeg: m.OverhangLimitDeg, LayerHeightMM: m.LayerHeightMM, LineWidthMM: m.LineWidthMM,
		LargestWallSinteredMM: b.largestWallSinteredMM(), SmallestWallSinteredMM: b.smallestWallSinteredMM(),
		CreepCompliancePerPa: m.Creep.CompliancePerPa, CreepLowPerPa: m.Creep.ComplianceLowPerPa,
		CreepHighPerPa: m.Creep.ComplianceHighPerPa, CreepCalibrated: m.Creep.Calibrated,
		FurnacePoisson: m.Creep.Poisson, FurnaceDensityKGM3: m.Creep.DensityKGM3,
		Priorities: priorities, Seed: b.Seed,
	}
}

func candidateReport(a *Advice, c *Candidate) CandidateReport {
	terms := map[string]float64{}
	for _, t := range c.Terms {
		terms[t.Priority.Key()] = t.Value
	}
	var plan *support.Record
	if c.Plan != nil {
		record := c.Plan.Record()
		plan = &record
	}
	return CandidateReport{
		SupportPlan: plan, PropPlan: c.propRecord(),
		Rank: c.Rank, Origin: c.Origin, Name: c.Name, Notation: c.Notation, TurnsDeg: c.Pose.Turns(),
		Up: triple(c.Pose.Up()), Rotation: c.Pose.Rotation,
		GreenSizeMM: triple(c.GreenSize), SinteredSizeMM: triple(c.SinteredSize), Measures: c.Measures, Dimensions: c.Dimensions,
		FurnaceAdvice: orEmpty(c.FurnaceAdvice), RestingPose: restingReport(c),
		CheckSizes: a.CheckSizes(c), Masses: a.Masses(), Gates: c.Gates, OnFront: c.OnFront, Cost: c.Cost, FirstShare: c.FirstShare, Terms: terms, Reasons: orEmpty(c.Reasons),
	}
}

// orEmpty writes a missing list as [] and not as null.
func orEmpty(s []string) []string {
	if s == nil {
		return []string{}
	}
	return s
}
