package job

import (
	"fmt"

	"kilnpoise/orient/mark"
)

// The marks in job.json.
type (
	marksEntry struct {
		Faces      []faceEntry      `json:"faces,omitempty"`
		Dimensions []dimensionEntry `json:"dimensions,omitempty"`
		Loads      []loadEntry      `json:"loads,omitempty"`
		Stock      []stockEntry     `json:"stock,omitempty"`
	}
	faceEntry struct {
		Kind    string      `json:"kind"`
		Name    string      `json:"name,omitempty"`
		Seeds   []seedEntry `json:"seeds"`
		Without []seedEntry `json:"without,omitempty"`
		Rings   int         `json:"rings,omitempty"`
	}
	dimensionEntry struct {
		Name         string      `json:"name,omitempty"`
		What         string      `json:"what"`
		Seeds        []seedEntry `json:"seeds"`
		NominalMM    float64     `json:"nominal_mm,omitempty"`
		ToleranceMM  float64     `json:"tolerance_mm,omitempty"`
		NominalDeg   float64     `json:"nominal_deg,omitempty"`
		ToleranceDeg float64     `json:"tolerance_deg,omitempty"`
	}
	stockEntry struct {
		Name string    `json:"name,omitempty"`
		Seed seedEntry `json:"seed"`
		MM   float64   `json:"mm"`
	}
	loadEntry struct {
		Name  string `json:"name,omitempty"`
		Along triple `json:"along"`
	}
	seedEntry struct {
		At        triple  `json:"at"`
		Normal    triple  `json:"normal,omitzero"`
		WithinDeg float64 `json:"within_deg"`
		AreaMM2   float64 `json:"area_mm2,omitempty"`
	}
)

// Bounds that no user meets, so that a file cannot ask for endless work.
const (
	mostRings = 1000 // by which a face is grown or shrunk
	mostSeeds = 2000 // in all
	mostAsked = 1000 // candidates; directions
)

func marksOf(k *mark.Kept) marksEntry {
	return marksEntry{
		Faces: each(k.Faces, func(f mark.KeptFace) faceEntry {
			return faceEntry{f.Kind.Key(), f.Name, each(f.Seeds, seedOf), each(f.Without, seedOf), f.Rings}
		}),
		Dimensions: each(k.Dimensions, func(d mark.KeptDimension) dimensionEntry {
			return dimensionEntry{d.Name, d.What.Key(), each(d.Seeds, seedOf), d.NominalMM, d.ToleranceMM, d.NominalDeg, d.ToleranceDeg}
		}),
		Loads: each(k.Loads, func(l mark.Load) loadEntry { return loadEntry{l.Name, tripleOf(l.Along)} }),
		Stock: each(k.Stock, func(f mark.KeptStock) stockEntry { return stockEntry{f.Name, seedOf(f.Seed), f.MM} }),
	}
}

func seedOf(s mark.Seed) seedEntry {
	return seedEntry{tripleOf(s.At), tripleOf(s.Normal), s.WithinDeg, s.AreaMM2}
}

func (e seedEntry) seed() mark.Seed {
	return mark.Seed{At: e.At.vec(), Normal: e.Normal.vec(), WithinDeg: e.WithinDeg, AreaMM2: e.AreaMM2}
}

// seeds counts the places on the part.
func (e *marksEntry) seeds() int {
	n := len(e.Loads) + len(e.Stock)
	for _, f := range e.Faces {
		n += 1 + len(f.Seeds) + len(f.Without)
	}
	for _, d := range e.Dimensions {
		n += 1 + len(d.Seeds)
	}
	return n
}

// kept gives the marks, or says which cannot be one.
func (e *marksEntry) kept() (mark.Kept, error) {
	var k mark.Kept
	if n := e.seeds(); n > mostSeeds {
		return k, fmt.Errorf("the marks have %d places", n)
	}
	for i, f := range e.Faces {
		kind, ok := mark.KindOf(f.Kind)
		if !ok {
			return k, fmt.Errorf("face %d is of a kind that is not known", i+1)
		}
		if f.Rings > mostRings || f.Rings < -mostRings {
			return k, fmt.Errorf("face %d is grown by %d rows of facets", i+1, f.Rings)
		}
		k.Faces = append(k.Faces, mark.KeptFace{
			Kind: kind, Name: f.Name, Seeds: each(f.Seeds, seedEntry.seed), Without: each(f.Without, seedEntry.seed), Rings: f.Rings,
		})
	}
	for i, d := range e.Dimensions {
		what, ok := mark.CharacteristicOf(d.What)
		if !ok {
			return k, fmt.Errorf("dimension %d is of a kind that is not known", i+1)
		}
		k.Dimensions = append(k.Dimensions, mark.KeptDimension{
			Name: d.Name, What: what, Seeds: each(d.Seeds, seedEntry.seed),
			NominalMM: d.NominalMM, ToleranceMM: d.ToleranceMM, NominalDeg: d.NominalDeg, ToleranceDeg: d.ToleranceDeg,
		})
	}
	for _, f := range e.Stock {
		k.Stock = append(k.Stock, mark.KeptStock{Name: f.Name, Seed: f.Seed.seed(), MM: f.MM})
	}
	for i, l := range e.Loads {
		if !pointsSomewhere(l.Along.vec()) {
			return k, fmt.Errorf("load %d pulls nowhere", i+1)
		}
		k.Loads = append(k.Loads, mark.Load{Name: l.Name, Along: l.Along.vec()})
	}
	return k, nil
}
