package mesh

import (
	"fmt"
	"strings"

	"github.com/hpinc/go3mf"
)

// maxResourceID is the highest number of an object that the core specification has
// (its schema: ST_ResourceID).
const maxResourceID = 1<<31 - 1

// noteRules remarks on rules of the core specification that a model part breaks
// without any bearing on the shape.
func (p *package3MF) noteRules(name string, scan *modelScan, m *go3mf.Model) {
	note := func(format string, args ...any) { p.notes = append(p.notes, fmt.Sprintf(format, args...)) }
	if e := scan.encoding; e != "" && !strings.EqualFold(e, "UTF-8") {
		note("Part %s declares the encoding %q, but is UTF-8 as 3MF demands, and was read as that.", name, clip([]byte(e)))
	}
	if scan.stranger != "" {
		note("Part %s has an element %q, which 3MF does not know; it was passed over.", name, clip([]byte(scan.stranger)))
	}
	if scan.early > 0 {
		note("Object %d lists its triangles before its vertices; it was read all the same.", scan.early)
	}
	properties := map[uint32]bool{}
	for _, a := range m.Resources.Assets {
		properties[a.Identify()] = true
	}
	for _, o := range m.Resources.Objects {
		if text := propertyFault(o, properties, len(scan.used) > 0); text != "" {
			note("%s It has no bearing on the shape.", text)
			return // one for all
		}
	}
}

// propertyFault says what is wrong with the number and the properties of an object;
// some of these may be of extensions, which are passed over.
func propertyFault(o *go3mf.Object, properties map[uint32]bool, extended bool) string {
	switch {
	case properties[o.ID]:
		return fmt.Sprintf("The file has the number %d for two things.", o.ID)
	case o.PID == 0 && o.PIndex != 0:
		return fmt.Sprintf("Object %d has a pindex without pid.", o.ID)
	case o.PID != 0 && o.Components != nil:
		return fmt.Sprintf("Object %d has components with properties of its own.", o.ID)
	case o.PID != 0 && !properties[o.PID] && !extended:
		return fmt.Sprintf("Object %d names properties %d, which the file does not have.", o.ID, o.PID)
	}
	return ""
}
