package furnace

import (
	"fmt"
	"math"
)

// Creep is how the hot part gives way: linear viscous flow under its own weight.
type Creep struct {
	// CompliancePerPa is J, the integral of dt / uniaxial viscosity over the
	// firing, 1/Pa; LowPerPa and HighPerPa are the ends of its likely range.
	CompliancePerPa, LowPerPa, HighPerPa float64
	// Poisson is the viscous Poisson ratio, 0 to 0.499.
	Poisson float64
	// DensityKGM3 is the density that weighs on the part while it is soft.
	DensityKGM3 float64
}

// DefaultCreep gives the values for 316L to start from.
//
// J is 1.5e-6 1/Pa, 0.5e-6 to 6e-6: derived from the sintering model of
// Skorohod and Olevsky (Mater. Sci. Eng. R 23 (1998) 41) with inputs from
// memory, and a judgement. No published sag of this steel with its span,
// thickness and millimetres could be read, so until a shop has entered a
// coupon every sag is an uncalibrated estimate.
//
// The same model gives the viscous Poisson ratio (3 rho - 1)/(3 rho + 1) at
// relative density rho: 0.29 at 0.60, 0.46 at 0.90, 0.5 when dense; its mean
// from 0.60 to 0.97, each density weighted with the creep that falls to it, is
// 0.418. The default of 0.45 is a judgement between that and the dense end. Of
// beams it moves only the shear; plates by under 4 %.
//
// The density is 7000 kg/m3: between green (5.0) and sintered (7.5 to 7.9
// g/cm3, powder maker's data sheet), nearer the latter; judgement.
func DefaultCreep() Creep {
	return Creep{CompliancePerPa: 1.5e-6, LowPerPa: 0.5e-6, HighPerPa: 6e-6, Poisson: 0.45, DensityKGM3: 7000}
}

// Validate says in words what cannot be worked with.
func (c Creep) Validate() error {
	finite := func(v float64) bool { return v > 0 && !math.IsInf(v, 1) }
	switch {
	case !finite(c.CompliancePerPa):
		return fmt.Errorf("furnace: creep compliance is %g 1/Pa, it must be above 0", c.CompliancePerPa)
	case !finite(c.LowPerPa) || !finite(c.HighPerPa) || c.LowPerPa > c.CompliancePerPa || c.HighPerPa < c.CompliancePerPa:
		return fmt.Errorf("furnace: the range of the creep compliance, %g to %g 1/Pa, must hold its value %g",
			c.LowPerPa, c.HighPerPa, c.CompliancePerPa)
	case !(c.Poisson >= 0 && c.Poisson <= mostPoisson):
		return fmt.Errorf("furnace: viscous Poisson ratio is %g, it must lie between 0 and %g", c.Poisson, mostPoisson)
	case !finite(c.DensityKGM3):
		return fmt.Errorf("furnace: density in the furnace is %g kg/m3, it must be above 0", c.DensityKGM3)
	}
	return nil
}

// mostPoisson is as near to no change of volume as the bricks can follow.
const mostPoisson = 0.499

// sink gives rho g J: how much a column of unit height strains under its own
// weight, 1/mm. All self-weight displacements are this times a length squared
// that only depends on the shape.
func (c Creep) sink() float64 {
	const perMM = 1e-3
	return c.DensityKGM3 * gravity * c.CompliancePerPa * perMM
}
