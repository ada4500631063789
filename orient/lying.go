package orient

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
	"kilnpoise/orient/furnace"
)

// Lying is how a candidate lies in the furnace in one pose: the figures that the
// gates on the furnace are judged by. Lean and sag are estimates.
type Lying struct {
	// AsPrinted is true for the pose of the print.
	AsPrinted bool
	// TipAngleDeg is the smaller one of those before and after the shrinkage.
	TipAngleDeg float64
	// FootprintMM2 is what lies on the setter as it goes in, green.
	FootprintMM2 float64
	TravelMM     float64
	Lean         furnace.Lean
	LeanMethod   string
	// ElephantFootMM, SagMM and the rest are as in Measures.
	ElephantFootMM                        float64
	SagMM, SagLowMM, SagHighMM, SagSpanMM float64
	SagCollapses                          bool
	SagMethod                             string
	SagGridErrorMM, SagShapeErrorMM       float64
	// Propped is how many props of the plan the sag is that on; see Bare.
	Propped int

	bare      *Lying // with nothing under it but the setter; nil where that is this
	foot      foothold
	tips      string  // which of several bodies tips first
	fallen    float64 // the share of them that falls short
	setter    fitting
	greenSize r3.Vec // of the box as it goes in; as printed it is the candidate's
}

// lyingAsPrinted gives the figures of the pose of the print.
func (m *Measures) lyingAsPrinted(setter fitting) Lying {
	return Lying{
		AsPrinted: true, TipAngleDeg: m.TipAngleDeg, FootprintMM2: m.FootprintMM2, TravelMM: m.SetterTravelMM,
		Lean: m.lean(), LeanMethod: m.LeanMethod, ElephantFootMM: m.ElephantFootMM,
		SagMM: m.SagMM, SagLowMM: m.SagLowMM, SagHighMM: m.SagHighMM, SagSpanMM: m.SagSpanMM,
		SagCollapses: m.SagCollapses, SagMethod: m.SagMethod,
		SagGridErrorMM: m.SagGridErrorMM, SagShapeErrorMM: m.SagShapeErrorMM,
		foot: m.foot, tips: m.tips, fallen: m.fallen, setter: setter,
	}
}

// Stands reports whether it stands by itself, if only just: what topples has no lean,
// travel or sag to speak of.
func (l *Lying) Stands() bool { return l.TipAngleDeg > 0 }

// KeepsItsShape reports whether a number for the sag means anything: not for what
// topples, and past small displacements millimetres mean nothing either.
func (l *Lying) KeepsItsShape() bool { return l.Stands() && !l.SagCollapses }

// stand takes over how it stands on another face than that of the print.
func (l *Lying) stand(f *footing) {
	l.AsPrinted, l.TipAngleDeg = false, f.tipDeg
	if f.tips != "" {
		l.tips, l.foot, l.fallen = f.tips, f.foot, f.fallen
	}
}

// takeFoot takes over the foot of a pose other than that of the print; that of the worst
// of several bodies is known already.
func (l *Lying) takeFoot(areaMM2 float64) {
	l.FootprintMM2 = areaMM2
	if l.tips == "" {
		l.foot = foothold{areaMM2: areaMM2, heightMM: l.greenSize.Z}
	}
}

// takeSag takes the solved sag and lean over.
func (l *Lying) takeSag(s *furnace.Sag) {
	l.SagMM, l.SagLowMM, l.SagHighMM = s.MM, s.LowMM, s.HighMM
	l.SagSpanMM, l.SagCollapses, l.SagMethod = s.SpanMM, s.Collapses, SagBySolver
	l.SagGridErrorMM, l.SagShapeErrorMM = s.DiscretisationMM, s.ResidualMM
	if !s.Checked {
		l.SagGridErrorMM = -1
	}
	if s.Lean != nil {
		var m Measures
		m.takeLean(*s.Lean, LeanBySolver)
		l.Lean, l.LeanMethod = m.lean(), m.LeanMethod
	}
}

// site is a flat of the part's hull that it can lie on in the furnace, measured at
// finished size: however it was printed, sintered parts are alike.
type site struct {
	face furnace.Face
	// quick holds the figures of lying there, with the setter judged for a part that
	// grows alike along all axes.
	quick   Lying
	sag     *furnace.Sag // nil until solved
	trouble error        // why it cannot be
}

