package orient

import "math"

// unavoidable is by how much the best of all ways up misses each gate that only another
// design, record or machine can cure, as is known before the supports are planned. What every way misses alike decides nothing
// between them. 0 where a way passes, or one of the other records would do.
type unavoidable [gateCount]float64

// designGates are those that the shape and the records decide, and no estimate.
var designGates = [...]int{gatePrinter, gateFurnace, gateReach, gateDebinding, gateThin}

// alikeShare is how much more than the least, as a share of the value that is held
// against the limit, counts as alike (judgement; the factors of a pose differ by 5 %).
const alikeShare = 0.1

// unavoidableOf compares all ways up.
func unavoidableOf(all []sampled) unavoidable {
	var out unavoidable
	for _, gate := range designGates {
		least := math.Inf(1)
		for i := range all {
			v := &all[i].verdict
			if v.gates[gate].state == Passed || v.curable[gate] {
				least = 0
				break
			}
			least = min(least, v.gates[gate].miss)
		}
		switch {
		case len(all) == 0:
		case least > 0 && (gate == gatePrinter || gate == gateFurnace):
			out[gate] = math.Inf(1) // it has to be divided or made smaller, whichever way
		default:
			out[gate] = least
		}
	}
	if math.IsInf(out[gatePrinter]+out[gateFurnace], 1) { // divided for one, it need not go whole into the other
		out[gatePrinter], out[gateFurnace] = math.Inf(1), math.Inf(1)
	}
	return out
}

// alike gives the largest miss that counts as no more than the least.
func (u *unavoidable) alike(gate int) float64 {
	least := u[gate]
	if least <= 0 {
		return 0
	}
	switch gate {
	case gateThin: // held against a limit from below
		return 1 - (1-least)/(1+alikeShare)
	case gateReach: // held against nothing
		return least * (1 + alikeShare)
	default:
		return least + alikeShare*(1+least)
	}
}
