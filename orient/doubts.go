package orient

import (
	"fmt"
	"math"

	"kilnpoise/mesh"
)

// doubts says which numbers cannot be trusted for a part that is not sound.
func doubts(p *mesh.Part) []string {
	var out []string
	if p.CutOff {
		out = append(out, "The file of the part is cut off: some of the part is missing, and every figure is of what is left. Copy or export it again before anything is printed of it.")
	}
	if p.Health.Watertight {
		return out
	}
	return append(out, fmt.Sprintf("The mesh is not closed (%d open edges): volume, mass, centre of mass, tip angle, print time, "+
		"support and sag of every candidate are doubtful; height, sizes and overhang area hold.", p.Health.OpenEdges))
}

// unsettled says how far the support volume can be trusted where the columns could
// not be made fine enough; it is empty where they could.
func (m *Measures) unsettled() string {
	if !m.SupportUnsettled {
		return ""
	}
	return fmt.Sprintf("The support is good to about %.0f %% only: so many faces lie over one another that it was not read on a finer grid.",
		math.Ceil(100*min(m.SupportErrorMM3/m.SupportVolumeMM3, 1)))
}
