package orient

import "math"

// weightings is how many weightings of the priorities are tried for how firm the
// first place is: enough for shares good to about a percent.
const weightings = 4096

// firmness sets FirstShare on each candidate: the share of all weightings of the
// priorities, spread evenly over the simplex of non-negative weights that sum to
// 1, for which it comes first among those of the best grade, what is missed of the gates
// and the handicap counting as they do in the ranking.
//
// The simplex is covered by a Kronecker sequence with powers of the root of
// x^(d+1) = x + 1 (the generalised golden ratio; from memory), whose sorted
// coordinates cut the unit length into gaps: the gaps of uniform numbers are
// uniform on the simplex (Devroye, Non-Uniform Random Variate Generation, ch. V).
func firmness(all []Candidate) {
	best := gradeFalls
	for i := range all {
		all[i].FirstShare = 0
		best = min(best, all[i].verdict.grade())
	}
	wins := make([]int, len(all))
	for n := range weightings {
		w := simplexPoint(n)
		first, lowest := -1, math.Inf(1)
		for i := range all {
			if all[i].verdict.grade() > best {
				continue
			}
			sum := all[i].verdict.weight()
			for p, t := range all[i].Terms {
				sum += w[p] * t.Value
			}
			if sum < lowest {
				first, lowest = i, sum
			}
		}
		if first >= 0 {
			wins[first]++
		}
	}
	for i, n := range wins {
		all[i].FirstShare = float64(n) / weightings
	}
}

// simplexPoint gives point n of an even covering of the simplex.
func simplexPoint(n int) [priorityCount]float64 {
	const d = int(priorityCount) - 1
	root := kroneckerRoot(d)
	var cuts [d]float64
	step := 1.0
	for k := range cuts {
		step /= root
		_, cuts[k] = math.Modf(0.5 + float64(n+1)*step)
	}
	for i := range cuts { // few enough to sort by insertion
		for j := i; j > 0 && cuts[j] < cuts[j-1]; j-- {
			cuts[j], cuts[j-1] = cuts[j-1], cuts[j]
		}
	}
	var w [priorityCount]float64
	last := 0.0
	for k, c := range cuts {
		w[k] = c - last
		last = c
	}
	w[d] = 1 - last
	return w
}

// kroneckerRoot solves x^(d+1) = x + 1 for x > 1 by fixed-point iteration.
func kroneckerRoot(d int) float64 {
	x := 2.0
	for range 60 {
		x = math.Pow(1+x, 1/float64(d+1))
	}
	return x
}
