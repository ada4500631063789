package orient

import (
	"context"
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
	"kilnpoise/orient/furnace"
	"kilnpoise/orient/mark"
	"kilnpoise/orient/support"
)

// subject is a part made ready for measuring: one level of detail of it with
// what does not depend on the direction. It is never changed, and shared by all
// gauges.
type subject struct {
	mesh *mesh.Mesh
	// exact is true for the part itself, false for a coarser level. base is how
	// near the plate a facet counts as resting, mm.
	exact      bool
	base       float64
	hull       []r3.Vec
	closed     bool
	partFacets int     // how many facets the part has
	from       []int32 // the facet of the part that each facet was; nil for the part itself
	cavity     []bool  // per facet of mesh; nil when there is none
	solid      mesh.Solid
	area       float64
	walls      mesh.Walls  // empty when they could not be measured
	bodies     []looseBody // those that do not touch; nil where the part is one
	// box gives the overall dimensions.
	box ownBox
}

// gauge measures directions one after another with the same memory. Each
// goroutine needs its own.
type gauge struct {
	// ctx ends long readings: what is read after its end is of no account. nil never
	// ends.
	ctx     context.Context
	brief   Brief
	subject *subject
	stance  support.Stance
	columns mesh.Columns
	beams   furnace.BeamReader
	contact []r2.Vec
	hull    []r3.Vec // as the stance has it
	foot    []bool   // facets of the preferred foot; nil when none is marked
}

// mostLayers is how many crossings a line through an open surface has in the mean before
// fewer lines are cast: what has more is a heap of facets (judgement).
const mostLayers = 64

func newGauge(s *subject, b Brief) *gauge {
	g := &gauge{brief: b, subject: s}
	if !s.closed { // of a closed part the support is told with its error, which asks for all lines
		g.columns.Layers = mostLayers
	}
	g.stance.KeepClean = s.marked(&b.Marks, mark.KeepClean)
	g.stance.Smooth = s.marked(&b.Marks, mark.Smooth)
	g.foot = s.marked(&b.Marks, mark.Foot)
	return g
}

// reading is what the gauge finds out about one pose.
type reading struct {
	pose       Pose
	measures   Measures
	greenSize  r3.Vec
	finished   r3.Vec
	dimensions []DimensionOutcome
	stand      furnace.Stand // as printed, at finished size
}

// readFace is read for a pose on a resting face of the hull. A coarse level of
// detail may have lost the face, so how the part stands comes from the hull.
func (g *gauge) readFace(p Pose, lines int, face *restingFace) reading {
	r := g.read(p, lines)
	if face == nil || g.subject.exact {
		return r
	}
	linear := p.linear()
	g.contact = g.contact[:0]
	for _, v := range face.corners {
		c := linear.MulVec(v)
		g.contact = append(g.contact, r2.Vec{X: c.X, Y: c.Y})
	}
	r.measures.FootprintMM2 = face.footMM2 * p.Oversize.X * p.Oversize.Y // the face is level, so it grows by these
	g.standOn(&r, g.contact)
	g.held(&r)
	g.lean(&r)
	return r
}

// read measures one pose with about lines columns.
func (g *gauge) read(p Pose, lines int) reading {
	g.stand(p)
	g.stance.Columns(&g.columns, lines)
	return g.reading(p)
}

// readOver measures the last pose read turned over, see Pose.over: the lines
// through the part are the same, seen from the other end.
func (g *gauge) readOver(p Pose) reading {
	g.stand(p)
	g.columns.Overturn(g.stance.Hi.Z)
	return g.reading(p)
}

// stand stands the part on the plate.
func (g *gauge) stand(p Pose) {
	g.stance.BaseTolerance = g.subject.base
	g.stance.Set(g.subject.mesh, p.linear(), g.brief.Material.OverhangLimitDeg)
}

// reading measures the pose that the stance and the columns show.
func (g *gauge) reading(p Pose) reading {
	size := r3.Sub(g.stance.Hi, g.stance.Lo)
	r := reading{pose: p, greenSize: size}
	r.finished = r3.Vec{X: size.X / p.Oversize.X, Y: size.Y / p.Oversize.Y, Z: size.Z / p.Oversize.Z}
	g.printing(&r)
	g.standing(&r)
	g.held(&r)
	g.lean(&r)
	g.sagging(&r)
	g.debinding(&r)
	g.marks(&r)
	r.measures.DimensionSpreadMM = g.dimensionSpread(p)
	r.dimensions = g.dimensions(p)
	return r
}

