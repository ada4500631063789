package support

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// Alteration is a kind of change to the design.
type Alteration uint8

// The alterations.
const (
	NoChange  Alteration = iota
	Chamfer              // fill the corner under it with a slope at the limit angle
	Steepen              // make the slope as steep as the limit angle
	Teardrop             // give the bore a pointed roof
	WidenHole            // let the cutter in
	Split                // make it in two pieces
)

// Key gives the name of a in files.
func (a Alteration) Key() string {
	return [...]string{"none", "chamfer", "steepen", "teardrop", "widen_opening", "split"}[a]
}

// Change is a change to the design after which a region needs no support, or
// lets the cutter get at it. All dimensions are those of the design, at finished
// size; heights run along the build direction.
type Change struct {
	Kind Alteration
	// RunMM and HeightMM are the sides of a chamfer along the plate and up.
	RunMM, HeightMM float64
	// BridgeMM is what is left to bridge between two chamfers, 0 for one.
	BridgeMM float64
	// FromDeg and ToDeg are the angles from the plate that a slope has and should
	// have; ToDeg is also that of a chamfer and of a teardrop's roof.
	FromDeg, ToDeg float64
	// DiameterMM is that of a bore, PointMM how high the tip of its roof stands
	// above its axis; of WidenHole, DiameterMM is the least width of the way in.
	DiameterMM, PointMM float64
	// ZMM is the height above the foot of the part at which to split it.
	ZMM float64
	// Words is the change as a sentence.
	Words string
}

// boreLeanDeg is how far a bore's axis may lean from the plate for a teardrop
// roof to be worked out as if it lay flat (judgement).
const boreLeanDeg = 15

// changeFor gives the change that suits the region best. A split is always one.
func (s *Site) changeFor(r *Region, reach *RegionReach, l *Limits) Change {
	if b, ok := s.findBore(r, l); ok && b.leanDeg <= boreLeanDeg {
		return teardrop(b, l)
	}
	if r.Form == Slope && r.HeldMM > 0 {
		return steepen(r, l)
	}
	if c, ok := chamfer(r, l); ok {
		return c
	}
	if reach.Worst == Narrow {
		return widen(reach, l)
	}
	return split(r, l)
}

// teardrop puts a roof at the limit angle over a bore: its flanks touch the
// circle and meet at radius / cos(angle) above the axis.
func teardrop(b bore, l *Limits) Change {
	c := Change{Kind: Teardrop, DiameterMM: 2 * b.radiusMM, ToDeg: l.designLimitDeg()}
	c.PointMM = b.radiusMM / math.Cos(c.ToDeg*math.Pi/180)
	c.Words = fmt.Sprintf("Give the bore of %.2f mm a pointed roof at %.1f deg: its tip %.2f mm above the axis.", c.DiameterMM, c.ToDeg, c.PointMM)
	return c
}

func steepen(r *Region, l *Limits) Change {
	c := Change{Kind: Steepen, FromDeg: l.designDeg(r.SlopeDeg), ToDeg: l.designLimitDeg()}
	c.Words = fmt.Sprintf("Make the slope steeper: %.1f deg from the plate instead of %.1f.", c.ToDeg, c.FromDeg)
	return c
}

// chamfer fills the corners under a ledge, or under both ends of a bridge so far
// that the rest can be bridged. It reports false where there is nothing to start
// from, or not the height for it.
func chamfer(r *Region, l *Limits) (Change, bool) {
	run, scale := r.LedgeMM, 1/l.level()
	if r.Bridge.Holds {
		d := r.Bridge.Direction
		run = (r.Bridge.SpanMM - l.BridgeSpanMM) / 2
		scale = r2.Norm(r2.Vec{X: d.X / l.Oversize.X, Y: d.Y / l.Oversize.Y})
	}
	height := run * math.Tan(l.OverhangLimitDeg*math.Pi/180)
	if r.HeldMM == 0 || run <= 0 || height > r.GapLowMM {
		return Change{}, false
	}
	c := Change{Kind: Chamfer, RunMM: run * scale, HeightMM: height / l.Oversize.Z}
	c.ToDeg = math.Atan2(c.HeightMM, c.RunMM) * 180 / math.Pi
	c.Words = fmt.Sprintf("Fill the corner under it with a chamfer, %.1f mm high and %.1f mm wide.", c.HeightMM, c.RunMM)
	if r.Bridge.Holds {
		c.BridgeMM = l.BridgeSpanMM * scale
		c.Words = fmt.Sprintf("Fill the corners at both ends with chamfers, %.1f mm high and %.1f mm wide, so that %.1f mm are left to bridge.",
			c.HeightMM, c.RunMM, c.BridgeMM)
	}
	return c, true
}

// play is how much wider than the cutter a way in should be (judgement).
const play = 1.15

func widen(reach *RegionReach, l *Limits) Change {
	c := Change{Kind: WidenHole, DiameterMM: play * l.Cutter.DiameterMM / min(l.Oversize.X, l.Oversize.Y, l.Oversize.Z)}
	c.Words = fmt.Sprintf("Widen the way in from about %.1f mm to %.1f mm, so that the cutter of %.1f mm gets in.",
		reach.WayInMM/l.level(), c.DiameterMM, l.Cutter.DiameterMM)
	return c
}

func split(r *Region, l *Limits) Change {
	c := Change{Kind: Split, ZMM: r.LowMM / l.Oversize.Z}
	c.Words = fmt.Sprintf("Split the part %.1f mm above its foot, where the overhang begins, and print the pieces each on its own.", c.ZMM)
	return c
}
