package process

// Printer is the record of one printer.
type Printer struct {
	// ID is the name of the record's file without .toml; it is not in the file.
	ID   string `toml:"-"`
	Name string `toml:"name"`
	Note string `toml:"note,multiline"`
	// PlateMM is the usable plate, X and Y; HeightMM the usable height above it.
	PlateMM  [2]float64 `toml:"plate_mm"`
	HeightMM float64    `toml:"height_mm"`
	// NozzleMM is the bore of the nozzle.
	NozzleMM float64 `toml:"nozzle_mm"`
	// SpeedMMS is the usual speed while printing, mm/s.
	SpeedMMS float64 `toml:"speed_mm_s"`
	// TravelOverhead multiplies the time of pure extrusion for travel,
	// retraction and slowing in corners; 1 is none.
	TravelOverhead float64  `toml:"travel_overhead"`
	Sources        []Source `toml:"source"`
}

// Furnace is the record of one sintering furnace.
type Furnace struct {
	// ID is the name of the record's file without .toml; it is not in the file.
	ID   string `toml:"-"`
	Name string `toml:"name"`
	Note string `toml:"note,multiline"`
	// SetterMM is the usable setter, X and Y; HeightMM the free height above it.
	// The green part has to fit, since it goes in green-sized.
	SetterMM [2]float64 `toml:"setter_mm"`
	HeightMM float64    `toml:"height_mm"`
	// Friction is the coefficient between part and setter at heat, with its
	// likely range.
	Friction     float64  `toml:"friction"`
	FrictionLow  float64  `toml:"friction_low"`
	FrictionHigh float64  `toml:"friction_high"`
	Sources      []Source `toml:"source"`
}
