package support

import (
	"fmt"
	"math"
	"strings"
)

const (
	// crumbShare is the share of a region's support that may be out of reach and
	// still come off with the rest.
	crumbShare = 0.01
	// onPlate is the share of plate below a region from which on a block stands
	// on the setter.
	onPlate = 0.95
)

// needs reports whether the region cannot be printed without support.
func (t *Item) needs(l *Limits) bool {
	return t.Region.Form != Small && !t.low(l) && !(t.Region.Bridge.Holds && t.Region.Bridge.SpanMM <= l.BridgeSpanMM)
}

// low reports whether there is no room for support below the region.
func (t *Item) low(l *Limits) bool { return t.Region.GapHighMM <= l.LowMM+touchMM }

// blocked reports whether the cutter leaves more than crumbs.
func (t *Item) blocked(l *Limits) bool {
	return t.Reach.OutOfReachMM3 > max(l.CrumbMM3, crumbShare*t.Region.VolumeMM3)
}

// sags reports whether the region would sag too far in the furnace.
func (t *Item) sags(l *Limits) bool { return t.SagKnown && t.SagMM > l.AllowedSagMM }

// decide chooses the advice for one region and says why, and what else would do.
func (s *Site) decide(t *Item, l *Limits) {
	needs, blocked, sags := t.needs(l), t.blocked(l), t.sags(l)
	change := s.changeFor(&t.Region, &t.Reach, l)
	switch {
	case !needs && !sags:
		t.Advice, t.Reason = NoSupport, t.selfSupporting(l)
		return
	case needs && blocked:
		t.Advice, t.Change = ChangeDesign, change
		t.Reason = t.outOfReach(l) + " " + change.Words
	case needs && !sags:
		t.Advice, t.Prints = PrintAndCut, true
		t.Reason = t.supported(l) + " " + t.cutFrom()
	default:
		s.carry(t, l, needs, change)
		return
	}
	s.others(t, l, needs, change)
}

// carry chooses what carries a region in the furnace that sags.
func (s *Site) carry(t *Item, l *Limits, needs bool, change Change) {
	block, sand := t.blockFits(l), t.sandRuns(l)
	t.Reason = t.saggy(l)
	switch {
	case needs && !(block && t.Region.ContactMM2() > l.KeepContactMM2):
		t.Advice, t.Prints = PrintAndKeep, true
		t.Reason += fmt.Sprintf(" Support printed for it and kept through the furnace carries it; then %.0f mm2 of steel are to be sawn and ground off.", t.Region.ContactMM2())
	case block:
		t.Advice, t.Prints = SetterBlock, needs
		t.Reason += t.onBlock(needs)
	case sand:
		t.Advice, t.Prints = AluminaSand, needs
		t.Reason += t.inSand(needs)
	default:
		t.Advice, t.Change = ChangeDesign, change
		t.Reason += " Neither a block nor sand can be put below it. " + change.Words
	}
	s.others(t, l, needs, change)
}

// others lists what else would do.
func (s *Site) others(t *Item, l *Limits, needs bool, change Change) {
	add := func(a Advice, words string, c Change) {
		if a != t.Advice {
			t.Others = append(t.Others, Option{Advice: a, Words: words, Change: c})
		}
	}
	if t.Advice == ChangeDesign {
		t.otherWaysIn(l, needs, add)
		if t.Change.Kind != Split {
			c := split(&t.Region, l)
			t.Others = append(t.Others, Option{Advice: ChangeDesign, Words: c.Words, Change: c})
		}
	}
	if t.sags(l) && !(needs && t.blocked(l)) {
		t.otherCarriers(l, needs, add)
	}
	add(ChangeDesign, change.Words, change)
}

// otherWaysIn lists what would let the cutter get at the support.
func (t *Item) otherWaysIn(l *Limits, needs bool, add func(Advice, string, Change)) {
	switch r := &t.Reach; {
	case !needs:
	case r.Worst == TooDeep && r.NeedMM > 0:
		add(PrintAndCut, fmt.Sprintf("Take a cutter that sticks out %.0f mm from its holder, instead of %.0f mm.", r.NeedMM, l.Cutter.LengthMM), Change{})
	case r.Worst == Narrow && r.WayInMM > 0 && t.Change.Kind != WidenHole:
		w := widen(r, l)
		add(PrintAndCut, w.Words, w)
	}
}

// otherCarriers lists what else carries a region in the furnace.
func (t *Item) otherCarriers(l *Limits, needs bool, add func(Advice, string, Change)) {
	if t.blockFits(l) {
		add(SetterBlock, strings.TrimSpace(t.onBlock(needs)), Change{})
	}
	if t.sandRuns(l) {
		add(AluminaSand, strings.TrimSpace(t.inSand(needs)), Change{})
	}
	if needs {
		add(PrintAndKeep, fmt.Sprintf("Keep the printed support through the furnace, and saw and grind off %.0f mm2 of steel.", t.Region.ContactMM2()), Change{})
	}
}

// blockFits reports whether a block can stand on the setter below the region, no
// thicker than what debinds: as thick as it is high, or as its region is wide.
func (t *Item) blockFits(l *Limits) bool {
	thick := min(t.Region.GapHighMM, math.Sqrt(t.Region.AreaMM2))
	return t.Region.PlateShare >= onPlate && t.Region.GapLowMM >= l.BlockMM && (l.LargestWallMM <= 0 || thick <= l.LargestWallMM)
}

// sandRuns reports whether sand runs in below the region, and out again.
func (t *Item) sandRuns(l *Limits) bool {
	switch t.Reach.Worst {
	case Enclosed:
		return false
	case Narrow:
		return t.Reach.WayInMM >= l.PourMM
	}
	return true
}
