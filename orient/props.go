package orient

import (
	"context"
	"fmt"
	"math"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
	"kilnpoise/orient/furnace"
	"kilnpoise/orient/support"
)

// PropPlan is what carries a candidate in the furnace besides the setter, in the pose to
// take, and what that does: supports that are kept, shaped blocks and sand, as the support
// plan has them, and ceramic blocks where something droops all the same. All of it is an
// estimate.
type PropPlan struct {
	Props []PlacedProp `json:"props"`
	// Within says that nothing droops by more than is allowed, AllowedMM, against what
	// carries it. DroopBareMM is the most that anything does with nothing under it, about
	// DroopAtMM, over a free span of SpanMM; DroopMM the same with the props.
	Within      bool    `json:"within_allowed"`
	AllowedMM   float64 `json:"allowed_droop_mm"`
	DroopBareMM float64 `json:"droop_bare_mm"`
	DroopAtMM   Triple  `json:"droop_at_mm"`
	DroopMM     float64 `json:"droop_planned_mm"`
	SpanMM      float64 `json:"free_span_mm"`
	// ShorterMM is the free span, and Thicker by what factor the thickness would have to be
	// what it is, for what droops to be within the allowed where no plan brings it there; 0
	// elsewhere.
	ShorterMM float64 `json:"free_span_within_mm,omitempty"`
	Thicker   float64 `json:"thickness_factor,omitempty"`
	// Sentences say it in words, the sum first.
	Sentences []string `json:"sentences"`

	sag  *furnace.Sag // with the props; nil where it is not known
	bare *furnace.Sag
	pose propPose
}

// propPose is the pose that a plan of props is for.
type propPose struct {
	asPrinted bool
	down      r3.Vec
}

// PlacedProp is one prop. Places are in the furnace frame of the pose to take, X and Y from
// the middle of the box around the part, at finished size but where green is said.
type PlacedProp struct {
	// Kind is "kept support", "shaped block", "sand", "ceramic block" or "ceramic strip",
	// Region the region of the support plan that it is for, from 1; 0 for ceramic.
	Kind   string `json:"kind"`
	Region int    `json:"region,omitempty"`
	// AtMM is the middle of its top, SizeMM its sides along X and Y and its height when
	// sintered; GreenHeightMM is its height as it goes in: ceramic keeps its size.
	AtMM          Triple  `json:"at_mm"`
	SizeMM        Triple  `json:"size_mm"`
	GreenHeightMM float64 `json:"green_height_mm"`
	// Of ceramic: SlopeDeg is how far its top slants, PlaceGreenMM how high the place that
	// it is to carry is as the part goes in, ClearMM how far that is above it, SlideMM how
	// far the part slides over it, PressN the force on it at the end.
	SlopeDeg     float64 `json:"slope_deg,omitempty"`
	PlaceGreenMM float64 `json:"place_green_height_mm,omitempty"`
	ClearMM      float64 `json:"clear_going_in_mm,omitempty"`
	SlideMM      float64 `json:"slide_mm,omitempty"`
	PressN       float64 `json:"force_n,omitempty"`
}

// ceramic reports whether it does not shrink with the part.
func (p *PlacedProp) ceramic() bool { return p.Region == 0 }

// PlannedSag is the sag with the plan's props in place, as written to JSON beside the bare
// one; it is the bare one where the plan needs none.
type PlannedSag struct {
	SagPlannedMM       float64 `json:"sag_planned_mm"`
	SagPlannedLowMM    float64 `json:"sag_planned_low_mm"`
	SagPlannedHighMM   float64 `json:"sag_planned_high_mm"`
	SagPlannedCollapse bool    `json:"sag_planned_collapses"`
}

// planned gives the sag with the props; nil where it is not known.
func (c *Candidate) planned() *PlannedSag {
	p := c.propsNow()
	if p == nil || p.sag == nil {
		return nil
	}
	return &PlannedSag{p.sag.MM, p.sag.LowMM, p.sag.HighMM, p.sag.Collapses}
}

// propsNow gives the plan of props where it is for the pose to take.
func (c *Candidate) propsNow() *PropPlan {
	if c.Props == nil || c.Props.pose != c.propPose() {
		return nil
	}
	return c.Props
}

