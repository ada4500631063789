package process

// Tag says how far a figure can be trusted.
type Tag string

// The tags, from firm to soft.
const (
	Published Tag = "P" // seen in the named source
	Handbook  Tag = "H" // textbook form, standard in the field
	Derived   Tag = "D" // worked out from other figures, shown beside it
	Common    Tag = "C" // common practice of the trade, no source
	Memory    Tag = "M" // from memory, not confirmed
	Judgement Tag = "J" // a default somebody had to choose
	Shop      Tag = "S" // entered or measured by the user of this copy
)

// Source says where one figure of a record comes from.
type Source struct {
	// Item is the key of the figure in the file, "creep.poisson" for instance.
	Item string `toml:"item"`
	// Tag is one or more tags, "P" or "D + J".
	Tag Tag `toml:"tag"`
	// Text is a sentence: the source, the practice, or the reasoning.
	Text string `toml:"text"`
}
