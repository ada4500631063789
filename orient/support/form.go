package support

import (
	"fmt"

	"gonum.org/v1/gonum/spatial/r3"
)

// Form is what an overhang looks like.
type Form uint8

// The forms of overhang.
const (
	Ceiling Form = iota // flat, all but parallel to the plate
	Slope               // leaning
	Mixed               // partly flat
	Small               // too small to need support
)

// String gives the form in words.
func (f Form) String() string {
	return [...]string{"ceiling", "slope", "ceiling and slope", "small edge"}[f]
}

const (
	// flatSlopeCos is the cosine of 10 degrees: a face closer to the plate's
	// plane prints in so wide steps that it is a ceiling (judgement).
	flatSlopeCos = 0.9848
	// mostly is the share of area that gives a region its form.
	mostly = 0.9
)

// judge says what a region looks like.
func (s *Site) judge(r *Region, small Smallness) {
	var flat float64
	for _, f := range r.Facets {
		n := s.Stance.areaVector(f)
		if area := r3.Norm(n); -n.Z >= flatSlopeCos*area {
			flat += area
		}
	}
	switch share := flat / r.AreaMM2; {
	case share >= mostly:
		r.Form = Ceiling
	case share <= 1-mostly:
		r.Form = Slope
	default:
		r.Form = Mixed
	}
	if why := r.smallness(small); why != "" {
		r.Form, r.Why = Small, why
	}
}

// smallness gives the reason why a region prints by itself for its size; empty
// where it does not.
func (r *Region) smallness(small Smallness) string {
	switch {
	case r.HeldMM == 0 && r.LengthMM <= small.LedgeMM:
		return fmt.Sprintf("It is %.2f mm long, no more than the %.2f mm that print by themselves.", r.LengthMM, small.LedgeMM)
	case r.HeldMM > 0 && r.LedgeMM <= small.LedgeMM:
		return fmt.Sprintf("It reaches %.2f mm out from what holds it, no more than the %.2f mm that print by themselves.", r.LedgeMM, small.LedgeMM)
	case r.HeldMM > 0 && r.AreaMM2 < small.AreaMM2:
		return fmt.Sprintf("It has %.2f mm2 and is held; under %.2f mm2 it is taken for a wrinkle of the mesh.", r.AreaMM2, small.AreaMM2)
	}
	return ""
}