// PropsToSet gives the props that are set under the part in the furnace, in the pose to
// take: all that are planned but the supports that it is printed with.
func (c *Candidate) PropsToSet() []PlacedProp {
	var out []PlacedProp
	if p := c.propsNow(); p != nil {
		for _, placed := range p.Props {
			if placed.Kind != keptSupport {
				out = append(out, placed)
			}
		}
	}
	return out
}

// propRecord gives the plan of props as it is written to JSON; nil where nothing is known.
func (c *Candidate) propRecord() *PropPlan {
	p := c.propsNow()
	if p == nil || p.bare == nil || len(p.Sentences) == 0 {
		return nil
	}
	out := *p
	out.Props = append([]PlacedProp{}, p.Props...)
	return &out
}

// propPose gives the pose to take.
func (c *Candidate) propPose() propPose {
	if c.RestsOtherwise() {
		return propPose{down: c.Resting.Pose().Down}
	}
	return propPose{asPrinted: true, down: r3.Scale(-1, c.Pose.Up())}
}

// onto takes the plan over into a pose and the figures of lying in it, where it is for that.
func (p *PropPlan) onto(pose *furnace.Pose, l *Lying) {
	if p == nil || p.sag == nil || p.pose != (propPose{pose.AsPrinted, pose.Down}) {
		return
	}
	bare := *l
	lean, method := l.Lean, l.LeanMethod
	l.takeSag(p.sag)
	l.Lean, l.LeanMethod = lean, method // blocks hold nothing upright
	l.Propped, l.bare = len(p.Props), &bare
	pose.Sag = p.sag
}

// Bare gives the figures of lying so with nothing under it but the setter.
func (l *Lying) Bare() *Lying {
	if l.bare != nil {
		return l.bare
	}
	return l
}

// Kinds of props: a support that stays under the part through the furnace, and sand filled
// in below a region.
const (
	keptSupport = "kept support"
	sandBed     = "sand"
)

const (
	// leastBlockMM is the lowest ceramic block that can be cut and put in place, finished
	// size (judgement).
	leastBlockMM = 2
	// mostPropped is how many candidates, the first each time, get a plan of props without
	// being asked for.
	mostPropped = 3
)

// propBest is prop that, where it lies on another face and no props bring it within the
// allowed there, plans for firing it as printed on its supports, and takes that where it does.
func (a *Advice) propBest(ctx context.Context, c *Candidate, tell func(string, float64)) error {
	if err := a.prop(ctx, c, tell); err != nil || !c.RestsOtherwise() || c.Props.bare == nil || c.Props.Within || c.Solved == nil || c.Plan == nil {
		return err
	}
	printed := *c
	printed.Measures, printed.Plan, printed.Props = c.bare, nil, nil
	resting := *c.Resting
	resting.Chosen, printed.Resting = 0, &resting
	if err := a.plan(ctx, &printed, c.LeftOut); err != nil {
		return err
	}
	if err := a.prop(ctx, &printed, tell); err != nil {
		return err
	}
	if printed.Props.Within {
		*c = printed
	}
	return nil
}

// prop plans what carries a candidate in the furnace, and solves what that does. The
// supports must be planned where it is fired as printed. Where the furnace is not solved
// nothing is known and nothing is planned.
func (a *Advice) prop(ctx context.Context, c *Candidate, tell func(string, float64)) error {
	was := c.propsNow()
	c.Props = &PropPlan{AllowedMM: a.Brief.Material.AllowedSagMM, pose: c.propPose()}
	p := c.Props
	if p.bare = c.bareSag(); was != nil {
		p.bare = was.bare
	}
	if p.bare == nil || !c.Lies().Stands() || a.Brief.isCoupon() {
		return nil
	}
	m, shrinkage, o := a.lain(c)
	droop, at := p.bare.WorstDroop()
	p.DroopBareMM, p.DroopAtMM, p.SpanMM = droop, triple(at), p.bare.SpanMM
	p.sag, p.DroopMM = p.bare, p.DroopBareMM
	o.Progress = tell
	if p.DroopMM > p.AllowedMM {
		if err := a.carry(ctx, c, m, shrinkage, &o); err != nil {
			return err
		}
	}
	p.Within = p.sag != nil && p.DroopMM <= p.AllowedMM
	p.tell()
	return nil
}

