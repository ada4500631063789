package window

import (
	"fmt"
	"strings"

	"kilnpoise/app/window/kit"
	"kilnpoise/mesh"
	"kilnpoise/orient/mark"
)

// partFacts is what the head says about a part.
type partFacts struct {
	name, size        string
	facets, openEdges int
	watertight        bool
	cutOff            bool // the file, so that some of it is missing
	repairs, cavities int
	assumed           string // the unit, where it was assumed
	// suggested is a unit that would make the size plausible, "" where it is;
	// largest is the largest side, mm.
	suggested mesh.Unit
	largest   float64
	// surface is made where marks have to be found again.
	surface *mark.Surface
}

// factsOf looks at the whole mesh: it is worker's work.
func factsOf(p *mesh.Part) partFacts {
	s := p.Mesh.Bounds().Size()
	f := partFacts{
		name: p.Name, size: kit.SizeText(s.X, s.Y, s.Z), facets: len(p.Mesh.Facets),
		watertight: p.Health.Watertight, cutOff: p.CutOff, openEdges: p.Health.OpenEdges, repairs: len(p.Health.Repairs),
		cavities: p.Health.Cavities, largest: max(s.X, s.Y, s.Z),
	}
	if p.UnitAssumed {
		f.assumed = unitName(p.Unit)
	}
	return f
}

// soundness says in a line what the part is and whether its mesh is sound.
func soundness(f partFacts) string {
	text := fmt.Sprintf("%s: %s, %s. ", f.name, f.size, kit.Plural(f.facets, "facet"))
	switch {
	case f.cutOff:
		text += "The file is cut off, some of the part is missing; see the doubts"
	case !f.watertight && f.openEdges == 0:
		text += "The mesh is not sound: facets face different ways; see the doubts"
	case !f.watertight:
		text += "The mesh is not closed: " + kit.Plural(f.openEdges, "open edge") + "; see the doubts"
	case f.repairs > 0:
		text += "The mesh is sound after " + kit.Plural(f.repairs, "repair")
	default:
		text += "The mesh is sound"
	}
	switch {
	case f.cavities == 1:
		text += ", with a closed cavity"
	case f.cavities > 1:
		text += fmt.Sprintf(", with %d closed cavities", f.cavities)
	}
	text += "."
	if f.assumed != "" {
		text += " " + kit.UpperFirst(f.assumed) + " are assumed;"
	}
	return text
}

// findings lists what was found and done while reading, for the doubts.
func findings(p *mesh.Part) []string {
	var out []string
	for _, n := range p.Notes {
		if !strings.HasPrefix(n, "The file has no unit") { // the head says that
			out = append(out, n)
		}
	}
	out = append(out, p.Health.Findings...)
	return append(out, p.Health.Repairs...)
}