// readFinely measures one pose with so many columns that the support volume
// moves little when they are doubled both ways, and says how far it is off.
func (g *gauge) readFinely(p Pose) reading {
	const (
		first = 256 * 256
		last  = 2048 * 2048
		// The promise is that doubling once more moves the volume by under 1 %.
		enough = 0.008
		// Where so many faces lie over one another that the columns are no
		// longer made much finer when more are asked for, asking is no use.
		finer = 1.5
	)
	r := g.read(p, shortListLines)
	m := &r.measures
	before, had := m.SupportVolumeMM3, g.columns.NX*g.columns.NY
	for lines := first; lines <= last && before > 0 && !g.ended(); lines *= 4 {
		g.stance.Columns(&g.columns, lines)
		g.supports(&r)
		have := g.columns.NX * g.columns.NY
		ratio := math.Sqrt(float64(have) / float64(had))
		m.SupportErrorMM3 = gridError(m.SupportVolumeMM3-before, ratio)
		m.SupportUnsettled = lines == first || m.SupportErrorMM3 > enough*m.SupportVolumeMM3
		if !m.SupportUnsettled || ratio < finer {
			break
		}
		before, had = m.SupportVolumeMM3, have
	}
	g.printTime(&r)
	if !g.ended() {
		g.firing(&r)
	}
	return r
}

// until has the gauge leave off when ctx ends: what it reads is then of no use.
func (g *gauge) until(ctx context.Context) { g.ctx, g.columns.Context = ctx, ctx }

// ended reports whether the reading is no longer wanted.
func (g *gauge) ended() bool { return g.ctx != nil && g.ctx.Err() != nil }

// gridError gives how far the finer of two grids is off, from how much it moved
// the answer and how many times as fine it is each way. The error falls at least
// as the width of the cells does: what is left is then at most the move over the
// ratio less one (Richardson extrapolation of the first order).
func gridError(move, ratio float64) float64 {
	const least = 1.02 // grids as good as equal tell nothing
	return math.Abs(move) / (max(ratio, least) - 1)
}

// firing fills in how the part stands through the firing, at finished size.
func (g *gauge) firing(r *reading) {
	m := &r.measures
	s := furnace.Standing(r.pose.Sintered(g.subject.mesh), g.brief.creep(), mesh.Matrix{}, g.brief.Furnace.Friction)
	m.DragStrain, m.ElephantFootMM = bounded(s.DragStrain, 1), s.ElephantFootMM
	s.TravelMM, s.TipAngleDeg, s.Lean = m.SetterTravelMM, m.TipAngleDeg, m.lean()
	r.stand = s
}

// mostLean bounds the factor by which a lean grows.
const mostLean = 1000

// lean gives the measures of leaning as the furnace has them.
func (m *Measures) lean() furnace.Lean {
	return furnace.Lean{Growth: m.LeanGrowth, Low: m.LeanGrowthLow, High: m.LeanGrowthHigh}
}

func (m *Measures) takeLean(l furnace.Lean, method string) {
	m.LeanMethod = method
	m.LeanGrowth = bounded(l.Growth, mostLean)
	m.LeanGrowthLow, m.LeanGrowthHigh = bounded(l.Low, mostLean), bounded(l.High, mostLean)
}

// bounded bounds a factor that grows beyond meaning; what cannot be told is as bad.
func bounded(v, bound float64) float64 {
	if !(v <= bound) {
		return bound
	}
	return v
}

// printing fills in what the printer sees.
func (g *gauge) printing(r *reading) {
	m, mat := &r.measures, &g.brief.Material
	m.OverhangAreaMM2 = g.stance.OverhangArea
	m.FootprintMM2 = g.stance.BaseArea
	m.HeightMM = r.greenSize.Z
	m.Layers = int(math.Ceil(m.HeightMM/mat.LayerHeightMM - 1e-6))
	m.StepHeightMM = mat.LayerHeightMM * g.stance.MeanSlope
	green := g.greenVolume()
	m.partMM3 = green
	m.GreenMassG = mat.GreenMassG(green)
	m.FilamentLengthM = mat.FilamentLengthM(green)
	g.supports(r)
	g.printTime(r)
}