const (
	// atRestDeg is the tilt that a pose must bear to count as resting (judgement).
	atRestDeg = 2
	// triedSites is how many flats are measured, the steadiest first, and keptSites
	// how many the candidates choose from.
	triedSites = 16
	keptSites  = 6
)

// sites finds the flats that a part can lie on in the furnace, the best first. The
// candidates are those of Zwier and Wits, Procedia CIRP 55 (2016) 128.
func (s *Study) sites(ctx context.Context, b Brief) ([]site, error) {
	if b.isCoupon() {
		return nil, nil
	}
	flats := s.steadyFlats(b.Material.SmallestTipDeg)
	out := make([]site, len(flats))
	verdicts := make([]verdict, len(flats))
	o := b.oversizeOf()
	even := math.Cbrt(o.X * o.Y * o.Z)
	err := each(ctx, s.middle, b, len(flats), func(g *gauge, i int) {
		face := flats[i].face
		pose := b.poseToFit(face.up, s.middle.hull, r3.Vec{X: even, Y: even, Z: even})
		r := g.readFace(Pose{Rotation: pose.Rotation, Oversize: o}, shortListLines, face)
		out[i].face = furnace.Face{Down: r3.Scale(-1, face.up), Corners: face.corners, Lain: pose.Rotation}
		setter, _ := b.setterFit(s.middle.hull, pose.linear())
		out[i].quick = r.measures.lyingAsPrinted(setter)
		out[i].quick.stand(&flats[i].footing)
		verdicts[i] = b.judgeLying(&out[i].quick)
	}, nil)
	if err != nil {
		return nil, err
	}
	order := make([]int, len(out))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(i, j int) int {
		v, w := &verdicts[i], &verdicts[j]
		return cmp.Or(cmp.Compare(v.grade(), w.grade()), cmp.Compare(v.burden(), w.burden()))
	})
	best := make([]site, min(len(order), keptSites))
	for k := range best {
		best[k] = out[order[k]]
	}
	return best, s.standOnSites(ctx, b, best)
}

// standOnSites measures how the whole part stands on each.
func (s *Study) standOnSites(ctx context.Context, b Brief, sites []site) error {
	return each(ctx, s.full, b, len(sites), func(_ *gauge, i int) {
		t := &sites[i]
		lain := stood(s.part.Mesh.Transform(t.face.Lain, r3.Vec{}))
		t.face.Stand = furnace.Standing(lain, b.creep(), mesh.Matrix{}, b.Furnace.Friction)
		t.face.Stand.TipAngleDeg = t.quick.TipAngleDeg
		var m Measures
		m.takeLean(t.face.Stand.Lean, LeanByColumn)
		t.quick.Lean, t.quick.ElephantFootMM = m.lean(), t.face.Stand.ElephantFootMM
	}, nil)
}

// flat is a resting face with how the part, or the worst of its bodies, stands on it at
// finished size.
type flat struct {
	face *restingFace
	footing
}

// steadyFlats gives the faces of the hull on which the part rests, the steadiest
// first; a strip of a round underside is none.
func (s *Study) steadyFlats(leastDeg float64) []flat {
	var out []flat
	for i := range s.faces {
		f := &s.faces[i]
		turn := mesh.RotationBetween(f.up, r3.Vec{Z: 1})
		foot := make([]r2.Vec, len(f.corners))
		low := math.Inf(1)
		for k, v := range f.corners {
			p := turn.MulVec(v)
			foot[k], low = r2.Vec{X: p.X, Y: p.Y}, min(low, p.Z)
		}
		com := turn.MulVec(s.full.solid.Centroid)
		com.Z -= low
		outline := mesh.Outline(foot)
		if furnace.TipAngleDeg(outline, com) < atRestDeg {
			continue
		}
		hull := make([]r3.Vec, len(s.middle.hull))
		for k, v := range s.middle.hull {
			hull[k] = turn.MulVec(v)
			hull[k].Z -= low
		}
		here := flat{f, footing{tipDeg: furnace.StandingDeg(hull, outline, com)}}
		if len(s.full.bodies) > 1 {
			here.footing = s.full.bodiesStand(turn, leastDeg)
		}
		if here.tipDeg >= atRestDeg {
			out = append(out, here)
		}
	}
	slices.SortStableFunc(out, func(a, b flat) int { return cmp.Compare(b.tipDeg, a.tipDeg) })
	return out[:min(len(out), triedSites)]
}