// bareSag gives the solution of the pose to take with nothing under it but the setter.
func (c *Candidate) bareSag() *furnace.Sag {
	if c.RestsOtherwise() {
		return c.Resting.Pose().Sag
	}
	return c.Solved
}

// lain gives the part as it lies in the furnace, the matrix of its shrinkage there, and
// what it was solved with.
func (a *Advice) lain(c *Candidate) (*mesh.Mesh, mesh.Matrix, furnace.Options) {
	s := a.Brief.Material.Shrinkage
	green := r3.Vec{X: s[0], Y: s[1], Z: s[2]}
	o := furnace.Options{Elements: a.firedWith.Elements, Friction: a.firedWith.Friction, WallMM: a.study.wallMM(), NoCheck: true, NoLean: true}
	if c.RestsOtherwise() {
		o.Elements = restingElements
		return c.Resting.Mesh(), furnace.Turned(green, c.Resting.Pose().Turn), o
	}
	return c.Pose.Sintered(a.Part.Mesh), mesh.Diagonal(green), o
}

// blocksPerCarrier is how many ceramic blocks are cut and set sooner than one support is
// sawn off as steel, or one block printed and debound for it (judgement).
const blocksPerCarrier = 2

// carry puts props under a candidate that droops too far: ceramic blocks alone where they do
// and are not too many; else what the support plan has, and ceramic where that is not enough.
func (a *Advice) carry(ctx context.Context, c *Candidate, m *mesh.Mesh, shrinkage mesh.Matrix, o *furnace.Options) error {
	carriers := 0
	if !c.RestsOtherwise() && c.Plan != nil {
		carriers = c.Plan.Carriers(c.leaves)
	}
	if carriers > 0 {
		most := blocksPerCarrier * carriers
		if done, err := a.putBlocks(ctx, c.Props, m, shrinkage, *o, most); err != nil || done {
			if done {
				c.Plan = c.Plan.OnCeramic()
				c.Measures = c.bare
				err = a.weighPlan(ctx, c)
			}
			return err
		}
		if err := a.putPlanned(ctx, c, m, o); err != nil || c.Props.sag == nil || c.Props.DroopMM <= c.Props.AllowedMM {
			return err
		}
	}
	_, err := a.putBlocks(ctx, c.Props, m, shrinkage, *o, math.MaxInt)
	return err
}

// putPlanned puts what the support plan leaves under the part, and solves it so.
func (a *Advice) putPlanned(ctx context.Context, c *Candidate, m *mesh.Mesh, o *furnace.Options) error {
	if c.Unbuilt != "" {
		return nil
	}
	if err := a.keepPlanned(ctx, c, o); err != nil || len(o.Props) == 0 {
		return err
	}
	sag, err := furnace.Solve(ctx, m, a.Brief.creep(), *o)
	switch {
	case ctx.Err() != nil:
		return ctx.Err()
	case err != nil:
		c.Props.sag = nil
		c.Props.Sentences = []string{fmt.Sprintf("What the props of the plan do in the furnace is not known: %s.", plainReason(err))}
		return nil
	}
	c.Props.sag = sag
	if c.Props.DroopMM, _ = sag.WorstDroop(); c.Props.DroopMM <= c.Props.AllowedMM {
		c.Props.ShorterMM, c.Props.Thicker = 0, 0
	}
	return nil
}