// supports fills in what depends on the columns under the overhangs.
func (g *gauge) supports(r *reading) {
	m, mat := &r.measures, &g.brief.Material
	v := g.stance.Measure(&g.columns, g.subject.closed, g.subject.cavity)
	m.SupportVolumeMM3 = v.Whole
	m.SupportOnPartMM3 = v.OnPart
	m.OutOfReachMM3 = v.InCavity
	m.SupportContactMM2 = v.Contact(&g.stance)
	m.MarkedScarMM2 = v.CleanScar(&g.stance)
	m.SupportMassG = mat.GreenMassG(v.Whole * mat.SupportDensity)
}

// greenVolume is the oversized part's, mm3; the size of it where an open mesh
// turned inside out gives a negative one.
func (g *gauge) greenVolume() float64 {
	o := g.brief.oversizeOf()
	return math.Abs(g.subject.solid.Volume) * o.X * o.Y * o.Z
}

// printTime estimates the hours at the printer.
func (g *gauge) printTime(r *reading) {
	volume := g.greenVolume() + r.measures.SupportVolumeMM3*g.brief.Material.SupportDensity
	r.measures.PrintTimeS = g.brief.depositS(volume) + float64(r.measures.Layers)*layerChangeS
}

// depositS estimates how long it takes to lay down so much, mm3: the length of
// extruded line over the speed, times the record's overhead for travel and slow
// corners.
func (b *Brief) depositS(volume float64) float64 {
	section := b.Material.LayerHeightMM * b.Material.LineWidthMM
	return volume / section / b.Printer.SpeedMMS * b.Printer.TravelOverhead
}

// layerChangeS is the pause at each layer change, seconds (judgement).
const layerChangeS = 2

// standing fills in how the part stands: the polygon on the plate and the tilt
// that tips it.
func (g *gauge) standing(r *reading) { g.standOn(r, g.contactPoints()) }

// standOn is standing on the hull of the given points of the plate.
func (g *gauge) standOn(r *reading, contact []r2.Vec) {
	outline := mesh.Outline(contact)
	com := g.centerOfMass(r.pose)
	r.measures.TipAngleDeg = 0
	if len(outline) > 2 || g.subject.exact { // only at full detail is a point known to be the end of a round
		r.measures.TipAngleDeg = furnace.StandingDeg(g.standingHull(r.pose), outline, com)
	}
	s := g.brief.Material.Shrinkage
	r.measures.SetterTravelMM = furnace.SetterTravelMM(outline, r2.Vec{X: s[0], Y: s[1]})
	r.measures.foot, r.measures.tips = foothold{areaMM2: r.measures.FootprintMM2, heightMM: r.measures.HeightMM}, ""
	if len(g.subject.bodies) > 1 {
		worst := g.subject.bodiesStand(r.pose.linear(), g.brief.Material.SmallestTipDeg)
		r.measures.TipAngleDeg, r.measures.tips, r.measures.foot, r.measures.fallen = worst.tipDeg, worst.tips, worst.foot, worst.fallen
	}
	r.measures.LeastFootMM2, r.measures.AskedFootMM2 = r.measures.foot.areaMM2, r.measures.foot.askedMM2()
}

// standingHull gives the hull as the stance has it.
func (g *gauge) standingHull(p Pose) []r3.Vec {
	linear := p.linear()
	g.hull = g.hull[:0]
	for _, v := range g.subject.hull {
		g.hull = append(g.hull, r3.Add(linear.MulVec(v), g.stance.Shift))
	}
	return g.hull
}

// held fills in how the part stands while it is printed with its supports, which then
// share a raft with it, where it does not stand without or has too little of a foot.
func (g *gauge) held(r *reading) {
	m := &r.measures
	m.HeldTipDeg, m.RaftMM3 = 0, 0
	stands := m.TipAngleDeg >= g.brief.Material.SmallestTipDeg
	if stands && m.foot.short() == 0 {
		return
	}
	feet := g.contactPoints()
	for _, v := range g.standingHull(r.pose) {
		if v.Z <= support.BaseTolerance {
			feet = append(feet, r2.Vec{X: v.X, Y: v.Y})
		}
	}
	dx, dy := g.columns.DX/2, g.columns.DY/2
	g.stance.EachSupport(&g.columns, g.subject.closed, func(x, y, bottom, _ float64) {
		if bottom <= support.BaseTolerance {
			feet = append(feet, r2.Vec{X: x - dx, Y: y - dy}, r2.Vec{X: x + dx, Y: y + dy})
		}
	})
	outline := mesh.Outline(feet)
	m.HeldTipDeg = max(furnace.TipAngleDeg(outline, g.centerOfMass(r.pose)), m.TipAngleDeg)
	if m.HeldTipDeg > 0 {
		b := support.DefaultBodySettings()
		m.RaftMM3 = b.RaftMM * grownArea(outline, b.RaftMarginMM)
	}
}

