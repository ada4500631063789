package orient

// State is what a gate says of a candidate.
type State string

// The states of a gate, as written to JSON.
const (
	// Passed: the likely value is within the limit.
	Passed State = "passed"
	// Doubtful: the likely value is over the limit, the low end of its range is not.
	Doubtful State = "in doubt"
	// Failed: even the low end is over the limit.
	Failed State = "failed"
)

// The gates by number, in the order in which they are shown.
const (
	gatePrinter = iota
	gateFurnace
	gateStands
	gateLean
	gateReach
	gateDebinding
	gateThin
	gateSag
	gateCount
)

// ruling is what one gate says, without the sentence: its state, and by how much the
// limit is missed: 0 where it is passed, 1 where it is missed by as much as the limit
// itself, without end.
type ruling struct {
	state State
	miss  float64
}

// verdict is what all gates say of a candidate.
type verdict struct {
	gates [gateCount]ruling
	// curable is true for a gate on a record where another record that is at hand
	// would do.
	curable [gateCount]bool
	// standing is what the gate on standing is the worst of: the tilt that it bears in the
	// furnace, its foot there, and how it stands in print where it is laid down on another
	// face. All of them weigh.
	standing [3]ruling
	// propped is true where what falls however it lies stands in print, by itself or with
	// its supports, and can be propped so in the furnace: it must neither lean nor sag then.
	// onProps is then what counts of how it stands: the foot that it has between its props,
	// or the share of several bodies that stand on none.
	propped bool
	onProps ruling
	// least is what no way up avoids.
	least unavoidable
	// handicap weighs against it beside the gates.
	handicap float64
	// falls is true where the part topples over or collapses however it is laid down.
	falls bool
}

// judge gives the verdict on a candidate by its measures, how it fits the plate and
// how it lies in the furnace.
func (b *Brief) judge(m *Measures, plate fitting, lies *Lying) verdict {
	v := b.judgeLying(lies)
	v.gates[gatePrinter], v.curable[gatePrinter] = plate.rule(), plate.record != ""
	inPrint := b.heldInPrint(m)
	if !lies.AsPrinted {
		v.standing[2] = inPrint
	}
	v.gates[gateStands] = worse(v.gates[gateStands], inPrint)
	v.falls = v.falls || m.TipAngleDeg <= 0 && m.HeldTipDeg <= 0
	v.propped = v.falls && max(m.HeldTipDeg, m.TipAngleDeg) >= b.Material.SmallestTipDeg
	v.onProps = ruling{Doubtful, m.foot.short()}
	if m.tips != "" { // bodies that hang are no longer held once the supports are off
		v.onProps = standRule(m.footing(), b.Material.SmallestTipDeg)
	}
	v.gates[gateReach] = m.reachRule()
	v.gates[gateDebinding] = atMost(m.ThickestGreenWallMM, b.Material.Debinding.LargestWallMM)
	v.gates[gateThin] = b.thinRule(m)
	return v
}

// judgeLying gives the part of the verdict that the furnace decides.
func (b *Brief) judgeLying(l *Lying) verdict {
	var v verdict
	for i := range v.gates {
		v.gates[i].state = Passed
	}
	mat := &b.Material
	v.gates[gateFurnace], v.curable[gateFurnace] = l.setter.rule(), l.setter.record != ""
	v.standing = [3]ruling{standRule(l.footing(), mat.SmallestTipDeg), l.foot.rule(), {state: Passed}}
	v.gates[gateStands] = worse(v.standing[0], v.standing[1])
	v.gates[gateLean] = ranged(l.Lean.Low-1, l.Lean.Growth-1, mat.AllowedLeanGrowth)
	v.gates[gateSag] = ranged(l.SagLowMM, l.SagMM, mat.AllowedSagMM)
	v.falls = l.TipAngleDeg <= 0 || l.SagCollapses
	if l.SagCollapses && v.gates[gateSag].state == Passed { // a short span that gives way within the allowed
		v.gates[gateSag] = ruling{Doubtful, 0}
	}
	if b.isCoupon() {
		v.gates[gateSag], v.falls = ruling{state: Passed}, l.TipAngleDeg <= 0
	}
	return v
}

// heldInPrint rules on standing while it is printed. What only its supports on a raft
// hold is in doubt: it comes loose more easily, and has to earn its place.
func (b *Brief) heldInPrint(m *Measures) ruling {
	own := worse(standRule(m.footing(), b.Material.SmallestTipDeg), m.foot.rule())
	if m.RaftMM3 > 0 && m.HeldTipDeg >= b.Material.SmallestTipDeg {
		own.state = Doubtful
	}
	return own
}

// thinRule rules on the thinnest wall; where none was measured nothing is said.
func (b *Brief) thinRule(m *Measures) ruling {
	if m.ThinnestGreenWallMM <= 0 {
		return ruling{state: Passed}
	}
	return atLeast(m.ThinnestGreenWallMM, b.thinLimitMM())
}

