package furnace

import (
	"fmt"
	"strings"
)

// Choice is which pose to take.
type Choice struct {
	// Pose is the index of the pose; 0 is as printed.
	Pose int
	// Reason is a sentence with the numbers.
	Reason string
}

const (
	// clearShare and clearMM say when another pose wins clearly (judgement): its
	// sag is at most half of that as printed, errors of the grid counted against
	// it, and it saves at least a tenth of a millimetre. Less is not worth taking
	// the supports off a green part and laying it down by hand.
	clearShare = 0.5
	clearMM    = 0.1
)

// Choose recommends a pose. The part stays as printed unless another pose that
// is sound (stands, does not lean away, does not collapse) wins clearly: as
// printed it is not sound, or the other's sag is at most half of it and at least
// 0.1 mm less, with the estimated errors of both grids against the other. Since
// all sags go with the same compliance, whatever its true value, the half does
// not depend on it. Among winners the one with the least sag is taken.
func Choose(poses []Pose, l StandLimits) Choice {
	if len(poses) == 0 {
		return Choice{Reason: "There is no pose to choose from."}
	}
	first := poses[0]
	unfit := first.trouble(l)
	best := 0
	for i, p := range poses[1:] {
		if p.trouble(l) != nil || unfit == nil && !clearly(first.Sag, p.Sag) {
			continue
		}
		if best == 0 || p.Sag.MM < poses[best].Sag.MM {
			best = i + 1
		}
	}
	return Choice{best, reason(poses, best, unfit)}
}

// clearly reports whether b sags clearly less than a.
func clearly(a, b *Sag) bool {
	atLeast, atMost := a.MM-a.DiscretisationMM, b.MM+b.DiscretisationMM
	return atMost <= clearShare*atLeast && atLeast-atMost >= clearMM
}

// reason puts the choice into words.
func reason(poses []Pose, best int, unfit error) string {
	if best == 0 {
		if unfit != nil {
			return fmt.Sprintf("As printed it will not do (%s), and no other resting face is sound: prop it, or print it another way.", plain(unfit))
		}
		if len(poses) == 1 {
			return fmt.Sprintf("Fire it as printed: it sags about %.2f mm (estimate), and it has no other face to rest on.", poses[0].Sag.MM)
		}
		return fmt.Sprintf("Fire it as printed: it sags about %.2f mm (estimate), and no other resting face halves that and saves a tenth of a millimetre.", poses[0].Sag.MM)
	}
	p := poses[best]
	if unfit != nil {
		return fmt.Sprintf("Take the supports off in the green state and lay it on another face: as printed it will not do (%s); laid down it sags about %.2f mm (estimate).", plain(unfit), p.Sag.MM)
	}
	return fmt.Sprintf("Take the supports off in the green state and lay it on another face: it then sags about %.2f mm instead of %.2f mm (estimates).", p.Sag.MM, poses[0].Sag.MM)
}

// plain gives an error without the name of the package, for a sentence.
func plain(err error) string { return strings.TrimPrefix(err.Error(), "furnace: ") }