// Resting is how a candidate is laid down in the furnace.
type Resting struct {
	// Poses are those looked at, as printed first.
	Poses []furnace.Pose
	// Chosen is the one to take, Reason why, in a sentence.
	Chosen int
	Reason string

	print furnace.Print
	laid  []Lying // of the poses
}

// Pose gives the pose to take.
func (r *Resting) Pose() *furnace.Pose { return &r.Poses[r.Chosen] }

// Mesh gives the part at finished size as it lies in the pose to take, furnace
// frame.
func (r *Resting) Mesh() *mesh.Mesh { return r.print.Place(*r.Pose()) }

// layDown looks at the candidate in the pose of the print and on every site, and
// chooses.
func (s *Study) layDown(b *Brief, sites []site, least unavoidable, c *Candidate) {
	shrink := b.Material.Shrinkage
	p := furnace.Print{Part: s.part.Mesh, Rotation: c.Pose.Rotation, Shrinkage: r3.Vec{X: shrink[0], Y: shrink[1], Z: shrink[2]}}
	m := &c.Measures
	printed := furnace.Pose{
		AsPrinted: true, Down: r3.Scale(-1, c.Pose.Up()), Turn: mesh.Identity(),
		GreenTipDeg: m.TipAngleDeg, SinteredTipDeg: m.TipAngleDeg, Sag: c.Solved,
	}
	printed.Stand.TravelMM = m.SetterTravelMM
	lies := m.lyingAsPrinted(c.setter)
	c.Props.onto(&printed, &lies)
	r := &Resting{print: p, Poses: []furnace.Pose{printed}, laid: []Lying{lies}}
	for i := range sites {
		t := &sites[i]
		if r3.Dot(t.face.Down, printed.Down) > sameFace {
			continue
		}
		pose := p.On(&t.face, s.full.solid.Centroid)
		pose.Sag, pose.Trouble = t.sag, t.trouble
		l := t.quick
		l.TipAngleDeg, l.TravelMM = pose.TipAngleDeg(), pose.Stand.TravelMM
		l.setter, l.greenSize = b.setterFit(s.middle.hull, pose.Turn.Mul(p.Green()))
		l.takeFoot(t.face.Stand.FootprintMM2 * p.FaceGrowth(pose.Down))
		c.Props.onto(&pose, &l)
		r.Poses, r.laid = append(r.Poses, pose), append(r.laid, l)
	}
	r.Chosen = b.chooseLying(r.laid, least)
	if c.planAsPrinted && r.Chosen > 0 {
		r.Chosen = 0
		v := b.judgeLying(&r.laid[0])
		r.Reason = fmt.Sprintf("Fire it as printed, as its supports are planned, though %s.", b.faultsOf(&r.laid[0], &v))
	} else {
		r.Reason = b.layingReason(r)
	}
	c.Resting = r
}

// sameFace is the cosine from which two directions mean one face.
const sameFace = 0.9999

// Lies gives how the candidate lies in the furnace in the pose to take.
func (c *Candidate) Lies() *Lying {
	switch r := c.Resting; {
	case r == nil || len(r.laid) == 0 && r.Chosen == 0:
		l := c.Measures.lyingAsPrinted(c.setter)
		return &l
	case len(r.laid) == 0: // only the poses are known
		l := lyingIn(r.Pose())
		return &l
	}
	return &c.Resting.laid[c.Resting.Chosen]
}

// lyingIn gives what a pose that is not that of the print tells by itself.
func lyingIn(p *furnace.Pose) Lying {
	l := Lying{
		TipAngleDeg: p.TipAngleDeg(), FootprintMM2: p.Stand.FootprintMM2, TravelMM: p.Stand.TravelMM,
		Lean: p.Stand.Lean, ElephantFootMM: p.Stand.ElephantFootMM,
	}
	if p.Sag != nil {
		l.takeSag(p.Sag)
	}
	return l
}

// clearlyLighter is by how much another pose has to weigh less than that of the print
// to be worth taking the supports off a green part and laying it down by hand
// (judgement).
const clearlyLighter = 0.15

