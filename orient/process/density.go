package process

import "math"

// mm3PerCM3 turns g/cm3 into g/mm3.
const mm3PerCM3 = 1000

// MetalFraction is the share of metal in the volume of the green part, from the
// rule of mixtures: (green - binder) / (metal - binder). It is NaN for the zero
// record; Validate refuses such records.
func (m Material) MetalFraction() float64 {
	return (m.GreenDensityGCM3 - m.BinderDensityGCM3) / (m.MetalDensityGCM3 - m.BinderDensityGCM3)
}

// RelativeSinteredDensity is the density after the furnace over that of metal
// without pores, as the record's shrinkage implies it: all metal stays, the
// volume shrinks. A value outside 0.90 to 1.00 says that densities and shrinkage
// contradict each other.
func (m Material) RelativeSinteredDensity() float64 {
	return m.MetalFraction() / m.VolumeRatio()
}

// SinteredDensityGCM3 is the same in g/cm3.
func (m Material) SinteredDensityGCM3() float64 {
	return m.RelativeSinteredDensity() * m.MetalDensityGCM3
}

// GreenMassG gives the mass in g of a green volume in mm3 printed dense.
func (m Material) GreenMassG(greenVolumeMM3 float64) float64 {
	return greenVolumeMM3 / mm3PerCM3 * m.GreenDensityGCM3
}

// SinteredMassG gives the mass in g that is left of a green volume in mm3 once
// all binder is gone.
func (m Material) SinteredMassG(greenVolumeMM3 float64) float64 {
	return greenVolumeMM3 / mm3PerCM3 * m.MetalFraction() * m.MetalDensityGCM3
}

// FilamentLengthM gives the metres of filament that a green volume in mm3 takes,
// without brim, purge and waste. A diameter of 0 gives infinity.
func (m Material) FilamentLengthM(greenVolumeMM3 float64) float64 {
	section := math.Pi / 4 * m.FilamentDiameterMM * m.FilamentDiameterMM
	return greenVolumeMM3 / section / 1000
}
