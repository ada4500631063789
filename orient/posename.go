package orient

import (
	"fmt"
	"math"
	"strings"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
	"kilnpoise/orient/support"
)

// poseName is the name of a pose by what a person sees: how the part lies, and by
// what it can be told from the same turned over.
type poseName struct {
	// stance is "flat", "upright", "on its side", "leaning 24 deg" or the like.
	stance string
	// end is "broad side down" or the like; empty where both ends look alike.
	end string
	// way is the axis of the file that points up, or the rotations.
	way string
}

// String gives the name by itself.
func (n poseName) String() string {
	if n.end != "" {
		return n.stance + ", " + n.end
	}
	return n.whole()
}

// whole gives the name with all that is known.
func (n poseName) whole() string {
	out := n.stance
	for _, part := range []string{n.end, n.way} {
		if part != "" {
			out += ", " + part
		}
	}
	return out
}

// namePoses names candidates that are shown together, so that no two names are the
// same.
func (s *Study) namePoses(all []Candidate) {
	names := make([]poseName, len(all))
	count := map[string]int{}
	for i := range all {
		names[i] = s.nameOf(all[i].Pose)
		count[names[i].String()]++
	}
	taken := map[string]int{}
	for i, n := range names {
		c := &all[i]
		c.Name, c.Notation = n.String(), notationFor(c.Pose, s.box, s.fileBox)
		if count[c.Name] > 1 {
			c.Name = n.whole()
		}
		if taken[c.Name]++; taken[c.Name] > 1 { // less than a degree apart
			c.Name = fmt.Sprintf("%s, %d", c.Name, taken[c.Name])
		}
	}
}

// nameOf names one pose.
func (s *Study) nameOf(p Pose) poseName {
	seen := s.look(p)
	n := poseName{stance: seen.stance(s.box, p.Up()), end: seen.end()}
	if axis := fileAxis(p.Up()); axis != "" {
		n.way = axis + " up"
	} else {
		n.way = turnsText(p.Turns())
	}
	return n
}

// turnsText writes the turns to the degree, leaving out those that are 0.
func turnsText(turns [3]float64) string {
	var parts []string
	for i, deg := range turns {
		if math.Abs(deg) >= 0.5 {
			parts = append(parts, fmt.Sprintf("%c %+.0f", 'A'+i, deg))
		}
	}
	if len(parts) == 0 {
		return ""
	}
	return strings.Join(parts, " ") + " deg"
}

// view is what a person sees of a part in one pose.
type view struct {
	// height, long and short are the sides of the upright box around it, mm.
	height, long, short float64
	// below and above are the level faces that it rests on and ends with, mm2.
	below, above float64
	// middle is the height of the centre of mass, as a share of the height.
	middle float64
}

// look measures a pose on the middle level of detail.
func (s *Study) look(p Pose) view {
	m := s.middle.mesh
	up := p.Up()
	low, high := math.Inf(1), math.Inf(-1)
	z := make([]float64, len(m.Vertices))
	for i, v := range m.Vertices {
		z[i] = r3.Dot(v, up)
		low, high = min(low, z[i]), max(high, z[i])
	}
	out := view{height: high - low, middle: (r3.Dot(s.full.solid.Centroid, up) - low) / (high - low)}
	for i, f := range m.Facets {
		least := min(z[f[0]], z[f[1]], z[f[2]])
		most := max(z[f[0]], z[f[1]], z[f[2]])
		switch {
		case most <= low+support.BaseTolerance:
			out.below += r3.Norm(m.AreaVector(i))
		case least >= high-support.BaseTolerance:
			out.above += r3.Norm(m.AreaVector(i))
		}
	}
	shadow := make([]r2.Vec, len(s.middle.hull))
	for i, v := range s.middle.hull {
		q := p.Rotation.MulVec(v)
		shadow[i] = r2.Vec{X: q.X, Y: q.Y}
	}
	rect := mesh.SmallestRectangle(mesh.Outline(shadow))
	out.long, out.short = rect.Long, rect.Short
	return out
}

// Judgement: what the eye takes for equal, for a face to rest on, for a slim part,
// and for heavier on one side.
const (
	alike      = 1.15
	restShare  = 0.05
	slim       = 3
	faceDiffer = 0.25
	noFace     = 0.02
	heavier    = 0.02
)

// level tells whether a face worth the name lies level, below or above.
func (v view) level() bool { return max(v.below, v.above) > restShare*v.long*v.short }

// stance says how the part lies.
func (v view) stance(box ownBox, up r3.Vec) string {
	if lean := v.lean(box, up); lean > SameDirectionDeg && !v.level() {
		return fmt.Sprintf("leaning %.0f deg", lean)
	}
	switch {
	case max(v.height, v.long) < alike*min(v.height, v.short):
		return "standing"
	case v.height > alike*v.long:
		return "upright"
	case v.height*alike < v.short:
		return "flat"
	case v.short*slim < v.height:
		return "on edge"
	default:
		return "on its side"
	}
}

// lean gives the angle between up and the nearest side of the part's own box,
// degrees. A part that is round about one of them does not lean for being rolled.
func (v view) lean(box ownBox, up r3.Vec) float64 {
	least := math.Inf(1)
	for k := range 3 {
		a := angleBetween(box.axes.Row(k), up)
		least = min(least, a, 180-a)
		i, j := (k+1)%3, (k+2)%3
		if round := math.Abs(box.sides[i]-box.sides[j]) <= 0.015*box.sides[i]; round && math.Abs(v.height-box.sides[i]) <= 0.015*v.height {
			least = min(least, math.Abs(90-a))
		}
	}
	return least
}

// end tells the pose from the same turned over.
func (v view) end() string {
	side := "side"
	if v.height > alike*v.long {
		side = "end"
	}
	larger, smaller, way := v.below, v.above, " down"
	if v.above > v.below {
		larger, smaller, way = v.above, v.below, " up"
	}
	switch {
	case larger > restShare*v.long*v.short && smaller < noFace*larger:
		return "flat " + side + way
	case larger > restShare*v.long*v.short && larger-smaller > faceDiffer*larger:
		return "broad " + side + way
	case v.middle < 0.5-heavier:
		return "heavy " + side + " down"
	case v.middle > 0.5+heavier:
		return "heavy " + side + " up"
	}
	return ""
}
