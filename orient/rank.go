package orient

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/orient/mark"
)

// yardstick turns measures into terms between 0 and 1 that do not depend on
// which other candidates there are: each measure is held against the part
// itself or a limit of the record. The knees (where a term reaches one half) are
// judgement.
type yardstick struct {
	greenVolume float64 // mm3
	greenArea   float64 // mm2
	side        float64 // root mean square of the overall dimensions, mm
	bareTimeS   float64 // print time of the part alone
	layer       float64
	supportFill float64
	allowedSag  float64
	bond        float64 // strength across the layers over along
	marks       *mark.Marks
	least       unavoidable
}

const (
	supportKnee = 0.3   // support steel plus scar, as shares of the part
	spreadKnee  = 0.008 // one standard deviation of a dimension, as a share of it
	timeKnee    = 0.5   // extra print time, as a share of the part's own
	raftWork    = 0.15  // parting a leaning part from its raft, as support steel over the part
	scarWeight  = 10    // scar on a face to keep clean, against other scar
	outOfTrue   = 1     // three standard deviations of the worst critical dimension over its tolerance
	setProp     = 0.01  // a prop to cut, set and take out again, or to saw off, as cost
	laidAnew    = 0.04  // taking the supports off a green part and laying it down on another face, as cost
	unsteady    = 0.02  // a tip angle of nothing against one of any size, as cost; half of it at tipKnee
	tipKnee     = 20    // degrees
	noFoot      = 0.1   // no foot on the plate against one that the height asks for, as cost
	narrowFoot  = 0.01  // no foot against the whole surface, as cost; half of it at footKnee
	footKnee    = 0.1   // foot as a share of the surface
	offTheFoot  = 1     // sag over the allowed that resting on another face is held to be worth
)

func newYardstick(s *subject, b Brief) yardstick {
	o := b.oversizeOf()
	volume := math.Abs(s.solid.Volume) * o.X * o.Y * o.Z
	mat := &b.Material
	section := mat.LayerHeightMM * mat.LineWidthMM
	return yardstick{
		greenVolume: max(volume, 1e-9),
		greenArea:   max(s.area*math.Pow(o.X*o.Y*o.Z, 2.0/3), 1e-9),
		side:        max(s.box.diagonal()/math.Sqrt(3), 1e-9),
		bareTimeS:   max(volume/section/b.Printer.SpeedMMS*b.Printer.TravelOverhead, 1e-9),
		layer:       mat.LayerHeightMM,
		supportFill: mat.SupportDensity,
		allowedSag:  mat.AllowedSagMM,
		bond:        mat.LayerBond,
		marks:       &b.Marks,
	}
}

// values gives the terms, one for each priority, 0 (no cost) to 1. Where the user
// has marked what matters, the marks decide in place of the part as a whole.
// The sag is that of the pose to be laid down in.
func (y *yardstick) values(m *Measures, dimensions []DimensionOutcome, lies *Lying) [priorityCount]float64 {
	steel := (m.SupportVolumeMM3*y.supportFill+m.RaftMM3)/y.greenVolume + (m.SupportContactMM2+scarWeight*m.MarkedScarMM2)/y.greenArea
	if m.RaftMM3 > 0 {
		steel += raftWork
	}
	if m.GreenMassG > 0 {
		steel += m.BlockMassG / m.GreenMassG
	}
	sag := lies.SagMM/y.allowedSag + offTheFoot*(1-m.FootShare)
	extra := max(m.PrintTimeS/y.bareTimeS-1, 0)
	return [priorityCount]float64{
		LessSupport:       saturate(steel, supportKnee),
		TruerDimensions:   y.untrue(m, dimensions),
		LessSag:           saturate(sag, 1),
		ShorterPrint:      saturate(extra, timeKnee),
		SmootherFaces:     min(y.steps(m)/y.layer, 1),
		StrongerAlongLoad: y.weakness(m),
	}
}

// handicap is what weighs against a candidate beside gates and cost: the handling of one
// that is laid down on another face, a print that stands on a point or an edge, and, to
// tell those apart that are alike otherwise, a tip angle that is smaller and a foot that is
// narrower.
func (y *yardstick) handicap(m *Measures, lies *Lying) float64 {
	out := noFoot*m.foot.short() + unsteady*(1-saturate(m.TipAngleDeg, tipKnee)) + narrowFoot*(1-saturate(m.FootprintMM2/y.greenArea, footKnee))
	if !lies.AsPrinted {
		out += laidAnew
	}
	return out + setProp*float64(lies.Propped)
}

