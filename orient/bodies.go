package orient

import (
	"context"
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
	"kilnpoise/orient/furnace"
	"kilnpoise/orient/support"
)

// looseBody is one of several bodies of a part that do not touch each other: nothing
// but the plate, the setter or its supports hold it.
type looseBody struct {
	label    string   // where it is, in the frame of the file
	hull     []r3.Vec // part frame
	centroid r3.Vec
	volume   float64 // mm3, above 0
}

// looseBodies finds the bodies that do not touch; nil where the part is one.
func looseBodies(ctx context.Context, m *mesh.Mesh, cavity []bool) ([]looseBody, error) {
	lists, err := m.SeparateBodies(ctx, cavity, support.BaseTolerance)
	if err != nil || len(lists) < 2 {
		return nil, err
	}
	out := make([]looseBody, 0, len(lists))
	for i, facets := range lists {
		body := subMesh(m, facets)
		solid := body.Solid()
		hull, err := body.Hull(ctx)
		switch {
		case ctx.Err() != nil:
			return nil, ctx.Err()
		case err != nil: // a sheet without volume, which the part's own check has told
			continue
		}
		at := body.Bounds().Center()
		out = append(out, looseBody{
			label:    fmt.Sprintf("body %d of %d (about %s in the file)", i+1, len(lists), Triple{at.X, at.Y, at.Z}.about()),
			hull:     hull.Vertices,
			centroid: solid.Centroid,
			volume:   max(math.Abs(solid.Volume), 1e-9),
		})
	}
	return out, nil
}

// subMesh gives some facets of m as a mesh of its own.
func subMesh(m *mesh.Mesh, facets []int32) *mesh.Mesh {
	out := &mesh.Mesh{Facets: make([][3]int32, len(facets))}
	number := map[int32]int32{}
	for i, f := range facets {
		for k, v := range m.Facets[f] {
			n, known := number[v]
			if !known {
				n = int32(len(out.Vertices))
				number[v] = n
				out.Vertices = append(out.Vertices, m.Vertices[v])
			}
			out.Facets[i][k] = n
		}
	}
	return out
}

// bodiesNote says that a file holds several bodies, and what is done about it.
func (s *Study) bodiesNote() []string {
	if len(s.full.bodies) < 2 {
		return nil
	}
	return []string{fmt.Sprintf("The file holds %d bodies that do not touch; they are advised as they stand to each other, and each has to stand by itself. "+
		"Export each as a file of its own to have each advised. Where they come to touch as they shrink they may fuse.", len(s.full.bodies))}
}

// footing is how a part stands, or the worst of its bodies.
type footing struct {
	tipDeg float64
	tips   string // the body that tips first; empty where the part is one
	foot   foothold
	// fallen is the share of the bodies, by volume, that fall short of the tilt asked for,
	// each by how much; 0 where the part is one.
	fallen float64
}

// footing gives how it stands as it lies.
func (l *Lying) footing() footing { return footing{l.TipAngleDeg, l.tips, l.foot, l.fallen} }

// footing gives how it stands while it is printed, without its supports.
func (m *Measures) footing() footing { return footing{m.TipAngleDeg, m.tips, m.foot, m.fallen} }

// hangs reports whether one of several bodies rests on nothing.
func (f *footing) hangs() bool { return f.foot.inAir }

// name is what stands so, within a sentence.
func (f *footing) name() string {
	if f.tips != "" {
		return f.tips
	}
	return "it"
}

// bodiesStand gives how the worst of several bodies stands, each on what it has within
// the tolerance of the plate, and what share of them does not bear the least tilt. linear
// takes the part frame to the frame in which they stand.
func (s *subject) bodiesStand(linear mesh.Matrix, leastDeg float64) footing {
	spans, low := make([][2]float64, len(s.bodies)), math.Inf(1)
	for i := range s.bodies {
		spans[i] = s.bodies[i].span(&linear)
		low = min(low, spans[i][0])
	}
	worst := footing{tipDeg: math.Inf(1)}
	var whole, fallen float64
	for i := range s.bodies {
		b := &s.bodies[i]
		tip, foot := b.hang(spans[i])
		if spans[i][0]-low <= support.BaseTolerance {
			tip, foot = b.stand(linear, low, s.exact)
		}
		if tip < worst.tipDeg || foot.inAir && !worst.foot.inAir {
			worst.tipDeg, worst.tips = tip, b.label
		}
		if i == 0 || foot.worseThan(worst.foot) {
			worst.foot = foot
		}
		whole += b.volume
		fallen += b.volume * atLeast(tip, leastDeg).miss
	}
	if worst.foot.inAir {
		worst.tips = worst.foot.body
	}
	worst.fallen = fallen / whole
	return worst
}

