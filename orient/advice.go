// Package orient works out which way up a part is printed and how it stands in
// the furnace. It samples build directions, measures each on the green part,
// gates and ranks them, and says why in sentences.
//
// Two frames matter (see mesh for the part frame): the print frame, Z up from
// the plate, where the oversized green part stands; and the furnace frame, Z up
// from the setter. Measures about printing are taken in the first, measures
// about sintering in the second.
package orient

import (
	"fmt"
	"math"
	"time"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
	"kilnpoise/orient/furnace"
	"kilnpoise/orient/support"
)

// Origin says where a candidate came from.
type Origin string

// The origins of candidates, as written to JSON.
const (
	FromSearch Origin = "search"
	Given      Origin = "given"
	AsLoaded   Origin = "as-loaded"
)

// Pose is how the part stands on the plate: first turned, then oversized along
// the axes of the print frame.
type Pose struct {
	// Rotation maps the part frame to the print frame, before oversizing.
	Rotation mesh.Matrix
	// Oversize is the factor along each axis of the print frame.
	Oversize r3.Vec
}

// Up gives the build direction in the part frame, a unit vector.
func (p Pose) Up() r3.Vec { return p.Rotation.Row(2) }

// Green gives the oversized part in the print frame: standing on z = 0 and
// centred on the origin in x and y.
func (p Pose) Green(m *mesh.Mesh) *mesh.Mesh {
	return stood(m.Transform(mesh.Diagonal(p.Oversize).Mul(p.Rotation), r3.Vec{}))
}

// Sintered gives the part at its finished size in the same pose, standing on
// z = 0 and centred on the origin in x and y.
func (p Pose) Sintered(m *mesh.Mesh) *mesh.Mesh {
	return stood(m.Transform(p.Rotation, r3.Vec{}))
}

// stood moves m, in place, onto the plane z = 0 and centres it in x and y.
func stood(m *mesh.Mesh) *mesh.Mesh {
	b := m.Bounds()
	c := b.Center()
	shift := r3.Vec{X: -c.X, Y: -c.Y, Z: -b.Min.Z}
	for i, v := range m.Vertices {
		m.Vertices[i] = r3.Add(v, shift)
	}
	return m
}

