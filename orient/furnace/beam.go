package furnace

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
)

// gravity is standard gravity, m/s2 (ISO 80000-3).
const gravity = 9.80665

// perMM turns 1/m into 1/mm.
const perMM = 1e-3

// Beam is the quick estimate of gravity sag: the part is read as beams that
// reach out from where it rests on the setter. It is rough by nature, and stands
// in for the solver while many directions are compared.
type Beam struct {
	// SagMM is the droop of the worst reach for the compliance given; scale it
	// for others, since it is proportional.
	SagMM float64
	// ReachMM is the horizontal distance from the worst place to what carries
	// it; ThicknessMM the wall there. Held says that the far end is carried too.
	ReachMM, ThicknessMM float64
	Held                 bool
	// At is the worst place, in the frame of the columns scaled to finished size.
	At r3.Vec
}

// SpanMM is the length that the small-sag limit of a tenth applies to.
func (b Beam) SpanMM() float64 {
	if b.Held {
		return 2 * b.ReachMM
	}
	return b.ReachMM
}

// BeamReader finds the beams in columns. It keeps its memory between calls and
// is not safe for concurrent use.
type BeamReader struct {
	spans []span
	first []int32 // spans of column k are first[k]..first[k+1]
	queue []int32
}

// span is one piece of solid on a vertical line.
type span struct {
	low, high float32
	column    int32
	source    int32 // column that carries it; -1 not reached yet
	toward    int32 // the next span on the way to the source; -1 at the source
	// stiff is the thickness that bends here: of the thickest neighbour, since a
	// line near the edge of a leaning or round body meets only a sliver of it.
	stiff    float32
	thinnest float32 // least stiff on the way to the source
	reachSq  float32 // squared straight distance to the carrier, finished size, mm2
}

// Read estimates the sag of the part that the columns show. size scales the axes
// of the columns to finished size (1 / oversize); compliancePerPa is J and
// density kg/m3. A part that nowhere rests gives the zero Beam.
//
// Every piece of solid over the plane is reached from the pieces that touch the
// setter through neighbours that overlap; its reach is the straight distance to
// the piece that carries it. The worst by reach^4 / thickness^2 is then bent as
// a beam of the thickness found along the way: curvature 12 J M / h^3, twice
// integrated, which for an even thickness is the cantilever 1.5 rho g L^4 J/h^2
// (facts: handbook form). Where solid goes on beyond the worst place it is a
// span between two carriers: fixed at both ends, the same form gives a third.
func (r *BeamReader) Read(c *mesh.Columns, size r3.Vec, compliancePerPa, density float64) Beam {
	r.collect(c)
	for range thickenTimes(c) {
		r.thicken(c)
	}
	r.spread(c, size)
	worst := r.worst(size, float32(1.5*density*gravity*compliancePerPa*perMM))
	if worst < 0 {
		return Beam{}
	}
	return r.bend(c, worst, size, compliancePerPa, density)
}

// collect makes the spans and queues those that rest on the setter.
func (r *BeamReader) collect(c *mesh.Columns) {
	r.spans, r.first, r.queue = r.spans[:0], r.first[:0], r.queue[:0]
	lowest := float32(math.Inf(1))
	for j := range c.NY {
		for i := range c.NX {
			r.first = append(r.first, int32(len(r.spans)))
			r.addSpans(c.At(i, j), int32(j*c.NX+i))
		}
	}
	r.first = append(r.first, int32(len(r.spans)))
	for i := range r.spans {
		lowest = min(lowest, r.spans[i].low)
	}
	for i := range r.spans {
		if s := &r.spans[i]; s.low <= lowest+restTolerance {
			s.source = s.column
			r.queue = append(r.queue, int32(i))
		}
	}
}

// restTolerance is how far above the lowest point solid still counts as resting
// on the setter, mm: that of the footprint.
const restTolerance = 0.05

// thinnestSpanMM is the thickness below which solid is a graze of a line along a
// face and not a wall: less than a printed layer.
const thinnestSpanMM = 0.1

// addSpans pairs the crossings of one line into pieces of solid.
func (r *BeamReader) addSpans(line []mesh.Crossing, column int32) {
	depth := 0
	var low float32
	for _, x := range line {
		if !x.Up {
			if depth == 0 {
				low = x.Z
			}
			depth++
			continue
		}
		depth--
		if depth == 0 {
			h := x.Z - low
			if h < thinnestSpanMM {
				continue
			}
			r.spans = append(r.spans, span{low: low, high: x.Z, column: column, source: -1, toward: -1, stiff: h})
		}
	}
}

// thickenTimes is how many cells around count for the thickness that bends: a
// rounded edge is thin over one or two of them, two where they are small.
func thickenTimes(c *mesh.Columns) int {
	const smallFrom = 64 * 64
	if c.NX*c.NY < smallFrom {
		return 1
	}
	return 2
}

// thicken raises the stiffness of every span to that of the stiffest piece among
// itself and its neighbours, those aside that rest on the setter: a post does not
// make the root of its arm thicker.
func (r *BeamReader) thicken(c *mesh.Columns) {
	for i := range r.spans { // thinnest serves as the new value until all are known
		s := &r.spans[i]
		s.thinnest = s.stiff
		for _, k := range beside(c, s.column) {
			for n := r.first[k]; n < r.first[k+1]; n++ {
				if t := &r.spans[n]; t.source < 0 && t.low <= s.high && t.high >= s.low {
					s.thinnest = max(s.thinnest, t.stiff)
				}
			}
		}
	}
	for i := range r.spans {
		r.spans[i].stiff = r.spans[i].thinnest
	}
}

