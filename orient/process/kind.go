package process

import "slices"

// kind is what reading, checking and keeping need to know about a record type.
type kind[T any] struct {
	// folder is the folder of its files, and what it is called in sentences.
	folder string
	fields []field[T]
	orders []order
	also   func(*T) []error
	// stated are the keys of the figures that names of records state.
	stated []string
	// The rest reach into the record.
	id, name func(*T) *string
	sources  func(*T) *[]Source
	// settings is nil for records that have none.
	settings func(*T) *[]Setting
}

func materialKind() kind[Material] {
	return kind[Material]{
		folder: "material",
		fields: materialFields(),
		orders: []order{
			{"layer_height_mm", "line_width_mm"},
			{"binder_density_g_cm3", "green_density_g_cm3"},
			{"green_density_g_cm3", "metal_density_g_cm3"},
			{"easy_height_to_base", "largest_height_to_base"},
			{"layer_bond_low", "layer_bond"},
			{"layer_bond", "layer_bond_high"},
			{"tolerance_low_percent", "tolerance_high_percent"},
			{"creep.compliance_low_per_pa", "creep.compliance_per_pa"},
			{"creep.compliance_per_pa", "creep.compliance_high_per_pa"},
			{"debinding.front_speed_low_mm_h", "debinding.front_speed_high_mm_h"},
			{"debinding.smallest_wall_mm", "debinding.largest_wall_mm"},
		},
		also:     checkMaterial,
		stated:   []string{"shrinkage", "layer_height_mm"},
		id:       func(m *Material) *string { return &m.ID },
		name:     func(m *Material) *string { return &m.Name },
		sources:  func(m *Material) *[]Source { return &m.Sources },
		settings: func(m *Material) *[]Setting { return &m.Settings },
	}
}

func printerKind() kind[Printer] {
	return kind[Printer]{
		folder:  "printer",
		fields:  printerFields(),
		stated:  []string{"plate_mm", "height_mm", "nozzle_mm"},
		id:      func(p *Printer) *string { return &p.ID },
		name:    func(p *Printer) *string { return &p.Name },
		sources: func(p *Printer) *[]Source { return &p.Sources },
	}
}

func furnaceKind() kind[Furnace] {
	return kind[Furnace]{
		folder:  "furnace",
		fields:  furnaceFields(),
		stated:  []string{"setter_mm", "height_mm"},
		orders:  []order{{"friction_low", "friction"}, {"friction", "friction_high"}},
		id:      func(f *Furnace) *string { return &f.ID },
		name:    func(f *Furnace) *string { return &f.Name },
		sources: func(f *Furnace) *[]Source { return &f.Sources },
	}
}

// clone copies r with its lists, so that nobody edits a kept record by accident.
func (k kind[T]) clone(r T) T {
	s := k.sources(&r)
	*s = slices.Clone(*s)
	if k.settings != nil {
		t := k.settings(&r)
		*t = slices.Clone(*t)
	}
	return r
}