// Measures are what one candidate costs. Printing is measured on the green part
// in the print frame, sintering on the finished size in the furnace frame.
type Measures struct {
	OverhangAreaMM2  float64 `json:"overhang_area_mm2"`
	SupportVolumeMM3 float64 `json:"support_volume_mm3"`
	// SupportErrorMM3 is the estimated error of SupportVolumeMM3, from two grids.
	// SupportUnsettled says that it is more than a hundredth although no finer grid
	// was affordable.
	SupportErrorMM3   float64 `json:"support_volume_error_mm3"`
	SupportUnsettled  bool    `json:"support_volume_unsettled"`
	SupportContactMM2 float64 `json:"support_contact_mm2"`
	SupportOnPartMM3  float64 `json:"support_on_part_mm3"`
	// SupportMassG is estimated from the envelope; once the supports are planned it is
	// that of the bodies that are handed over, and so are BlockMassG and RaftMassG.
	SupportMassG float64 `json:"support_mass_g"`
	BlockMassG   float64 `json:"block_mass_g"`
	RaftMassG    float64 `json:"raft_mass_g"`
	// OutOfReachMM3 is support in closed cavities and, once the supports are
	// planned, all that the cutter does not get at; OutOfReachAtMM is where most
	// of it is, on the green part in the print frame.
	OutOfReachMM3  float64 `json:"out_of_reach_support_mm3"`
	OutOfReachAtMM Triple  `json:"out_of_reach_at_mm"`
	HeightMM       float64 `json:"height_mm"`
	Layers         int     `json:"layers"`
	PrintTimeS     float64 `json:"print_time_s"` // estimate
	FootprintMM2   float64 `json:"footprint_mm2"`
	// LeastFootMM2 is the footprint, of several bodies that do not touch that of the one
	// with the least for its height, and AskedFootMM2 what the height asks for.
	LeastFootMM2      float64 `json:"least_foot_mm2"`
	AskedFootMM2      float64 `json:"asked_foot_mm2"`
	TipAngleDeg       float64 `json:"tip_angle_deg"`
	StepHeightMM      float64 `json:"step_height_mm"`
	DimensionSpreadMM float64 `json:"dimension_spread_mm"`
	SetterTravelMM    float64 `json:"setter_travel_mm"`
	// HeldTipDeg is the tip angle while it is printed with its supports standing on a
	// raft; 0 where no support reaches the plate. RaftMM3 is the volume of the raft
	// that it then needs; 0 where it stands by itself.
	HeldTipDeg float64 `json:"tip_angle_with_supports_deg"`
	RaftMM3    float64 `json:"raft_volume_mm3"`
	// LeanGrowth is the factor by which an initial lean grows by creep, at most
	// 1000, with the range from the low and high compliance; DragStrain what friction on the setter pulls the foot out by;
	// ElephantFootMM by how much the base widens. All are estimates.
	LeanGrowth     float64 `json:"lean_growth"`
	LeanGrowthLow  float64 `json:"lean_growth_low"`
	LeanGrowthHigh float64 `json:"lean_growth_high"`
	// LeanMethod is how they were found.
	LeanMethod     string  `json:"lean_method"`
	DragStrain     float64 `json:"drag_strain"`
	ElephantFootMM float64 `json:"elephant_foot_mm"`
	SagMM          float64 `json:"sag_mm"`
	SagLowMM       float64 `json:"sag_low_mm"`
	SagHighMM      float64 `json:"sag_high_mm"`
	SagAtMM        Triple  `json:"sag_at_mm"`
	SagSpanMM      float64 `json:"sag_span_mm"`
	SagCollapses   bool    `json:"sag_collapses"`
	SagMethod      string  `json:"sag_method"`
	// SagGridErrorMM is the error that the solver's grid makes, estimated from
	// two grids; -1 where it is not known. SagShapeErrorMM is the largest error
	// of shape after the best rigid fit: what a caliper would find. Both are 0
	// for the beam estimate.
	SagGridErrorMM  float64 `json:"sag_grid_error_mm"`
	SagShapeErrorMM float64 `json:"sag_shape_error_mm"`
	// PlannedSag is the sag in the pose to take with the plan's props in place; nil, and
	// left out, where that is not known.
	*PlannedSag
	// MarkedScarMM2 is the area of faces marked to keep clean that supports
	// touch; MarkedStepMM the mean step height on faces marked smooth.
	MarkedScarMM2 float64 `json:"marked_scar_mm2"`
	MarkedStepMM  float64 `json:"marked_step_height_mm"`
	// FootShare is the share of the preferred foot that lies on the plate; 1
	// where none is marked.
	FootShare float64 `json:"preferred_foot_share"`
	// LoadStrength is the strength along the marked load against that along the
	// layers, the weakest of the loads; 1 where none is marked.
	LoadStrength    float64 `json:"strength_along_load"`
	GreenMassG      float64 `json:"green_mass_g"`
	FilamentLengthM float64 `json:"filament_length_m"`
	// ThickestGreenWallMM is what the binder has to leave, on the green part with
	// the factors of the pose, and ThickestWallAtMM its middle on the green part in
	// the print frame. ThickestWallAtCavity is true where it lies beside a closed
	// cavity, which no debinding reaches: it counts twice then, for it debinds from
	// one side only. 0 where the walls could not be measured.
	ThickestGreenWallMM  float64 `json:"thickest_green_wall_mm"`
	ThickestWallAtMM     Triple  `json:"thickest_wall_at_mm"`
	ThickestWallAtCavity bool    `json:"thickest_wall_at_cavity"`
	// ThinnestGreenWallMM is the thinnest wall or pin, with the factors of the pose,
	// and ThinnestWallAtMM its middle on the green part in the print frame; where
	// nothing is a wall it is the thickest place, 0 where it could not be measured.
	ThinnestGreenWallMM float64 `json:"thinnest_green_wall_mm"`
	ThinnestWallAtMM    Triple  `json:"thinnest_wall_at_mm"`
	DebindingLowH       float64 `json:"debinding_low_h"`
	DebindingHighH      float64 `json:"debinding_high_h"`

	foot foothold // the least for its height, where there are several bodies
	tips string   // which of several bodies tips first
	// fallen is the share of several bodies that falls short of the tilt asked for;
	// partMM3 is the volume of the green part.
	fallen, partMM3 float64
}

// Triple is a point or size as three numbers in JSON.
type Triple [3]float64

func triple(v r3.Vec) Triple { return Triple{v.X, v.Y, v.Z} }

// about gives a place to the millimetre in words.
func (t Triple) about() string {
	whole := func(v float64) float64 { return math.Round(v) + 0 } // no minus before a 0
	return fmt.Sprintf("X %.0f, Y %.0f, Z %.0f", whole(t[0]), whole(t[1]), whole(t[2]))
}

