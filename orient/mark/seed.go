package mark

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Seed is how a face is kept: by a place on it instead of by numbers of facets,
// so that it can be found again when the part is read anew, slightly changed.
type Seed struct {
	// At is a point on the face, part frame, mm.
	At r3.Vec
	// Normal is the outward normal there; zero where it is not known.
	Normal r3.Vec
	// WithinDeg is how far the surface may bend at an edge inside the face.
	WithinDeg float64
	// AreaMM2 is the area the face had; 0 where it is not known.
	AreaMM2 float64
}

const (
	// nearShare is how far from the seed, as a share of the part's diagonal, the
	// face may have moved and still be the same (judgement).
	nearShare = 0.01
	// alikeArea is by what share its area may have changed.
	alikeArea = 0.25
)

// Find gives the face of a seed. It fails, in words, where no face is near, or
// where the one found is of another size.
func (s *Surface) Find(seed Seed) ([]int32, error) {
	f := s.Nearest(seed.At, seed.Normal)
	if f < 0 {
		return nil, fmt.Errorf("no face looks that way any more near (%.2f, %.2f, %.2f)", seed.At.X, seed.At.Y, seed.At.Z)
	}
	a, b, c := s.mesh.Corners(f)
	away, near := math.Sqrt(distanceToTriangle(seed.At, a, b, c)), nearShare*s.mesh.Bounds().Diagonal()
	if away > near {
		return nil, fmt.Errorf("the nearest face to (%.2f, %.2f, %.2f) is %.2f mm away: give a point on the face", seed.At.X, seed.At.Y, seed.At.Z, away)
	}
	region := s.Region(f, seed.WithinDeg)
	if area := s.Area(region); seed.AreaMM2 > 0 && math.Abs(area-seed.AreaMM2) > alikeArea*seed.AreaMM2 {
		return nil, fmt.Errorf("the face at (%.2f, %.2f, %.2f) had %.0f mm2 and now has %.0f: mark it again", seed.At.X, seed.At.Y, seed.At.Z, seed.AreaMM2, area)
	}
	return region, nil
}

// SeedOf keeps the face around facet f, picked at the point at.
func (s *Surface) SeedOf(f int, at r3.Vec, withinDeg float64) Seed {
	return Seed{At: at, Normal: s.normals[f], WithinDeg: withinDeg, AreaMM2: s.Area(s.Region(f, withinDeg))}
}

// Area gives the area of a region, mm2.
func (s *Surface) Area(region []int32) float64 {
	var sum float64
	for _, f := range region {
		sum += r3.Norm(s.mesh.AreaVector(int(f)))
	}
	return sum
}
