package window

import (
	"fmt"
	"slices"
	"strings"

	"kilnpoise/app/window/kit"
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
			parts = append(parts, fmt.Sprintf("%s %.0f%s%%", k, 100*p[k]/sum, kit.NBSP))
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

// firstPlace says how much the first place depends on the priorities: in what
// share of all weightings it and its closest rival come first.
func firstPlace(all []orient.Candidate) string {
	if len(all) < 2 {
		return ""
	}
	rival := 1
	for i := range all {
		if i > 0 && all[i].FirstShare > all[rival].FirstShare {
			rival = i
		}
	}
	text := fmt.Sprintf("No.%s1 comes first in %.0f%s%% of all ways to weigh them", kit.NBSP, 100*all[0].FirstShare, kit.NBSP)
	if all[rival].FirstShare < 0.005 {
		return text + ", and no other in any to speak of."
	}
	return text + fmt.Sprintf(", no.%s%d in %.0f%s%%.", kit.NBSP, all[rival].Rank, 100*all[rival].FirstShare, kit.NBSP)
}
