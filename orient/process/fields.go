package process

// The tables below are the one place that knows keys, words, units and allowed
// ranges. A range is wide: it catches slips of the decimal point and of the unit,
// not unusual materials. All ranges are judgement.

// fraction is the unit of shares of one, which people like to enter as percent.
const fraction = "fraction"

func materialFields() []field[Material] {
	type f = field[Material]
	out := axes(f{key: "shrinkage", label: "shrinkage, (green - sintered)/green", unit: fraction, most: 0.4}, 3,
		func(m *Material, i int) *float64 { return &m.Shrinkage[i] })
	out = append(out, axes(f{key: "shrinkage_spread", label: "spread of the shrinkage, one standard deviation", unit: fraction, most: 0.1}, 3,
		func(m *Material, i int) *float64 { return &m.ShrinkageSpread[i] })...)
	out = append(out, printFields()...)
	out = append(out, limitFields()...)
	return append(out, firingFields()...)
}

func printFields() []field[Material] {
	type m = Material
	return []field[m]{
		{"overhang_limit_deg", "", "overhang limit, downskin angle measured from the plate", "deg", 1, 89, func(r *m) *float64 { return &r.OverhangLimitDeg }},
		{"layer_height_mm", "", "layer height, green", "mm", 0.02, 1, func(r *m) *float64 { return &r.LayerHeightMM }},
		{"line_width_mm", "", "line width, green", "mm", 0.1, 3, func(r *m) *float64 { return &r.LineWidthMM }},
		{"filament_diameter_mm", "", "filament diameter", "mm", 1, 5, func(r *m) *float64 { return &r.FilamentDiameterMM }},
		{"green_density_g_cm3", "", "density of filament and green part", "g/cm3", 0.5, 25, func(r *m) *float64 { return &r.GreenDensityGCM3 }},
		{"binder_density_g_cm3", "", "density of the binder", "g/cm3", 0.5, 3, func(r *m) *float64 { return &r.BinderDensityGCM3 }},
		{"metal_density_g_cm3", "", "density of the metal without pores", "g/cm3", 1, 25, func(r *m) *float64 { return &r.MetalDensityGCM3 }},
	}
}

func limitFields() []field[Material] {
	type m = Material
	return []field[m]{
		{"support_density", "", "solid share of the support", fraction, 0.02, 1, func(r *m) *float64 { return &r.SupportDensity }},
		{"bridge_span_mm", "", "widest ceiling bridged without support, green", "mm", 0, 100, func(r *m) *float64 { return &r.BridgeSpanMM }},
		{"allowed_sag_mm", "", "largest gravity sag allowed, sintered", "mm", 0.005, 20, func(r *m) *float64 { return &r.AllowedSagMM }},
		{"allowed_lean_growth", "", "growth of a lean allowed in the furnace", fraction, 0.01, 1, func(r *m) *float64 { return &r.AllowedLeanGrowth }},
		{"smallest_tip_deg", "", "smallest tip angle that stands", "deg", 1, 60, func(r *m) *float64 { return &r.SmallestTipDeg }},
		{"easy_height_to_base", "", "height over base that needs no thought", "", 0.5, 50, func(r *m) *float64 { return &r.EasyHeightToBase }},
		{"largest_height_to_base", "", "height over base not to be exceeded", "", 0.5, 100, func(r *m) *float64 { return &r.LargestHeightToBase }},
		{"layer_bond", "", "strength across the layers over strength along them", "", 0.05, 1.2, func(r *m) *float64 { return &r.LayerBond }},
		{"layer_bond_low", "", "the same, low end", "", 0.05, 1.2, func(r *m) *float64 { return &r.LayerBondLow }},
		{"layer_bond_high", "", "the same, high end", "", 0.05, 1.2, func(r *m) *float64 { return &r.LayerBondHigh }},
		{"tolerance_low_percent", "", "tolerance as sintered, plus or minus, at best", "%", 0.01, 10, func(r *m) *float64 { return &r.ToleranceLowPercent }},
		{"tolerance_high_percent", "", "tolerance as sintered, plus or minus, to be expected", "%", 0.01, 10, func(r *m) *float64 { return &r.ToleranceHighPercent }},
	}
}

func firingFields() []field[Material] {
	type m = Material
	return []field[m]{
		{"creep.compliance_per_pa", "", "creep compliance over the firing", "1/Pa", 1e-9, 1e-3, func(r *m) *float64 { return &r.Creep.CompliancePerPa }},
		{"creep.compliance_low_per_pa", "", "the same, low end", "1/Pa", 1e-9, 1e-3, func(r *m) *float64 { return &r.Creep.ComplianceLowPerPa }},
		{"creep.compliance_high_per_pa", "", "the same, high end", "1/Pa", 1e-9, 1e-3, func(r *m) *float64 { return &r.Creep.ComplianceHighPerPa }},
		{"creep.poisson", "", "viscous Poisson ratio", "", 0, 0.499, func(r *m) *float64 { return &r.Creep.Poisson }},
		{"creep.density_kg_m3", "", "density while it creeps", "kg/m3", 500, 25000, func(r *m) *float64 { return &r.Creep.DensityKGM3 }},
		{"debinding.front_speed_low_mm_h", "", "speed of the debinding front, slow", "mm/h", 0.05, 50, func(r *m) *float64 { return &r.Debinding.FrontSpeedLowMMH }},
		{"debinding.front_speed_high_mm_h", "", "speed of the debinding front, fast", "mm/h", 0.05, 50, func(r *m) *float64 { return &r.Debinding.FrontSpeedHighMMH }},
		{"debinding.largest_wall_mm", "", "thickest wall to debind, green", "mm", 0.1, 100, func(r *m) *float64 { return &r.Debinding.LargestWallMM }},
		{"debinding.smallest_wall_mm", "", "thinnest wall to print, green", "mm", 0.1, 100, func(r *m) *float64 { return &r.Debinding.SmallestWallMM }},
	}
}

func printerFields() []field[Printer] {
	type p = Printer
	return append(axes(field[p]{key: "plate_mm", label: "usable plate", unit: "mm", least: 20, most: 2000}, 2,
		func(r *p, i int) *float64 { return &r.PlateMM[i] }), []field[p]{
		{"height_mm", "", "usable height", "mm", 20, 2000, func(r *p) *float64 { return &r.HeightMM }},
		{"nozzle_mm", "", "nozzle bore", "mm", 0.1, 3, func(r *p) *float64 { return &r.NozzleMM }},
		{"speed_mm_s", "", "usual print speed", "mm/s", 1, 500, func(r *p) *float64 { return &r.SpeedMMS }},
		{"travel_overhead", "", "time with travel over time of extrusion alone", "", 1, 5, func(r *p) *float64 { return &r.TravelOverhead }},
	}...)
}

func furnaceFields() []field[Furnace] {
	type q = Furnace
	return append(axes(field[q]{key: "setter_mm", label: "usable setter", unit: "mm", least: 20, most: 3000}, 2,
		func(r *q, i int) *float64 { return &r.SetterMM[i] }), []field[q]{
		{"height_mm", "", "free height above the setter", "mm", 20, 3000, func(r *q) *float64 { return &r.HeightMM }},
		{"friction", "", "friction between part and setter", "", 0, 2, func(r *q) *float64 { return &r.Friction }},
		{"friction_low", "", "the same, low end", "", 0, 2, func(r *q) *float64 { return &r.FrictionLow }},
		{"friction_high", "", "the same, high end", "", 0, 2, func(r *q) *float64 { return &r.FrictionHigh }},
	}...)
}