// Vec gives t as a vector.
func (t Triple) Vec() r3.Vec { return r3.Vec{X: t[0], Y: t[1], Z: t[2]} }

// Candidate is one orientation with everything measured on it.
type Candidate struct {
	// Rank counts from 1, best first.
	Rank   int
	Origin Origin
	Pose   Pose
	// Name is the pose by what a person sees, no two the same among those shown;
	// Notation writes it after ISO/ASTM 52921, in letters where they apply, otherwise
	// as rotations about the axes.
	Name         string
	Notation     string
	GreenSize    r3.Vec
	SinteredSize r3.Vec
	Measures     Measures
	Gates        []Gate
	// OnFront is true when no other candidate is at least as good in every
	// priority and better in one (the Pareto set).
	OnFront bool
	// Dimensions are the outcomes of the critical dimensions, in their order.
	Dimensions []DimensionOutcome
	// Terms are the measures behind Cost, one for each priority.
	Terms []Term
	// Cost is the weighted mean of the terms, 0 (free) to 1; lower is better.
	Cost float64
	// FirstShare is the share of all weightings of the priorities for which this
	// candidate comes first, 0 to 1: how firm its place is.
	FirstShare float64
	// Reasons are sentences with numbers: what it gains, what it gives up.
	Reasons []string
	// Solved is the solver's answer for the furnace; nil before Advice.Fire, and
	// where Unsolved says why there is none.
	Solved   *furnace.Sag
	Unsolved string
	// FurnaceAdvice says in sentences what to do about how the part stands as printed;
	// empty where nothing is needed.
	FurnaceAdvice []string
	stand         furnace.Stand
	// Plan is the support plan; nil before it was asked for. See Advice.Plan.
	Plan *support.Plan
	// planAsPrinted is true where the plan is for firing it as printed: it is then fired so.
	planAsPrinted bool
	// LeftOut are the regions of the plan that get no support, by number; Unbuilt says
	// why the bodies of the plan cannot be built, and is empty where they can.
	LeftOut []int
	Unbuilt string
	// Props is what carries it in the furnace besides the setter; nil before that is
	// planned, which Advice.PlanSupports does for the first.
	Props *PropPlan
	// Resting is how to lay it down in the furnace; nil where only the pose of
	// the print was looked at.
	Resting *Resting

	print         fingerprint
	plate, setter fitting // as printed
	verdict       verdict
	bare          Measures // before the supports were planned
}

// Passes reports whether all gates are passed.
func (c *Candidate) Passes() bool { return c.State() == Passed }

// State is that of the gate that is furthest from being passed.
func (c *Candidate) State() State {
	worst := Passed
	for _, g := range c.Gates {
		if rankOf(g.State) > rankOf(worst) {
			worst = g.State
		}
	}
	return worst
}

// Falls reports whether it topples over or collapses however it is laid down.
func (c *Candidate) Falls() bool { return c.verdict.falls }

// Term is one priority's share in the cost of a candidate.
type Term struct {
	Priority Priority
	// Value is 0 (no cost) to 1 (as bad as can be).
	Value float64
	// Weight is the user's, normalised so that all sum to 1.
	Weight float64
}

// Advice is the outcome: the candidates, best first, and what they rest on.
type Advice struct {
	Part       *mesh.Part
	Brief      Brief
	Candidates []Candidate
	// Notes are remarks on the whole: doubts from an open mesh, warnings of
	// the process record.
	Notes   []string
	Elapsed Elapsed

	study *Study
	known *known
	sites []site                 // to lie on in the furnace, the best first
	fired map[mesh.Matrix]firing // the solver's answers by rotation
	// firedWith is what they were asked for with.
	firedWith FiringOptions
}

// Elapsed is the time that the stages took.
type Elapsed struct{ Search, Furnace, Supports time.Duration }

// AsLoaded gives the candidate that stands as the file has it.
func (a *Advice) AsLoaded() *Candidate {
	for i := range a.Candidates {
		if a.Candidates[i].Origin == AsLoaded {
			return &a.Candidates[i]
		}
	}
	return nil
}

// Progress is told while the advice is being worked out.
type Progress struct {
	// Stage names what is being done, in words for the screen.
	Stage string
	// Fraction of the whole done, 0 to 1; never falls.
	Fraction float64
	// Leaders are the best so far, complete with measures; nil when unchanged.
	Leaders []Candidate
}