// beside gives the columns beside one; at the rim the column itself stands in for
// those that are missing.
func beside(c *mesh.Columns, column int32) [4]int32 {
	nx := int32(c.NX)
	out := [4]int32{column, column, column, column}
	if i := column % nx; i > 0 {
		out[0] = column - 1
	}
	if i := column % nx; i < nx-1 {
		out[1] = column + 1
	}
	if column >= nx {
		out[2] = column - nx
	}
	if column < nx*int32(c.NY-1) {
		out[3] = column + nx
	}
	return out
}

// spread reaches all spans from the queue, breadth first, each inheriting the
// carrier of the span it was reached from.
func (r *BeamReader) spread(c *mesh.Columns, size r3.Vec) {
	dx, dy := float32(c.DX*size.X), float32(c.DY*size.Y)
	nx := int32(c.NX)
	for head := 0; head < len(r.queue); head++ {
		at := r.queue[head]
		s := r.spans[at]
		si, sj := s.source%nx, s.source/nx
		for _, k := range beside(c, s.column) {
			for n := r.first[k]; n < r.first[k+1]; n++ {
				t := &r.spans[n]
				if t.source >= 0 || t.low > s.high || t.high < s.low {
					continue
				}
				t.source, t.toward = s.source, at
				t.thinnest = min(t.stiff, s.thinnest)
				ex, ey := float32(k%nx-si)*dx, float32(k/nx-sj)*dy
				t.reachSq = ex*ex + ey*ey
				r.queue = append(r.queue, n)
			}
		}
	}
}

// worst gives the span that droops most as an even cantilever of the thinnest
// thickness on its way, or -1. softness is 1.5 rho g J in 1/mm.
func (r *BeamReader) worst(size r3.Vec, softness float32) int32 {
	worst, most := int32(-1), float32(0)
	z := float32(size.Z)
	for i := range r.spans {
		s := &r.spans[i]
		if s.source < 0 || s.thinnest <= 0 {
			continue
		}
		ratio := s.reachSq / (s.thinnest * z)
		// Nothing falls through the setter.
		if droop := min(softness*ratio*ratio, s.low*z); worst < 0 || droop > most {
			worst, most = int32(i), droop
		}
	}
	return worst
}

// bend integrates the droop of span tip along the way to its carrier.
func (r *BeamReader) bend(c *mesh.Columns, tip int32, size r3.Vec, j, density float64) Beam {
	reach := math.Sqrt(float64(r.spans[tip].reachSq))
	b := Beam{ReachMM: reach, At: r.place(c, tip, size), Held: r.goesOn(c, tip)}
	// Per millimetre of width and per unit weight: shear, moment, droop.
	var load, moment, droop float64
	x := reach
	for at := tip; at >= 0; at = r.spans[at].toward {
		s := &r.spans[at]
		if s.toward < 0 && at != tip {
			break // the carrier itself does not bend
		}
		h := float64(s.stiff) * size.Z
		b.ThicknessMM = h // in the end that of the root, where it matters
		next := 0.0
		if s.toward >= 0 {
			next = min(x, math.Sqrt(float64(r.spans[s.toward].reachSq)))
		}
		dx := x - next
		middle := moment + load*dx/2 + h*dx*dx/8
		droop += 12 * middle / (h * h * h) * (reach - (x+next)/2) * dx
		moment += load*dx + h*dx*dx/2
		load += h * dx
		x = next
	}
	shear := 1 + 1.2*(b.ThicknessMM/max(reach, 1e-9))*(b.ThicknessMM/max(reach, 1e-9))
	b.SagMM = droop * shear * density * gravity * j * perMM
	if b.Held {
		b.SagMM /= 3
	}
	b.SagMM = min(b.SagMM, float64(r.spans[tip].low)*size.Z)
	return b
}

// place gives the middle of a span at finished size.
func (r *BeamReader) place(c *mesh.Columns, i int32, size r3.Vec) r3.Vec {
	s := &r.spans[i]
	x, y := c.Center(int(s.column)%c.NX, int(s.column)/c.NX)
	return r3.Vec{X: x * size.X, Y: y * size.Y, Z: float64(s.low+s.high) / 2 * size.Z}
}

// goesOn reports whether solid continues beyond the span, away from its carrier.
func (r *BeamReader) goesOn(c *mesh.Columns, tip int32) bool {
	s := &r.spans[tip]
	nx := int32(c.NX)
	i, j := s.column%nx, s.column/nx
	ni, nj := i+sign(i-s.source%nx), j+sign(j-s.source/nx)
	if ni < 0 || nj < 0 || ni >= nx || nj >= int32(c.NY) {
		return false
	}
	k := nj*nx + ni
	for n := r.first[k]; n < r.first[k+1]; n++ {
		if t := &r.spans[n]; t.low <= s.high && t.high >= s.low {
			return true
		}
	}
	return false
}

func sign(v int32) int32 {
	switch {
	case v > 0:
		return 1
	case v < 0:
		return -1
	}
	return 0
}
