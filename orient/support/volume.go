package support

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
)

// Volume is the support under the overhangs of a stance: the envelope between
// each overhang and the first upward-facing surface below it, or the plate.
type Volume struct {
	// Whole is the envelope, mm3; OnPart the share that stands on the part;
	// InCavity the share that closed cavities would trap.
	Whole, OnPart, InCavity float64
	// ScarBelow is the area of part surface that support stands on, mm2;
	// CleanScarBelow the share of it on faces marked to keep clean.
	ScarBelow, CleanScarBelow float64
}

// Contact gives the area that supports touch, mm2: the overhang above and the
// part's own surface below.
func (v Volume) Contact(s *Stance) float64 { return s.OverhangArea + v.ScarBelow }

// Measure reads the support off the columns of a stance. closed says that the
// mesh is watertight, so that a line is inside the solid between a downward and
// the matching upward facet, also where bodies overlap; an open mesh is read
// facet by facet. cavity marks facets that bound a closed cavity; it may be nil.
//
// The columns only decide what lies below: the volume down to the plate is known
// exactly, facet by facet, and the sampled volume is scaled by the ratio of the
// exact and the sampled one (a ratio estimate: Cochran, Sampling Techniques,
// ch. 6). Where nothing lies below an overhang the answer is exact.
func (s *Stance) Measure(c *mesh.Columns, closed bool, cavity []bool) Volume {
	t := tally{stance: s, closed: closed, cavity: cavity}
	for j := range c.NY {
		for i := range c.NX {
			t.column(c.At(i, j), t.under)
		}
	}
	if t.prisms == 0 { // overhangs too small for any line to meet
		return Volume{Whole: s.Prisms}
	}
	ratio := min(s.Prisms/t.prisms, 4*c.CellArea())
	return Volume{
		Whole:     ratio * t.gap,
		OnPart:    ratio * t.onPart,
		InCavity:  ratio * t.inCavity,
		ScarBelow: ratio * t.scar, CleanScarBelow: ratio * t.cleanScar,
	}
}

// CleanScar gives the area of faces marked to keep clean that supports touch, mm2.
func (v Volume) CleanScar(s *Stance) float64 { return s.CleanOverhang + v.CleanScarBelow }

// tally sums what the columns show, in units of cell area.
type tally struct {
	stance                                 *Stance
	closed                                 bool
	cavity                                 []bool
	prisms                                 float64
	gap, onPart, inCavity, scar, cleanScar float64
}

// column walks up one line and calls found for each overhang met from outside.
func (t *tally) column(line []mesh.Crossing, found func(facet int32, z, floor float64, below int32)) {
	depth := 0
	floor, under := 0.0, int32(-1)
	for _, x := range line {
		z := float64(x.Z)
		if x.Up {
			depth--
			if depth <= 0 || !t.closed {
				floor, under = z, x.Facet
			}
			continue
		}
		depth++
		if t.stance.Kinds[x.Facet] != Overhang {
			continue
		}
		t.prisms += z
		if depth == 1 || !t.closed {
			found(x.Facet, z, floor, under)
		}
	}
}

// under adds one support line from floor up to the overhang at z.
func (t *tally) under(facet int32, z, floor float64, below int32) {
	gap := max(z-floor, 0)
	t.gap += gap
	if t.cavity != nil && t.cavity[facet] {
		t.inCavity += gap
	}
	if below < 0 {
		return
	}
	t.onPart += gap
	scar := t.stance.slopeFactor(below)
	t.scar += scar
	if t.stance.KeepClean != nil && t.stance.KeepClean[below] {
		t.cleanScar += scar
	}
}

// EachSupport calls found for each column of support with its axis and ends, mm.
func (s *Stance) EachSupport(c *mesh.Columns, closed bool, found func(x, y, bottom, top float64)) {
	t := tally{stance: s, closed: closed}
	for j := range c.NY {
		for i := range c.NX {
			x, y := c.Center(i, j)
			t.column(c.At(i, j), func(_ int32, z, floor float64, _ int32) {
				if z > floor {
					found(x, y, floor, z)
				}
			})
		}
	}
}

// slopeFactor is true area over projected area of a facet.
func (s *Stance) slopeFactor(i int32) float64 {
	f := s.Facets[i]
	a, b, c := s.Vertices[f[0]], s.Vertices[f[1]], s.Vertices[f[2]]
	n := r3.Cross(r3.Sub(b, a), r3.Sub(c, a))
	// A wall seen edge on is scarred over a bounded height.
	return min(r3.Norm(n)/math.Max(math.Abs(n.Z), 1e-12), 10)
}

// Columns casts about lines vertical lines through the stance.
func (s *Stance) Columns(c *mesh.Columns, lines int) {
	c.Fill(s.Vertices, s.Facets, s.Lo, s.Hi, lines)
}
