package window

import (
	"slices"
)

// recordChoices are records to choose from.
type recordChoices struct{ ids, names []string }

// index gives the place of an ID; -1 for none.
func (c recordChoices) index(id string) int { return slices.Index(c.ids, id) }

// with adds an ID that has no record.
func (c recordChoices) with(id string) recordChoices {
	if c.index(id) >= 0 {
		return c
	}
	name := id + " (no record)"
	if id == "" {
		name = "not said"
	}
	return recordChoices{append(slices.Clone(c.ids), id), append(slices.Clone(c.names), name)}
}