// thinLimitMM is the thinnest green wall that prints: what the record asks for, and
// no less than two lines of the nozzle side by side.
func (b *Brief) thinLimitMM() float64 {
	return max(b.Material.Debinding.SmallestWallMM, 2*b.Printer.NozzleMM)
}

// reachRule rules on support that cannot be taken out; the miss is its volume against
// that of the part.
func (m *Measures) reachRule() ruling {
	if m.inReach() {
		return ruling{state: Passed}
	}
	return ruling{Failed, m.OutOfReachMM3 / max(m.partMM3, 1e-9)}
}

// atMost rules on a value that may be no larger than the limit.
func atMost(value, limit float64) ruling { return ranged(value, value, limit) }

// ranged rules on a value with the low end of its range.
func ranged(low, likely, limit float64) ruling {
	r := ruling{Passed, 0}
	if likely <= limit {
		return r
	}
	r.state, r.miss = Doubtful, likely/limit-1
	if low > limit {
		r.state = Failed
	}
	return r
}

// atLeast rules on a value that must reach the limit.
func atLeast(value, limit float64) ruling {
	if value >= limit {
		return ruling{Passed, 0}
	}
	return ruling{Failed, 1 - max(value, 0)/limit}
}

// worse gives the one of two rulings that is further off.
func worse(a, b ruling) ruling {
	if rankOf(b.state) > rankOf(a.state) || b.state == a.state && b.miss > a.miss {
		return b
	}
	return a
}

// rankOf orders states, the best first.
func rankOf(s State) int {
	switch s {
	case Passed:
		return 0
	case Doubtful:
		return 1
	default:
		return 2
	}
}

// grade sorts candidates before anything is weighed: nothing is put above a better
// grade.
type grade int

const (
	gradePasses grade = iota
	gradeDoubtful
	gradeFails
	gradeFalls
)

// grade gives that of the verdict.
func (v *verdict) grade() grade {
	if v.falls {
		return gradeFalls
	}
	return grade(rankOf(v.state()))
}

// state gives that of the gate that is furthest from being passed.
func (v *verdict) state() State {
	worst := Passed
	for _, g := range v.gates {
		if rankOf(g.state) > rankOf(worst) {
			worst = g.state
		}
	}
	return worst
}

// weightOf gives how a missed gate weighs against the others and against the cost of
// a candidate, which is a number between 0 and 1; half of that is reached where the
// limit is missed by the knee (judgement): falling over most, then what has no cure
// but another design, then what the estimate of the furnace says.
func weightOf(gate int) (weight, knee float64) {
	switch gate {
	case gateStands:
		return 3, 0.5
	case gateLean:
		return 2, 5
	case gateSag:
		return 1.5, 3
	case gatePrinter, gateFurnace:
		return 1.5, 0.2
	case gateReach:
		return 1.5, 0.02
	default: // walls
		return 1, 0.3
	}
}

// curedWeight is what a misfit weighs where another record fits: the easiest to cure
// of all.
const curedWeight = 0.15

// mostMiss bounds a miss: what is further off than a thousand limits is no worse.
const mostMiss = 1000

// doubtShare is what a gate in doubt weighs against a failed one.
const doubtShare = 0.5

// burden weighs what is missed of the gates beyond what no way up avoids, by how much;
// 0 where all is passed.
func (v *verdict) burden() float64 {
	sum := v.standingBurden()
	for i, g := range v.gates {
		if i != gateStands && !(v.propped && (i == gateLean || i == gateSag)) {
			sum += v.burdenOf(i, g)
		}
	}
	return sum
}

// standingBurden weighs how it stands.
func (v *verdict) standingBurden() float64 {
	if v.propped {
		return v.burdenOf(gateStands, v.onProps)
	}
	var sum float64
	for _, r := range v.standing {
		sum += v.burdenOf(gateStands, r)
	}
	return sum
}

// burdenOf weighs one ruling.
func (v *verdict) burdenOf(gate int, r ruling) float64 {
	if r.state == Passed || r.state == "" {
		return 0
	}
	weight, knee := weightOf(gate)
	if v.curable[gate] {
		weight = curedWeight
	}
	if r.state == Doubtful {
		weight *= doubtShare
	}
	beyond := saturate(min(r.miss, mostMiss), knee)
	if alike := v.least.alike(gate); alike > 0 {
		beyond = max(beyond-saturate(min(alike, mostMiss), knee), 0)
	}
	return weight * beyond
}

// weight is all that weighs against a candidate but its cost.
func (v *verdict) weight() float64 { return v.burden() + v.handicap }

// trappedMM3 is how much support in a closed cavity is taken for rounding, and
// crumbShare what share of all support may stay where the cutter leaves the corners.
const (
	trappedMM3 = 0.5
	crumbShare = 0.01
)

// inReach reports whether no support is out of reach, but for crumbs that the
// cutter leaves.
func (m *Measures) inReach() bool {
	if m.OutOfReachAtMM != (Triple{}) && m.OutOfReachMM3 <= crumbShare*m.SupportVolumeMM3 {
		return true
	}
	return m.OutOfReachMM3 <= trappedMM3
}
