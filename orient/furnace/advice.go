package furnace

import "fmt"

// StandLimits are what is acceptable of a Stand; see DefaultStandLimits.
type StandLimits struct {
	// SmallestTipDeg is the tilt a part must bear without tipping.
	SmallestTipDeg float64
	// LeanGrowth is the factor by which a lean may grow.
	LeanGrowth float64
	// TravelMM is the way a foot may slide without help, DragStrain what
	// friction may pull the foot out by, ElephantFootMM by how much the base
	// may widen.
	TravelMM, DragStrain, ElephantFootMM float64
	// LeastFootShare is the footprint over the square of the part's height below
	// which it counts as resting on a point or line.
	LeastFootShare float64
}

// DefaultStandLimits are judgements to start from: 8 degrees, 10 % more lean,
// 1 mm of travel, 0.2 % of drag, 0.05 mm of elephant foot, 1 % of foot.
func DefaultStandLimits() StandLimits {
	return StandLimits{
		SmallestTipDeg: 8, LeanGrowth: 1.1, TravelMM: 1, DragStrain: 0.002, ElephantFootMM: 0.05, LeastFootShare: 0.01,
	}
}

// Advice says in whole sentences what to do about how the part stands, the most
// pressing first. It is common practice of the trade, put into words by the
// numbers; an empty answer means that nothing is needed.
func (s Stand) Advice(l StandLimits) []string {
	var out []string
	say := func(when bool, format string, args ...any) {
		if when {
			out = append(out, fmt.Sprintf(format, args...))
		}
	}
	narrow := s.RoundFoot || s.FootprintMM2 < l.LeastFootShare*s.HeightMM*s.HeightMM
	say(narrow, "It rests on a line or a point (%.1f mm2): bed it in fine alumina sand or between setter strips, so that it can neither roll nor sink into itself.", s.FootprintMM2)
	say(!narrow && s.TipAngleDeg < l.SmallestTipDeg, "It tips at %.1f deg (at least %.0f wanted): lay it lower, or hold it upright between ceramic setter strips that leave it room to shrink.", s.TipAngleDeg, l.SmallestTipDeg)
	say(s.Lean.Growth > l.LeanGrowth, "It is slender for its own weight: a lean it goes in with grows %s (creep-buckling estimate). Give it a wall to lean on.", GrowthWords(s.Lean.Growth))
	slides := s.TravelMM > l.TravelMM || s.DragStrain > l.DragStrain
	say(slides && s.Feet > 1, "Its %d feet slide up to %.1f mm towards one another as it shrinks, and friction holds them apart: print a raft of the same filament under all of them and fire it along. As a shrink plate it shrinks with the part and takes the drag.", s.Feet, s.TravelMM)
	say(slides && s.Feet <= 1, "The ends of its foot slide up to %.1f mm on the setter as it shrinks: fire it on a thin even layer of fine alumina sand, or, where the base must stay true, on a raft of the same filament as shrink plate, parted by a ceramic layer.", s.TravelMM)
	say(s.DragStrain > l.DragStrain, "Friction may stretch its foot by about %.2f %% (estimate, friction %.1f is a judgement).", 100*s.DragStrain, DefaultFriction)
	say(s.ElephantFootMM > l.ElephantFootMM, "Its base may widen by up to %.2f mm under its own weight (upper estimate): leave stock there, or chamfer the lower edge.", s.ElephantFootMM)
	return out
}

// GrowthWords says by how much a lean grows; past ten times the number means
// nothing but that it falls over.
func GrowthWords(factor float64) string {
	if !(factor < 10) {
		return "more than tenfold"
	}
	return fmt.Sprintf("by about %.0f %%", 100*(factor-1))
}
