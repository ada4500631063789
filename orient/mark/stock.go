package mark

import "errors"

// KeptStock is a face that is machined after sintering, and so printed with stock
// on it.
type KeptStock struct {
	Name string
	// Seed is on the face. Where it bends within 0 degrees, the wall of a bore or
	// pin is taken where there is one, else a flat.
	Seed Seed
	// MM is the stock, at finished size.
	MM float64
}

// Stock is such a face as found on a part.
type Stock struct {
	Name string
	MM   float64
	On   Feature
}

// MostStockMM bounds the stock on a face.
const MostStockMM = 20

// Find gives the face on a part.
func (k *KeptStock) Find(s *Surface) (Stock, error) {
	out := Stock{Name: k.Name, MM: k.MM}
	if !(k.MM > 0) || k.MM > MostStockMM {
		return out, errors.New("stock is more than 0 and at most 20 mm")
	}
	var err error
	if k.Seed.WithinDeg != FlatWithinDeg {
		if out.On, err = s.feature(k.Seed, BoreWithinDeg, true); err == nil || k.Seed.WithinDeg > 0 {
			return out, err
		}
	}
	out.On, err = s.feature(k.Seed, FlatWithinDeg, false)
	return out, err
}

// feature fits a flat or, where round, a bore or pin to the face of a seed.
func (s *Surface) feature(seed Seed, withinDeg float64, round bool) (Feature, error) {
	seed.WithinDeg = withinDeg
	facets, err := s.Find(seed)
	if err != nil {
		return Feature{}, err
	}
	return FitFeature(s.mesh, facets, round)
}
