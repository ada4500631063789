package process

import (
	"fmt"
	"math"
)

// Weighing is what scales and measuring cup say of one part of a firing; 0 stands
// for not taken.
type Weighing struct {
	// Firing is that of the part's readings.
	Firing                    string
	GreenMassG, SinteredMassG float64
	// GreenVolumeMM3 is the volume of the green part as printed, full of material:
	// that of the green mesh. SinteredVolumeMM3 is measured, by water displaced for
	// instance.
	GreenVolumeMM3, SinteredVolumeMM3 float64
}

// DensityCheck holds masses and volumes of a part against its material record.
// Figures that cannot be had are NaN; all but the masses' are estimates.
type DensityCheck struct {
	Firing string
	// MassLoss is the share of the green mass that left; ExpectedLoss all the
	// binder, by the densities of the record.
	MassLoss, ExpectedLoss float64
	// GreenDensityGCM3 is green mass over green volume.
	GreenDensityGCM3 float64
	// SinteredDensityGCM3 is sintered mass over sintered volume, Relative the same
	// over metal without pores, with its standard error from that of the shrinkage;
	// 0 where the volume was measured.
	SinteredDensityGCM3, Relative, RelativeError float64
	// Measured tells that the sintered volume was measured, and not worked out of
	// the green one and the shrinkage of the firing.
	Measured bool
	// Remarks are sentences on what does not fit.
	Remarks []string
}

// By how much mass loss (as a share of the green mass) and green density may miss
// the record before it is said. Judgement.
const (
	lossTolerance         = 0.01
	greenDensityTolerance = 0.03
)

// CheckDensity holds a weighed part against the record m. The volume is that of
// its firing: what the fit says of that firing, or the mean where it says nothing,
// or the record for an axis that is not known.
func (f ShrinkageFit) CheckDensity(m Material, w Weighing) DensityCheck {
	n := math.NaN()
	out := DensityCheck{
		Firing: w.Firing, MassLoss: n, GreenDensityGCM3: n, SinteredDensityGCM3: n, Relative: n, RelativeError: n,
		ExpectedLoss: 1 - m.MetalFraction()*m.MetalDensityGCM3/m.GreenDensityGCM3,
	}
	if w.GreenMassG > 0 && w.SinteredMassG > 0 {
		out.MassLoss = 1 - w.SinteredMassG/w.GreenMassG
	}
	if w.GreenMassG > 0 && w.GreenVolumeMM3 > 0 {
		out.GreenDensityGCM3 = w.GreenMassG / w.GreenVolumeMM3 * mm3PerCM3
	}
	volume, share := w.SinteredVolumeMM3, 0.0
	if out.Measured = volume > 0; !out.Measured {
		ratio, e := f.volumeRatio(m, w.Firing)
		volume, share = w.GreenVolumeMM3*ratio, e
	}
	if w.SinteredMassG > 0 && volume > 0 {
		out.SinteredDensityGCM3 = w.SinteredMassG / volume * mm3PerCM3
		out.Relative = out.SinteredDensityGCM3 / m.MetalDensityGCM3
		out.RelativeError = out.Relative * share
	}
	out.remark(m)
	return out
}

// volumeRatio is the sintered over the green volume of a firing, and its relative
// standard error.
func (f ShrinkageFit) volumeRatio(m Material, firing string) (ratio, relative float64) {
	ratio = 1
	var sum float64
	for k, a := range f.Axes {
		s, e := m.Shrinkage[k], m.ShrinkageSpread[k]
		if a.Known {
			s = a.Shrinkage
			if a.Spread > 0 {
				e = a.Spread
			}
		}
		for _, one := range f.Firings {
			if one.Firing != firing || math.IsNaN(one.Likely[k]) {
				continue
			}
			s = one.Likely[k]
			if one.StandardError[k] < e { // false for NaN
				e = one.StandardError[k]
			}
		}
		ratio *= 1 - s
		sum += math.Pow(e/(1-s), 2)
	}
	return ratio, math.Sqrt(sum)
}

// remark says what does not fit.
func (c *DensityCheck) remark(m Material) {
	say := func(format string, args ...any) { c.Remarks = append(c.Remarks, fmt.Sprintf(format, args...)) }
	switch off := c.MassLoss - c.ExpectedLoss; {
	case c.MassLoss < 0:
		say("the part is heavier sintered than green; were the two masses swapped?")
	case off < -lossTolerance:
		say("%.1f %% of the green mass left the part, where the record's densities make the binder %.1f %%: some of it may still be in there, or the densities of the record are not those of this filament", 100*c.MassLoss, 100*c.ExpectedLoss)
	case off > lossTolerance:
		say("%.1f %% of the green mass left the part, where the record's densities make the binder %.1f %%: did a piece break off, or are the densities of the record not those of this filament?", 100*c.MassLoss, 100*c.ExpectedLoss)
	}
	if off := c.GreenDensityGCM3/m.GreenDensityGCM3 - 1; math.Abs(off) > greenDensityTolerance {
		cause := "it was not printed full, or the volume is not that of the green part"
		if off > 0 {
			cause = "the volume is not that of the green part, or the record's density is too low"
		}
		say("the green part weighs %.2f g/cm3, where the record has %.2f: %s", c.GreenDensityGCM3, m.GreenDensityGCM3, cause)
	}
	if c.Relative < leastRelativeDensity || c.Relative > mostRelativeDensity {
		how := "worked out of the green volume and the shrinkage"
		if c.Measured {
			how = "from the volume measured"
		}
		say("the sintered part has %.1f %% of full density (%s), where 90 to 100 %% is usual", 100*c.Relative, how)
	}
}
