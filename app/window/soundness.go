package window

import "fmt"

// soundness says in one line what the part is and whether its mesh is sound.
func soundness(facts partFacts) string {
	text := fmt.Sprintf("%s: %s, %s", facts.name, facts.size, plural(facts.facets, "facet"))
	if facts.watertight {
		return text + ". The mesh is sound: closed all round" + facts.repaired + "."
	}
	return text + ". The mesh is not closed: " + plural(facts.openEdges, "open edge") + facts.repaired + "."
}

// partFacts is what the head says about a part.
type partFacts struct {
	name, size        string
	facets, openEdges int
	watertight        bool
	repaired          string
}