// keepPlanned adds what the support plan leaves under the part in the furnace: supports
// that are kept, as the walls that they are made of; shaped blocks, with a layer of ceramic in
// the gap; sand where it stands on the setter. A raft, where the supports that are kept stand
// on one, shrinks with the part and so holds its feet together.
func (a *Advice) keepPlanned(ctx context.Context, c *Candidate, o *furnace.Options) error {
	var bodies []support.Body
	carries := func(i int) bool {
		by := c.Plan.Items[i].Advice
		return !c.leaves(i) && (by == support.PrintAndKeep || by == support.SetterBlock)
	}
	for i := range c.Plan.Items {
		if carries(i) {
			var err error
			if bodies, err = a.Bodies(ctx, c, false, func(i int) bool { return !carries(i) }); err != nil {
				return dropped(ctx, err)
			}
			break
		}
	}
	sand, err := a.sandBeds(ctx, c)
	if err != nil {
		return dropped(ctx, err)
	}
	finished := mesh.Diagonal(inverse(c.Pose.Oversize))
	for _, b := range append(bodies, sand...) {
		switch {
		case b.Kind == support.RaftBody:
			o.Friction = furnace.Stuck
			continue
		case b.Kind == support.SupportBody && c.Plan.Items[b.Item].Advice != support.PrintAndKeep:
			continue // it prints on support that is cut off green
		}
		prop := furnace.Prop{Shape: b.Mesh.Transform(finished, r3.Vec{}), Density: 1}
		placed := PlacedProp{Kind: keptSupport, Region: b.Item + 1}
		switch {
		case b.Kind == support.BlockBody && c.Plan.Items[b.Item].Advice == support.AluminaSand:
			placed.Kind, prop.Loose, prop.Density, prop.Stiffness = sandBed, true, 0, 1
		case b.Kind == support.BlockBody:
			placed.Kind, prop.Loose = "shaped block", true
			gap := support.DefaultBodySettings().BlockGapMM / c.Pose.Oversize.Z
			prop.Shape = prop.Shape.Transform(mesh.Identity(), r3.Vec{Z: gap})
		}
		box := prop.Shape.Bounds()
		size, middle := box.Size(), box.Center()
		placed.AtMM = Triple{middle.X, middle.Y, box.Max.Z}
		placed.SizeMM, placed.GreenHeightMM = triple(size), size.Z*c.Pose.Oversize.Z
		if placed.Kind == sandBed {
			placed.GreenHeightMM = size.Z // what is poured in before it shrinks gives way
		}
		o.Props = append(o.Props, prop)
		c.Props.Props = append(c.Props.Props, placed)
	}
	return nil
}

// dropped gives the error of ctx only: what cannot be built carries nothing.
func dropped(ctx context.Context, _ error) error { return ctx.Err() }

// sandBeds gives the sand under the regions that are bedded in it.
func (a *Advice) sandBeds(ctx context.Context, c *Candidate) ([]support.Body, error) {
	bedded := func(i int) bool { return !c.leaves(i) && c.Plan.Items[i].Advice == support.AluminaSand }
	for i := range c.Plan.Items {
		if bedded(i) {
			settings := support.DefaultBodySettings()
			settings.BlockGapMM = 0
			site, err := a.site(ctx, c)
			if err != nil {
				return nil, err
			}
			return site.Blocks(ctx, c.Plan, settings, bedded)
		}
	}
	return nil, nil
}

// putBlocks looks for ceramic blocks, so many at most, for what droops too far, and reports
// whether there are some that do.
func (a *Advice) putBlocks(ctx context.Context, p *PropPlan, m *mesh.Mesh, shrinkage mesh.Matrix, o furnace.Options, most int) (bool, error) {
	limits := furnace.BlockLimits{AllowedMM: p.AllowedMM, LeastMM: leastBlockMM, Friction: a.Brief.Furnace.Friction, Shrinkage: shrinkage}
	found, err := furnace.PutBlocks(ctx, m, a.Brief.creep(), o, limits)
	switch {
	case ctx.Err() != nil:
		return false, ctx.Err()
	case err != nil, found.Sag == nil, len(found.Blocks) > most:
		p.ShorterMM = p.SpanMM * math.Pow(p.AllowedMM/p.DroopMM, 0.25)
		p.Thicker = math.Sqrt(p.DroopMM / p.AllowedMM)
		return false, nil
	}
	p.ShorterMM, p.Thicker = 0, 0
	p.sag, p.DroopMM = found.Sag, found.DroopMM
	for _, b := range found.Blocks {
		kind := "ceramic block"
		if b.Strip() {
			kind = "ceramic strip"
		}
		p.Props = append(p.Props, PlacedProp{
			Kind: kind, AtMM: triple(b.At), SizeMM: Triple{b.SizeMM.X, b.SizeMM.Y, b.HeightMM()}, GreenHeightMM: b.HeightMM(),
			SlopeDeg: b.SlopeDeg, PlaceGreenMM: b.GreenMM, ClearMM: b.ClearMM, SlideMM: b.SlideMM, PressN: b.PressN,
		})
	}
	return true, nil
}

// tell puts the plan into words.
func (p *PropPlan) tell() {
	if p.sag == nil {
		return
	}
	p.Sentences = []string{p.sum()}
	for i := range p.Props {
		p.Sentences = append(p.Sentences, p.Props[i].String())
	}
	if cure := p.cure(); cure != "" {
		p.Sentences = append(p.Sentences, cure)
	}
}

