package process

// Figure is one number of a record made ready for a table: what it is, its
// value, what is allowed, and how far it can be trusted.
type Figure struct {
	// Key is the key in the file, "creep.poisson" for instance; Axis is X, Y or Z
	// where the key holds one number per axis, else empty.
	Key, Axis string
	// Label says it in words; Unit is empty for a pure number.
	Label, Unit string
	// Value is what the record holds; Least and Most bound what is accepted.
	Value, Least, Most float64
	// Source is where the value comes from; its Tag is empty when the record does
	// not say.
	Source Source
}

// field ties a key of the file to a number in the record T.
type field[T any] struct {
	key, axis   string
	label, unit string
	least, most float64
	of          func(*T) *float64
}

// axes spreads a field over the axes of an array.
func axes[T any](f field[T], count int, of func(*T, int) *float64) []field[T] {
	out := make([]field[T], count)
	for i := range out {
		out[i] = f
		out[i].axis = string("XYZ"[i])
		out[i].of = func(r *T) *float64 { return of(r, i) }
	}
	return out
}

// figures reads the values of r in the order of fields.
func figures[T any](r *T, fields []field[T], sources []Source) []Figure {
	out := make([]Figure, len(fields))
	for i, f := range fields {
		out[i] = Figure{
			Key: f.key, Axis: f.axis, Label: f.label, Unit: f.unit,
			Value: *f.of(r), Least: f.least, Most: f.most,
		}
		out[i].Source, _ = sourceOf(sources, f.key)
	}
	return out
}

// sourceOf finds the source of the figure key.
func sourceOf(sources []Source, key string) (Source, bool) {
	for _, s := range sources {
		if s.Item == key {
			return s, true
		}
	}
	return Source{}, false
}

// Figures lists every number of the record in the order of the file.
func (m Material) Figures() []Figure { return figures(&m, materialFields(), m.Sources) }

// Figures lists every number of the record in the order of the file.
func (p Printer) Figures() []Figure { return figures(&p, printerFields(), p.Sources) }

// Figures lists every number of the record in the order of the file.
func (f Furnace) Figures() []Figure { return figures(&f, furnaceFields(), f.Sources) }