// grownArea is the area of a convex outline grown by a margin all round (Steiner).
func grownArea(outline []r2.Vec, margin float64) float64 {
	var area, around float64
	for i, p := range outline {
		q := outline[(i+1)%len(outline)]
		area += r2.Cross(p, q) / 2
		around += r2.Norm(r2.Sub(q, p))
	}
	return area + around*margin + math.Pi*margin*margin
}

// lean fills in how a lean would grow, from the surface as the stance has it.
func (g *gauge) lean(r *reading) {
	m := &r.measures
	m.LeanGrowth, m.LeanGrowthLow, m.LeanGrowthHigh, m.LeanMethod = 1, 1, 1, LeanByColumn
	if m.TipAngleDeg <= 0 {
		return
	}
	o := r.pose.Oversize
	finished := r3.Vec{X: 1 / o.X, Y: 1 / o.Y, Z: 1 / o.Z}
	green := mesh.Mesh{Vertices: g.stance.Vertices, Facets: g.stance.Facets}
	m.takeLean(furnace.LeanOf(&green, finished, g.greenVolume(), g.centerOfMass(r.pose).Z, g.brief.creep()), LeanByColumn)
}

// contactPoints gives the corners of the facets on the plate.
func (g *gauge) contactPoints() []r2.Vec {
	g.contact = g.contact[:0]
	for i, k := range g.stance.Kinds {
		if k != support.Base {
			continue
		}
		for _, v := range g.stance.Facets[i] {
			p := g.stance.Vertices[v]
			g.contact = append(g.contact, r2.Vec{X: p.X, Y: p.Y})
		}
	}
	return g.contact
}

// centerOfMass gives that of the green part as the stance has it, mm.
func (g *gauge) centerOfMass(p Pose) r3.Vec {
	return r3.Add(p.linear().MulVec(g.subject.solid.Centroid), g.stance.Shift)
}

// sagging fills in the beam estimate, for the middle, low and high compliance.
func (g *gauge) sagging(r *reading) {
	o, creep := r.pose.Oversize, g.brief.Material.Creep
	finished := r3.Vec{X: 1 / o.X, Y: 1 / o.Y, Z: 1 / o.Z}
	b := g.beams.Read(&g.columns, finished, creep.CompliancePerPa, creep.DensityKGM3)
	m := &r.measures
	m.SagMM = b.SagMM
	m.SagLowMM = b.SagMM * creep.ComplianceLowPerPa / creep.CompliancePerPa
	m.SagHighMM = b.SagMM * creep.ComplianceHighPerPa / creep.CompliancePerPa
	m.SagSpanMM = b.SpanMM()
	m.SagCollapses = m.SagMM > m.SagSpanMM/10 && m.SagMM > 0
	m.SagMethod = SagByBeam
	middle := r3.Scale(0.5, r3.Add(g.stance.Lo, g.stance.Hi))
	m.SagAtMM = triple(r3.Vec{
		X: b.At.X - middle.X*finished.X, Y: b.At.Y - middle.Y*finished.Y, Z: b.At.Z,
	})
}

// How the sag of a candidate was found, as written to JSON.
const (
	SagByBeam   = "beam estimate"
	SagBySolver = "solved"
)

// How the growth of a lean was found, as written to JSON: as that of an even column
// with the weakest section, or by the eigenvalue of the part itself.
const (
	LeanByColumn = "column estimate"
	LeanBySolver = "solved"
)

// dimensionSpread is the root mean square, over the part's three overall
// dimensions, of one standard deviation of each, mm.
func (g *gauge) dimensionSpread(p Pose) float64 {
	var sum float64
	for k, side := range g.subject.box.sides {
		d := lengthSpread(side, p.Rotation.MulVec(g.subject.box.axes.Row(k)), &g.brief.Material)
		sum += d * d
	}
	return math.Sqrt(sum / 3)
}