// sum says what the props do together.
func (p *PropPlan) sum() string {
	if len(p.Props) == 0 && p.DroopMM < 0.005 {
		return fmt.Sprintf("Nothing need be put under it: it hardly droops against what carries it (estimate); %.2f mm are allowed.", p.AllowedMM)
	}
	if len(p.Props) == 0 && p.Within {
		return fmt.Sprintf("Nothing need be put under it: it droops by %.2f mm at most against what carries it (estimate), and %.2f mm are allowed.", p.DroopMM, p.AllowedMM)
	}
	if len(p.Props) == 0 {
		return fmt.Sprintf("It droops %s against what carries it, and %.2f mm are allowed (estimate).", p.bareWords(), p.AllowedMM)
	}
	what := fmt.Sprintf("On %d props", len(p.Props))
	if len(p.Props) == 1 {
		what = "On one prop"
	}
	if p.DroopMM < 0.005 {
		return fmt.Sprintf("%s it hardly droops against what carries it (estimate), bare %s; %.2f mm are allowed.", what, p.bareWords(), p.AllowedMM)
	}
	return fmt.Sprintf("%s it droops by %.2f mm at most against what carries it (estimate), bare %s; %.2f mm are allowed.", what, p.DroopMM, p.bareWords(), p.AllowedMM)
}

// bareWords tells the droop with nothing under it: millimetres mean nothing of a collapse.
func (p *PropPlan) bareWords() string {
	if p.bare.Collapses {
		return "so far that it collapses"
	}
	return fmt.Sprintf("%.2f mm", p.DroopBareMM)
}

// cure says what to change where no plan helps; empty where it does.
func (p *PropPlan) cure() string {
	if p.Within || p.Thicker == 0 {
		return ""
	}
	_, at := p.sag.WorstDroop()
	out := fmt.Sprintf("No plan of props brings it within the allowed: not enough blocks can be put from the setter under what droops, about %s. ", triple(at).about())
	if p.SpanMM > 0 {
		return out + fmt.Sprintf("Shorten the free span from %.1f to %.1f mm, make it %.1f times as thick (beam form, estimate), or join it to what is below.", p.SpanMM, p.ShorterMM, p.Thicker)
	}
	return out + fmt.Sprintf("Make it %.1f times as thick (beam form, estimate), or join it to what is below.", p.Thicker)
}

// String says what the prop is and where it stands.
func (p *PlacedProp) String() string {
	place := fmt.Sprintf("its middle at X %.1f, Y %.1f mm from the middle of the part as it lies sintered", tenths(p.AtMM[0]), tenths(p.AtMM[1]))
	size := fmt.Sprintf("%.0f x %.0f mm", p.SizeMM[0], p.SizeMM[1])
	switch {
	case p.Kind == keptSupport:
		return fmt.Sprintf("Keep the support of region %d through the furnace: %s, %.1f mm high sintered, %.1f mm green.", p.Region, size, p.SizeMM[2], p.GreenHeightMM)
	case p.Kind == sandBed:
		return fmt.Sprintf("Fill the space below region %d with alumina sand: %s, %.1f mm high at the end; it gives way sideways as the part comes down.", p.Region, size, p.SizeMM[2])
	case !p.ceramic():
		return fmt.Sprintf("Shaped block below region %d: %s, %.1f mm high sintered, %.1f mm green, with a layer of ceramic between; it shrinks with the part.", p.Region, size, p.SizeMM[2], p.GreenHeightMM)
	}
	top := ""
	if p.SlopeDeg > 1 {
		top = fmt.Sprintf(", its top slanting by %.0f deg as the part does", p.SlopeDeg)
	}
	return fmt.Sprintf("%s of %s, %.1f mm high%s, %s. As the part goes in the place that it carries is %.1f mm above the setter, so %.1f mm clear of it; the part comes down onto it and slides %.1f mm over it as it shrinks.",
		strings.ToUpper(p.Kind[:1])+p.Kind[1:], size, p.SizeMM[2], top, place, p.PlaceGreenMM, p.ClearMM, p.SlideMM)
}

// tenths rounds to tenths, without a minus before nothing.
func tenths(v float64) float64 { return math.Round(10*v)/10 + 0 }
