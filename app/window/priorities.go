package window

import (
	"fmt"
	"slices"
	"strings"

	"kilnpoise/orient"
)

// mostWeight is the upper end of a priority slider.
const mostWeight = 5

// weightWord says a weight in the words of the shop.
func weightWord(w float64) string {
	words := [...]string{"never mind", "a little", "somewhat", "it counts", "it counts much", "above all"}
	return words[min(max(int(w+0.5), 0), len(words)-1)]
}

// settled gives the priorities that are in force: the defaults where all are 0.
func settled(p orient.Priorities) orient.Priorities {
	var sum float64
	for _, w := range p {
		sum += w
	}
	if sum <= 0 {
		return orient.DefaultPriorities()
	}
	return p
}

// weighing states in a sentence how the priorities are weighed.
func weighing(p orient.Priorities) string {
	p = settled(p)
	var sum float64
	for _, w := range p {
		sum += w
	}
	byWeight := orient.AllPriorities()
	slices.SortStableFunc(byWeight, func(a, b orient.Priority) int {
		switch {
		case p[a] > p[b]:
			return -1
		case p[a] < p[b]:
			return 1
		default:
			return 0
		}
	})
	var parts []string
	for _, k := range byWeight {
		if p[k] > 0 {
			parts = append(parts, fmt.Sprintf("%s %.0f%s%%", k, 100*p[k]/sum, nbsp))
		}
	}
	return "Of the whole weight: " + strings.Join(parts, ", ") + ". A failed gate outweighs them all."
}

// leading names the one or two things that count most, for the head.
func leading(p orient.Priorities) string {
	p = settled(p)
	var most float64
	for _, w := range p {
		most = max(most, w)
	}
	var names []string
	for _, k := range orient.AllPriorities() {
		if p[k] == most {
			names = append(names, k.String())
		}
	}
	if len(names) > 2 {
		return fmt.Sprintf("%d things alike", len(names))
	}
	return strings.Join(names, " and ")
}

// firstPlace says how much the first place depends on the priorities: whether
// moving a single slider, to any of its marks, would give it to another.
func firstPlace(all []orient.Candidate, p orient.Priorities) string {
	if len(all) < 2 {
		return ""
	}
	p = settled(p)
	for distance := 1.0; distance <= mostWeight; distance++ {
		for _, k := range orient.AllPriorities() {
			for _, w := range [...]float64{p[k] + distance, p[k] - distance} {
				if w < 0 || w > mostWeight {
					continue
				}
				changed := p
				changed[k] = w
				if winner := winnerFor(all, changed); winner != 0 {
					return fmt.Sprintf("The first place is not firm: with “%s” at %.0f instead of %.0f, no.%s%d would take it.",
						k, w, p[k], nbsp, all[winner].Rank)
				}
			}
		}
	}
	return "The first place is firm: no single slider, moved anywhere, takes it away."
}

// winnerFor gives the place in all of the candidate that would come first: of
// those that stand level with the first in gates and trade-offs, the cheapest.
func winnerFor(all []orient.Candidate, p orient.Priorities) int {
	best, least := 0, costWith(&all[0], p)
	for i := 1; i < len(all); i++ {
		c := &all[i]
		if len(failedGates(c)) != len(failedGates(&all[0])) || c.OnFront != all[0].OnFront {
			continue
		}
		if cost := costWith(c, p); cost < least-1e-12 {
			best, least = i, cost
		}
	}
	return best
}

// costWith weighs the terms of c anew.
func costWith(c *orient.Candidate, p orient.Priorities) float64 {
	var sum, weights float64
	for _, t := range c.Terms {
		sum += t.Value * p[t.Priority]
		weights += p[t.Priority]
	}
	if weights == 0 {
		return 0
	}
	return sum / weights
}