// untrue is the term of the dimensions: of the worst critical one, or of the
// overall ones where none is marked.
func (y *yardstick) untrue(m *Measures, dimensions []DimensionOutcome) float64 {
	if len(dimensions) == 0 {
		return saturate(m.DimensionSpreadMM/y.side, spreadKnee)
	}
	var worst float64
	for i := range dimensions {
		worst = max(worst, dimensions[i].untrue())
	}
	return saturate(worst, outOfTrue)
}

// steps is the step height that counts, mm.
func (y *yardstick) steps(m *Measures) float64 {
	if marksAny(y.marks, mark.Smooth) {
		return m.MarkedStepMM
	}
	return m.StepHeightMM
}

// weakness is 0 for a load along the layers and 1 for one across them.
func (y *yardstick) weakness(m *Measures) float64 {
	if y.bond >= 1 {
		return 0
	}
	return min(max((1-m.LoadStrength)/(1-y.bond), 0), 1)
}

func marksAny(m *mark.Marks, k mark.Kind) bool {
	return m != nil && slices.ContainsFunc(m.Faces, func(f mark.Face) bool { return f.Kind == k && len(f.Facets) > 0 })
}

// saturate maps 0..infinity to 0..1 with one half at the knee.
func saturate(x, knee float64) float64 { return x / (x + knee) }

// cost weighs the values by the normalised priorities.
func cost(values [priorityCount]float64, weights Priorities) float64 {
	var sum float64
	for i, v := range values {
		sum += v * weights[i]
	}
	return sum
}

// rank judges, orders and numbers the candidates: by grade first, so that what fails
// never comes before what passes and what falls over comes last; among those that
// pass the Pareto set first, then by cost; among others by what is missed and by how
// much, and the cost. The order of equal ones does not depend on the order given.
func rank(all []Candidate, y yardstick, b Brief) {
	weights := b.Priorities.normalised()
	for i := range all {
		c := &all[i]
		lies := c.Lies()
		c.verdict = b.judge(&c.Measures, c.plate, lies)
		c.verdict.least, c.verdict.handicap = y.least, y.handicap(&c.Measures, lies)
		c.Gates = b.gates(c, &c.verdict)
		values := y.values(&c.Measures, c.Dimensions, lies)
		c.Terms = c.Terms[:0:0]
		for p, v := range values {
			c.Terms = append(c.Terms, Term{Priority: Priority(p), Value: v, Weight: weights[p]})
		}
		c.Cost = cost(values, weights)
	}
	markFront(all)
	slices.SortStableFunc(all, compareCandidates)
	if b.isCoupon() { // how it stands is settled; a direction that is given is only measured
		slices.SortStableFunc(all, asLoadedFirst)
	}
	for i := range all {
		all[i].Rank = i + 1
	}
}

// compareCandidates puts the better one first.
func compareCandidates(a, b Candidate) int {
	front := 0
	if a.verdict.grade() == gradePasses {
		front = compareFront(&a, &b)
	}
	return cmp.Or(
		cmp.Compare(a.verdict.grade(), b.verdict.grade()),
		front,
		cmp.Compare(a.merit(), b.merit()),
		compareVec(a.Pose.Up(), b.Pose.Up()),
	)
}

// merit is what counts within a grade: what is missed, the handicap and the cost.
func (c *Candidate) merit() float64 { return c.verdict.weight() + c.Cost }

func compareFront(a, b *Candidate) int {
	if a.OnFront == b.OnFront {
		return 0
	}
	if a.OnFront {
		return -1
	}
	return 1
}

func compareVec(a, b r3.Vec) int {
	return cmp.Or(cmp.Compare(a.X, b.X), cmp.Compare(a.Y, b.Y), cmp.Compare(a.Z, b.Z))
}

// markFront finds the Pareto set: who no other one of the same grade or a better one
// outdoes, what is missed of the gates and the handicap, but for what only breaks ties,
// being more things to be good in.
func markFront(all []Candidate) {
	for i := range all {
		a := &all[i]
		a.OnFront = !slices.ContainsFunc(all, func(b Candidate) bool {
			return b.verdict.grade() <= a.verdict.grade() && b.verdict.burden() <= a.verdict.burden()+frontSlack &&
				b.verdict.handicap <= a.verdict.handicap+unsteady+narrowFoot && dominates(b.Terms, a.Terms)
		})
	}
}

// dominates reports whether a is at least as good in all and better in one.
func dominates(a, b []Term) bool {
	better := false
	for i := range a {
		if a[i].Value > b[i].Value+frontSlack {
			return false
		}
		better = better || a[i].Value < b[i].Value-frontSlack
	}
	return better
}

// frontSlack is the difference in a term that means nothing.
const frontSlack = 1e-6
