package support

import "fmt"

// inFurnace says what the region does in the furnace without support: would is true
// where it will not come to it.
func (t *Item) inFurnace(l *Limits, would bool) string {
	verb, collapse := "sags", "collapses"
	if would {
		verb, collapse = "would sag", "would collapse"
	}
	if t.Collapses {
		return fmt.Sprintf(" In the furnace it %s (estimate); %.2f mm of sag are allowed.", collapse, l.AllowedSagMM)
	}
	return fmt.Sprintf(" In the furnace it %s %.2f mm against what carries it, and %.2f mm are allowed.", verb, t.SagMM, l.AllowedSagMM)
}