// chooseLying recommends a pose: that of the print unless another passes where it
// does not, or is clearly better. Where it topples or collapses in all of them none is
// worth laying it down for.
func (b *Brief) chooseLying(laid []Lying, least unavoidable) int {
	best := 0
	judge := func(i int) verdict {
		v := b.judgeLying(&laid[i])
		v.least = least
		return v
	}
	printed := judge(0)
	lightest := printed
	for i := range laid[1:] {
		v := judge(i + 1)
		switch {
		case v.grade() > lightest.grade():
			continue
		case v.grade() == lightest.grade() && best == 0 && v.burden() > printed.burden()-clearlyLighter:
			continue
		case v.grade() == lightest.grade() && best > 0 && v.burden() >= lightest.burden():
			continue
		}
		best, lightest = i+1, v
	}
	if lightest.falls {
		return 0
	}
	return best
}

// layingReason says why the pose was chosen, in a sentence with the numbers.
func (b *Brief) layingReason(r *Resting) string {
	chosen, printed := &r.laid[r.Chosen], b.judgeLying(&r.laid[0])
	v := b.judgeLying(chosen)
	if b.isCoupon() {
		return fmt.Sprintf("Fire it as printed, on its foot, nothing under the arms: it tips at %.0f deg.", chosen.TipAngleDeg)
	}
	if r.Chosen > 0 {
		s := fmt.Sprintf("Take the supports off in the green state and lay it on another face: as printed %s; there %s.",
			b.faultsOf(&r.laid[0], &printed), b.figuresOf(chosen))
		if v.grade() > gradePasses {
			s += fmt.Sprintf(" That is the best of %d poses, though not within every limit.", len(r.laid))
		}
		return s
	}
	switch {
	case v.grade() == gradePasses:
		return fmt.Sprintf("Fire it as printed: %s.", b.figuresOf(chosen))
	case v.falls:
		return fmt.Sprintf("As printed %s, and no other resting face is sound: prop it, or print it another way.", b.faultsOf(chosen, &v))
	case len(r.laid) == 1:
		return fmt.Sprintf("Fire it as printed, though %s: it has no other face to rest on.", b.faultsOf(chosen, &v))
	default:
		return fmt.Sprintf("Fire it as printed, though %s: no other resting face is clearly better.", b.faultsOf(chosen, &v))
	}
}

// figuresOf gives the figures that decide on a pose.
func (b *Brief) figuresOf(l *Lying) string {
	tips := fmt.Sprintf("it tips at %.0f deg", l.TipAngleDeg)
	if !l.setter.fits() && l.setter.record != "" {
		tips = fmt.Sprintf("it fits %s, tips at %.0f deg", l.setter.record, l.TipAngleDeg)
	}
	if l.SagCollapses {
		return tips + " and collapses (estimate)"
	}
	return fmt.Sprintf("%s and sags about %.2f mm%s (estimate)", tips, l.SagMM, l.onProps())
}

// faultsOf says what the furnace's gates have against a pose.
func (b *Brief) faultsOf(l *Lying, v *verdict) string {
	var faults []string
	say := func(gate int, words string, args ...any) {
		if v.gates[gate].state != Passed {
			faults = append(faults, fmt.Sprintf(words, args...))
		}
	}
	if l.setter.record == "" {
		say(gateFurnace, "it fits no setter of the records")
	} else {
		say(gateFurnace, "it fits %s only", l.setter.record)
	}
	if l.TipAngleDeg <= 0 {
		say(gateStands, "it topples over")
		return joinWords(faults) // what falls over has no sag to talk of
	}
	if l.TipAngleDeg < b.Material.SmallestTipDeg {
		say(gateStands, "it tips at %.1f deg already", l.TipAngleDeg)
	} else {
		say(gateStands, "it rests on %s only", l.foot.area())
	}
	say(gateLean, "a lean grows %s", furnace.GrowthWords(l.Lean.Growth))
	if l.SagCollapses {
		say(gateSag, "it collapses%s (estimate)", l.onProps())
	} else {
		say(gateSag, "it sags about %.2f mm%s (estimate)", l.SagMM, l.onProps())
	}
	return joinWords(faults)
}

// onProps says on how many props the sag is that, "" where on none.
func (l *Lying) onProps() string {
	switch l.Propped {
	case 0:
		return ""
	case 1:
		return " on its prop"
	}
	return fmt.Sprintf(" on its %d props", l.Propped)
}

// joinWords writes a list with "and" before the last.
func joinWords(words []string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	return strings.Join(words[:len(words)-1], ", ") + " and " + words[len(words)-1]
}