// span gives the lowest and highest level of a body. Of very many bodies it takes
// most of the time: the height alone is worked out, and compared by hand, since min
// and max mind what is no number.
func (b *looseBody) span(linear *mesh.Matrix) [2]float64 {
	low, high, up := math.Inf(1), math.Inf(-1), &linear[2]
	for i := range b.hull {
		v := &b.hull[i]
		z := float64(up[0]*v.X) + float64(up[1]*v.Y) + float64(up[2]*v.Z) // as MulVec
		if z < low {
			low = z
		}
		if z > high {
			high = z
		}
	}
	return [2]float64{low, high}
}

// hang is how a body stands that touches nothing.
func (b *looseBody) hang(span [2]float64) (tipDeg float64, f foothold) {
	return 0, foothold{body: b.label, heightMM: span[1] - span[0], inAir: true}
}

// stand gives the tilt that tips one body and what it stands on, with the plate at a level.
func (b *looseBody) stand(linear mesh.Matrix, plate float64, exact bool) (tipDeg float64, f foothold) {
	onPlate := func(v r3.Vec) r3.Vec {
		p := linear.MulVec(v)
		p.Z -= plate
		return p
	}
	hull := make([]r3.Vec, len(b.hull))
	var contact []r2.Vec
	low := math.Inf(1)
	for i, v := range b.hull {
		p := onPlate(v)
		hull[i], low = p, min(low, p.Z)
		if p.Z <= support.BaseTolerance {
			contact = append(contact, r2.Vec{X: p.X, Y: p.Y})
		}
	}
	outline := mesh.Outline(contact)
	f = foothold{body: b.label, areaMM2: grownArea(outline, 0), heightMM: heightOver(hull, low)}
	if len(outline) > 2 || exact {
		tipDeg = furnace.StandingDeg(hull, outline, onPlate(b.centroid))
	}
	return tipDeg, f
}

// heightOver is how far the highest point lies above a level.
func heightOver(points []r3.Vec, level float64) float64 {
	high := level
	for _, p := range points {
		high = max(high, p.Z)
	}
	return high - level
}

// foothold is the area on which a part, or one of its bodies, stands, green, with its
// height. The zero foothold falls short of nothing.
type foothold struct {
	body              string // that of several; empty where the part is one
	areaMM2, heightMM float64
	inAir             bool // one of several bodies touches nothing
}

// leastFootShare is the footprint over the square of the height below which a part is
// not sure to stay as it was put: loaded setters are carried by hand, a door is shut,
// and a grain of sand under a foot no broader than a tenth of the height tilts the part
// by degrees (judgement).
const leastFootShare = 0.01

// askedMM2 is the area that the height asks for.
func (f foothold) askedMM2() float64 { return leastFootShare * f.heightMM * f.heightMM }

// reason says what the area falls short of.
func (f foothold) reason() string {
	who := "it"
	if f.body != "" {
		who = f.body
	}
	return fmt.Sprintf("%s rests on %s only, where its height asks for %s (a hundredth of the height squared): a jolt or a grain under it may tip it.",
		upperFirst(who), f.area(), smallArea(f.askedMM2()))
}

// area names what it rests on.
func (f foothold) area() string {
	if f.areaMM2 < 0.05 {
		return "an edge or a point"
	}
	return smallArea(f.areaMM2)
}

// smallArea writes an area that may be less than a square millimetre.
func smallArea(mm2 float64) string {
	if mm2 < 9.95 {
		return fmt.Sprintf("%.1f mm2", mm2)
	}
	return fmt.Sprintf("%.0f mm2", mm2)
}

// short is by how much the area falls short of that, as a share of it: 0 where it does
// not.
func (f foothold) short() float64 {
	if asked := f.askedMM2(); f.areaMM2 < asked {
		return 1 - f.areaMM2/asked
	}
	return 0
}

// worseThan compares two bodies: what touches nothing is worst, then what has the least
// foot for its height.
func (f foothold) worseThan(o foothold) bool {
	if f.inAir != o.inAir {
		return f.inAir
	}
	return f.short() > o.short()
}

// standRule rules on a tip angle; of several bodies the miss is that of all together.
func standRule(f footing, least float64) ruling {
	r := atLeast(f.tipDeg, least)
	if f.tips != "" && r.state != Passed {
		r.miss = f.fallen
	}
	return r
}

// rule rules on a foothold: what falls short is in doubt, for it may stay.
func (f foothold) rule() ruling {
	if s := f.short(); s > 0 {
		return ruling{Doubtful, s}
	}
	return ruling{state: Passed}
}
