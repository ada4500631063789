package process

import "time"

// Material is the record of one filament with the settings it is printed and
// fired with. Axes are X, Y, Z of the print frame.
type Material struct {
	// ID is the name of the record's file without .toml; it is not in the file.
	ID string `toml:"-"`
	// Name is what a list shows; Note is free text.
	Name string `toml:"name"`
	Note string `toml:"note,multiline"`

	// Shrinkage is (green - sintered) / green as a fraction, 0 to 0.4.
	Shrinkage [3]float64 `toml:"shrinkage"`
	// ShrinkageSpread is one standard deviation of Shrinkage between parts, as a
	// fraction.
	ShrinkageSpread [3]float64 `toml:"shrinkage_spread"`
	// OverhangLimitDeg is the downskin angle, measured from the plate, below
	// which a face needs support.
	OverhangLimitDeg float64 `toml:"overhang_limit_deg"`
	// LayerHeightMM and LineWidthMM are green, as printed.
	LayerHeightMM float64 `toml:"layer_height_mm"`
	LineWidthMM   float64 `toml:"line_width_mm"`
	// FilamentDiameterMM is the filament as bought.
	FilamentDiameterMM float64 `toml:"filament_diameter_mm"`
	// GreenDensityGCM3 is filament and dense green part alike; BinderDensityGCM3
	// the binder alone; MetalDensityGCM3 the metal free of pores.
	GreenDensityGCM3  float64 `toml:"green_density_g_cm3"`
	BinderDensityGCM3 float64 `toml:"binder_density_g_cm3"`
	MetalDensityGCM3  float64 `toml:"metal_density_g_cm3"`

	// SupportDensity is the fraction of the support envelope that is printed.
	SupportDensity float64 `toml:"support_density"`
	// BridgeSpanMM is the widest green ceiling that prints between two walls
	// without support.
	BridgeSpanMM float64 `toml:"bridge_span_mm"`
	// AllowedSagMM is the largest gravity sag that passes the gate, sintered.
	AllowedSagMM float64 `toml:"allowed_sag_mm"`
	// AllowedLeanGrowth is by what fraction an initial lean may grow in the
	// furnace by creep buckling.
	AllowedLeanGrowth float64 `toml:"allowed_lean_growth"`
	// SmallestTipDeg is the smallest tip angle that counts as standing.
	SmallestTipDeg float64 `toml:"smallest_tip_deg"`
	// EasyHeightToBase is the height over the least base width that needs no
	// thought; LargestHeightToBase is the most that should be tried.
	EasyHeightToBase    float64 `toml:"easy_height_to_base"`
	LargestHeightToBase float64 `toml:"largest_height_to_base"`
	// LayerBond is strength across the layers over strength along them, with its
	// likely range.
	LayerBond     float64 `toml:"layer_bond"`
	LayerBondLow  float64 `toml:"layer_bond_low"`
	LayerBondHigh float64 `toml:"layer_bond_high"`
	// ToleranceLowPercent to ToleranceHighPercent is what to expect of a
	// dimension as sintered, plus or minus, percent of the dimension.
	ToleranceLowPercent  float64 `toml:"tolerance_low_percent"`
	ToleranceHighPercent float64 `toml:"tolerance_high_percent"`

	Creep     Creep     `toml:"creep"`
	Debinding Debinding `toml:"debinding"`

	// Settings are for the sheet, in the order they are to be shown.
	Settings []Setting `toml:"setting"`
	// Sources say where each figure comes from; see Source.
	Sources []Source `toml:"source"`
}

// Creep is how the part gives way under its own weight in the furnace: linear
// viscous flow, by the analogue of linear elasticity with the compliance J =
// integral of dt / uniaxial viscosity over the firing.
type Creep struct {
	// CompliancePerPa is J, 1/Pa, with the low and high end of what is likely.
	CompliancePerPa     float64 `toml:"compliance_per_pa"`
	ComplianceLowPerPa  float64 `toml:"compliance_low_per_pa"`
	ComplianceHighPerPa float64 `toml:"compliance_high_per_pa"`
	// Poisson is the viscous Poisson ratio, 0 to just under 0.5.
	Poisson float64 `toml:"poisson"`
	// DensityKGM3 is the density that weighs on the part while it creeps.
	DensityKGM3 float64 `toml:"density_kg_m3"`
	// Calibrated is the date and note of the coupon that J was fitted to; empty
	// when it has not been.
	Calibrated string `toml:"calibrated"`
}

// Calibrate takes over a compliance that was fitted to fired coupons, with its
// range for the next part, 1/Pa; the day and the note are kept with it.
func (c *Creep) Calibrate(best, low, high float64, day time.Time, note string) {
	c.CompliancePerPa, c.ComplianceLowPerPa, c.ComplianceHighPerPa = best, low, high
	c.Calibrated = day.Format(time.DateOnly)
	if note != "" {
		c.Calibrated += ", " + note
	}
}

// Debinding is how the binder leaves the green part. It holds no recipe.
type Debinding struct {
	// FrontSpeedLowMMH and FrontSpeedHighMMH are the speed at which the binder
	// front moves inward from each face, mm per hour.
	FrontSpeedLowMMH  float64 `toml:"front_speed_low_mm_h"`
	FrontSpeedHighMMH float64 `toml:"front_speed_high_mm_h"`
	// LargestWallMM and SmallestWallMM bound the thickness of a wall, green.
	LargestWallMM  float64 `toml:"largest_wall_mm"`
	SmallestWallMM float64 `toml:"smallest_wall_mm"`
}

// Setting is one line of the print settings on the sheet: a label and a value or
// range with its unit, for the technician to read.
type Setting struct {
	Item  string `toml:"item"`
	Value string `toml:"value"`
	Tag   Tag    `toml:"tag"`
}
