package support

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Advice is what to do about one overhang region.
type Advice uint8

// The advices, least work first.
const (
	NoSupport    Advice = iota // it prints and fires by itself
	PrintAndCut                // print support, cut it off in the green state
	AluminaSand                // bed it in alumina sand for the furnace
	CeramicBlock               // print and cut what prints it; ceramic blocks carry it in the furnace
	SetterBlock                // set it on a block that shrinks with it
	PrintAndKeep               // print support, saw it off after the furnace
	ChangeDesign               // the part itself should be changed
)

// String gives the advice in words.
func (a Advice) String() string {
	return [...]string{
		"no support", "print and cut green", "bed in alumina sand", "set on ceramic", "set on a shaped block",
		"print and keep through the furnace", "change the design",
	}[a]
}

// Key gives the name of a in files.
func (a Advice) Key() string {
	return [...]string{"none", "print_and_cut", "alumina_sand", "ceramic_block", "setter_block", "print_and_keep", "change_design"}[a]
}

// Limits are the figures of the shop that the advice rests on.
type Limits struct {
	// OverhangLimitDeg is the downskin angle, from the plate, that prints without
	// support; BridgeSpanMM the widest ceiling bridged between two walls, green.
	OverhangLimitDeg, BridgeSpanMM float64
	// Small says what needs none for its size.
	Small Smallness
	// LowMM is the gap that is too low to put support in, about two layers
	// (judgement): what is no higher droops and then rests.
	LowMM float64
	// Cutter takes the support out in the green state.
	Cutter Cutter
	// SupportDensity is the solid share of printed support, above 0, at most 1,
	// and GreenDensityGCM3 the density of what is printed.
	SupportDensity, GreenDensityGCM3 float64
	// DepositMM3S is how much is printed in a second, all in all; 0 where that is
	// not known, and then no time is told.
	DepositMM3S float64
	// AllowedSagMM is the largest sag in the furnace that passes, finished size.
	AllowedSagMM float64
	// CollapseMM is the sag from which millimetres mean nothing but that it collapses;
	// 0 where nothing does.
	CollapseMM float64
	// CrumbMM3 is how much support may be out of reach in a region and still be
	// nothing to talk about; a hundredth of its support always may.
	CrumbMM3 float64
	// KeepContactMM2 is the largest contact that is better sawn off as steel than
	// replaced by a block of its own (judgement; 150 mm2 is a fair amount of
	// sawing and grinding).
	KeepContactMM2 float64
	// PourMM is the narrowest way in through which sand runs and comes out again
	// (judgement; some ten grains: 3 mm), and BlockMM the lowest block worth
	// printing (judgement; 2 mm).
	PourMM, BlockMM float64
	// LargestWallMM is the thickest green wall that debinds, and with it the thickest
	// block; 0 where that is not known.
	LargestWallMM float64
	// ReachWork bounds the work on reach; 0 is MostReachWork.
	ReachWork int
	// Oversize are the factors of the green part along the axes of the print
	// frame, above 0: dimensions of the design are told at finished size.
	Oversize r3.Vec
}

// DefaultLimits gives figures to begin with (judgement, but for the overhang
// limit, which is common practice): those of no machine or material.
func DefaultLimits() Limits {
	return Limits{
		OverhangLimitDeg: 45, BridgeSpanMM: 3, Small: Smallness{LedgeMM: 0.8, AreaMM2: 0.64}, LowMM: 0.3,
		Cutter:         Cutter{DiameterMM: 3, LengthMM: 25, HolderMM: 20},
		SupportDensity: 0.2, GreenDensityGCM3: 5, AllowedSagMM: 0.3,
		CrumbMM3: 0.5, KeepContactMM2: 150, PourMM: 3, BlockMM: 2, Oversize: r3.Vec{X: 1, Y: 1, Z: 1},
	}
}

// level is the mean oversize in the plane of the plate.
func (l *Limits) level() float64 { return math.Sqrt(l.Oversize.X * l.Oversize.Y) }

// designLimitDeg is the overhang limit as an angle of the design: oversizing
// more along Z than across makes slopes steeper.
func (l *Limits) designLimitDeg() float64 { return l.designDeg(l.OverhangLimitDeg) }

// designDeg turns an angle from the plate on the green part into that at
// finished size.
func (l *Limits) designDeg(green float64) float64 {
	sin, cos := math.Sincos(green * math.Pi / 180)
	return math.Atan2(sin*l.level(), cos*l.Oversize.Z) * 180 / math.Pi
}

// finished gives a place of the green part at finished size.
func (l *Limits) finished(v r3.Vec) r3.Vec {
	return r3.Vec{X: v.X / l.Oversize.X, Y: v.Y / l.Oversize.Y, Z: v.Z / l.Oversize.Z}
}

// SagOf gives, for Site.Plan, the sag of a region from that of the vertices of the
// part, mm downward: the largest of its own. It knows of none where sag has not
// one entry for each vertex.
func SagOf(s *Stance, sag []float64) func(*Region) (float64, bool) {
	return func(r *Region) (float64, bool) {
		if len(sag) != len(s.Vertices) || len(sag) == 0 {
			return 0, false
		}
		var most float64
		for _, f := range r.Facets {
			for _, v := range s.Facets[f] {
				most = max(most, sag[v])
			}
		}
		return most, true
	}
}
