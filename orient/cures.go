package orient

import "fmt"

// Fault says in few words what it means that the gate is not passed.
func (g Gate) Fault() string {
	switch g.Name {
	case GatePrinter:
		return "too big to print"
	case GateFurnace:
		return "too big to fire"
	case GateStands:
		return "tips over"
	case GateLean:
		return "leans over"
	case GateReach:
		return "support trapped"
	case GateDebinding:
		return "wall too thick"
	case GateThin:
		return "wall too thin"
	case GateSag:
		return "sags too much"
	default:
		return "fails: " + g.Name
	}
}

// cure says what to do next about a gate that is not passed: choose another record,
// another way of laying it down, or change the design.
func (b *Brief) cure(gate int, c *Candidate, s State) string {
	switch gate {
	case gatePrinter:
		return misfitCure(c.plate, "Print", "printer")
	case gateFurnace:
		return misfitCure(c.Lies().setter, "Fire", "furnace")
	case gateStands:
		return b.standsCure(c)
	case gateLean, gateSag:
		if !c.Lies().Stands() {
			return "" // the gate on standing says what to do
		}
		if gate == gateSag {
			return b.sagCure(s, c.propsNow())
		}
		return "Give it a broader foot or less height, or prop it in the furnace."
	case gateReach:
		return fmt.Sprintf("Open the place so that the cutter gets in, or make what hangs over steeper than %.0f deg from the plate.", b.Material.OverhangLimitDeg)
	case gateDebinding:
		if c.Measures.ThickestWallAtCavity {
			return fmt.Sprintf("Open the cavity, or make no wall beside it thicker than %.1f mm at finished size.", b.largestWallSinteredMM()/2)
		}
		return fmt.Sprintf("Hollow it from below or rib it, so that no wall is thicker than %.1f mm at finished size.", b.largestWallSinteredMM())
	case gateThin:
		cure := fmt.Sprintf("Make it no thinner than %.2f mm at finished size", b.smallestWallSinteredMM())
		if b.thinLimitMM() > b.Material.Debinding.SmallestWallMM {
			cure += ", or print it with a finer nozzle"
		}
		return cure + "."
	default:
		return ""
	}
}

func misfitCure(f fitting, do, machine string) string {
	if f.record != "" {
		return do + " it there, or make it in pieces."
	}
	return "None of the records holds it: make it in pieces, or enter the record of a larger " + machine + "."
}

// standsCure tells the print from the furnace.
func (b *Brief) standsCure(c *Candidate) string {
	l := c.Lies()
	switch f := l.footing(); {
	case f.hangs():
		return "Export each body as a file of its own, or join them in the design."
	case l.TipAngleDeg >= b.Material.SmallestTipDeg && l.foot.short() > 0:
		return "Bed it in on the setter, or hold it between setter strips."
	case l.TipAngleDeg >= b.Material.SmallestTipDeg:
		return "Print the raft and the supports with it, and look after the first layers."
	}
	return "Give it a broader foot, or bed it on the setter so that it cannot tip."
}

// sagCure asks for the coupon first where the compliance is not this shop's own. p is the
// plan of props; nil where there is none yet.
func (b *Brief) sagCure(s State, p *PropPlan) string {
	cure := "Shorten or stiffen what hangs free, or carry it on a shaped setter block."
	switch {
	case p == nil || p.sag == nil:
	case p.cure() != "":
		cure = p.cure()
	case p.Within:
		cure = "No prop helps further: what sags is what carries it, under its own weight. Make it lower, or broader below."
	}
	switch coupon := b.Material.Creep.Calibrated == ""; {
	case coupon && s == Doubtful:
		return "Fire the creep coupon, which narrows the range. " + cure
	case coupon:
		return cure + " The creep coupon tells how well the estimate holds."
	}
	return cure
}

// largestWallSinteredMM is the thickest wall at finished size that is within the
// debinding limit however it lies, smallestWallSinteredMM the thinnest that prints.
func (b *Brief) largestWallSinteredMM() float64 {
	s := b.Material.Shrinkage
	return b.Material.Debinding.LargestWallMM * (1 - max(s[0], s[1], s[2]))
}

func (b *Brief) smallestWallSinteredMM() float64 {
	s := b.Material.Shrinkage
	return b.thinLimitMM() * (1 - min(s[0], s[1], s[2]))
}
