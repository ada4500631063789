package orient

import (
	"fmt"

	"kilnpoise/mesh"
)

// doubts says which numbers cannot be trusted for a part that is not sound.
func doubts(p *mesh.Part) []string {
	if p.Health.Watertight {
		return nil
	}
	return []string{fmt.Sprintf("The mesh is not closed (%d open edges): volume, mass, centre of mass, tip angle, print time, "+
		"support and sag of every candidate are doubtful; height, sizes and overhang area hold.", p.Health.OpenEdges)}
}
